"""Numbers, units, dates and names out of the text: each slip is one finding at the very word."""

from __future__ import annotations

import pytest

import sopc

AROUND = """office "Birch Lane Dental" { open mon 08:00 to 12:00 }
role assistant "Assistant"
condition soiled "Soiled"
condition clean "Clean"
item tip "Tip"
log book "Book" { column result "Result" choice "pass" or "fail" }
device bath "Bath" { program short "Short" { lasts 5 min by machine } }
"""


def work(clause: str) -> str:
    return f'procedure work "Work" {{ by assistant step a "A" {{ {clause} }} step b "B" }}'


@pytest.mark.parametrize(
    ("text", "code", "word"),
    [
        (work("takes 5 minuts"), "Q01", "minuts"),
        (work("takes 5 mL"), "Q02", "mL"),
        (work("takes 5 min to 10 C"), "Q02", "C"),
        (work("takes 10 to 5 min"), "Q03", "10 to 5 min"),
        (work("takes 0.33 min"), "Q04", "0.33"),
        (work('check "x" else repeat from a at most 99 times then stop "y"'), "Q05", "99"),
        (work("by 0 assistant"), "Q05", "0"),
        ('device sink "Sink" { count 0 }', "Q05", "0"),
        ('device sink "Sink" { holds 0 tip }', "Q05", "0"),
        ('supply mix "Mix" { stock 120 % }', "Q03", "120 %"),
        ('log more "More" { column a "A" tick keep 0 years }', "Q03", "keep 0 years"),
        ('log more "More" { column a "A" choice "x" or "x" }', "N02", 'column a "A" choice "x" or "x"'),
        (work("by asistant"), "N01", "asistant"),
        (work("by tip"), "N01", "tip"),
        (work("record book column outcome"), "N07", "outcome"),
        (work("next go to c"), "N08", "c"),
        (work("runs bath long"), "N09", "long"),
        (work("takes 1 min takes 2 min"), "N05", "takes 2 min"),
        (work("").replace('"A" ', ""), "N03", "a"),
        (work("").replace('step b "B"', 'step a "B"'), "N02", "a"),
        (work("").replace("step b", "step check"), "N13", "check"),
        ('log slip "Slip" { column x "X" choice "yes" or "no" accept "maybe" }', "N10", 'accept "maybe"'),
        ('log slip "Slip" { column x "X" text from 1 to 2 }', "Q02", "from 1 to 2"),
        ('log slip "Slip" { sheet monthly 90000 rows column x "X" text }', "Q05", "90000"),
        ('task t "T" { every month on day 32 }', "Q05", "32"),
        ('task t "T" { every year on 02-30 }', "Q06", "02-30"),
        ('task t "T" { every day at 24:30 }', "Q06", "24:30"),
        ('task t "T" { every 90 days from 2026-02-30 }', "Q06", "2026-02-30"),
        ('supply s "S" { dilute 0 parts to 9 parts }', "Q03", "dilute 0 parts to 9 parts"),
        ('role staff "S"', "N13", "staff"),
        ('item two "T" { critical semicritical }', "N05", "two"),
    ],
)
def test_a_wrong_value_is_one_finding_at_its_word(text: str, code: str, word: str) -> None:
    office, findings = sopc.load_text(AROUND + text)
    assert office is None
    (finding,) = findings
    line = (AROUND + text).split("\n")[finding.span.line - 1]
    assert finding.code == code
    assert line[finding.span.column - 1 : finding.span.end_column - 1] == word


def test_an_altitude_in_the_wrong_unit_is_refused() -> None:
    (finding,) = sopc.load_text('office "X" { open mon 08:00 to 12:00 altitude 7218 m }')[1]
    assert finding.code == "Q07"


def test_a_name_missing_in_many_places_is_told_once_with_its_places() -> None:
    (finding,) = sopc.load_text(AROUND + work("by asistant second person asistant"))[1]
    assert "2 places" in finding.sentence
    assert "assistant" in finding.fix


@pytest.mark.parametrize(
    ("text", "code"), [('role a "A"', "N11"), ('office "X" { paper a4 }', "N12"), ("# nothing", "R08")]
)
def test_what_an_office_cannot_be_without(text: str, code: str) -> None:
    assert code in [finding.code for finding in sopc.load_text(text)[1]]
