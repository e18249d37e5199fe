"""What is written into logs leads somewhere, is known to be good or bad, and leaves no run of a machine out."""

from __future__ import annotations

import pytest

from sopc.checks.items import order
from sopc.checks.records import logs
from tests.checks.small_offices import codes, found, procedure

SHEET = """
log sheet "Sheet" {
  for sterilizer sheet weekly 20 rows out of limits "Stop."
  column warm "Warm" C from 130 to 135
  column even "Even" choice %s
  column who "By" initials
}
"""
EVEN = '"even" or "uneven" accept "even"'


def told(text: str) -> list[str]:
    return codes(found(logs.check, text))


@pytest.mark.parametrize(
    ("clauses", "expected"),
    [
        ('check "Warm enough?" else continue record sheet column warm, who', ["S28"]),
        ('check "Warm enough?" else stop "Call." record sheet column warm, who', []),
        ('check "Warm enough?" else lose clean then continue record sheet column warm, who', []),
        ('check "Warm enough?" else perform other then continue record sheet column warm, who', []),
        ('check "Warm enough?" else continue record sheet column who', []),  # nothing with limits is written down
        ('check "Warm enough?" else continue', []),
    ],
)
def test_a_bad_entry_is_acted_on(clauses: str, expected: list[str]) -> None:
    other = 'procedure other "Other" { by assistant step o "O" { record sheet } }\n'
    assert told(SHEET % EVEN + other + procedure(f'step s "Read" {{ {clauses} }}')) == expected


@pytest.mark.parametrize(
    ("choices", "expected"),
    [
        ('"even" or "uneven"', ["S30"]),
        ('"even" or "uneven" accept "even"', []),
        ('"yes" or "no"', ["S30"]),
        ('"all changed" or "not all"', ["S30"]),
        ('"no growth" or "growth"', ["S30"]),
        ('"S-2" or "S-3"', []),
        ('"yes" or "no" or "no test"', []),
        ('"room 1" or "room 2"', []),
    ],
)
def test_of_two_opposites_one_is_in_order(choices: str, expected: list[str]) -> None:
    read = procedure('step s "Read" { check "Even?" else stop "Call." record sheet column even, who }')
    assert told(SHEET % choices + read) == expected


def test_a_question_that_leads_nowhere_makes_no_entry_bad() -> None:
    read = procedure('step s "Read" { check "Even?" else continue record sheet column even, who }')
    assert told(SHEET % '"yes" or "no"' + read) == []


RUN = """
procedure one "One" { by assistant step a "A" { runs sterilizer wrapped } step b "B" { %s } }
procedure two "Two" { by assistant step a "A" { runs sterilizer wrapped } step b "B" { %s } }
"""


@pytest.mark.parametrize(
    ("first", "second", "more", "expected"),
    [
        ("record sheet", "record sheet", "", []),
        ("record sheet", "", "", ["S29"]),
        ("", "record sheet", "", ["S29"]),
        ("record sheet", "", 'task t "T" { perform two by assistant every day record sheet }', []),
        ("record sheet", "", 'procedure all "All" { by assistant step x "X" { perform two record sheet } }', []),
        ("", "", 'task t "T" { by assistant every day record sheet }', []),  # kept in another way for all runs
    ],
)
def test_a_log_for_a_machine_has_all_its_runs(first: str, second: str, more: str, expected: list[str]) -> None:
    assert told(SHEET % EVEN + RUN % (first, second) + more) == expected


@pytest.mark.parametrize(("times", "expected"), [(1, []), (9, []), (10, ["O24"]), (20, ["O24"])])
def test_a_repeat_has_a_limit_that_people_count_to(times: int, expected: list[str]) -> None:
    asks = f'check "Clean?" else repeat from s at most {times} times then stop "Discard it."'
    steps = f'step s "S" {{ does wash {asks} }}'
    assert codes(found(order.check, procedure(steps))) == expected
