"""An office's overrides: what they change, what is kept of both wordings, and what they may not do."""

from __future__ import annotations

import pytest

import sopc
from sopc.findings import Finding
from sopc.model.nouns import Office

PACK = """role assistant "Assistant"
condition soiled "Soiled"
condition clean "Clean"
item tip "Tip" { critical }
device bath "Bath" { program short "Short" { lasts 5 min by machine } }
log book "Book" { column heat "Heat" C from 130 to 137 }
procedure work "Work" {
  handles tip from soiled to clean
  by assistant
  step a "Wash it" { takes 5 min }
  choose "Which way?" {
    way "By machine" { step b "Load it" { takes 5 min note "Lid on." } }
    way "By hand" { step c "Brush it" }
  }
}
supply gel "Gel" { use within 8 h }
"""


def read(text: str) -> tuple[Office | None, list[Finding]]:
    office = 'office "Birch Lane Dental" { open mon 08:00 to 12:00 }\nuse pack shed\n'
    return sopc.load_text({"office.sop": office + text, "packs/shed/pack.sop": PACK})


def made(text: str) -> Office:
    office, findings = read(text)
    assert office is not None, findings
    return office


def kept(thing: object) -> list[tuple[str, str, str, str]]:
    return [
        (each.clause, each.pack_text, each.office_text, each.because)
        for each in thing.overridden  # type: ignore[attr-defined]
    ]


def test_a_step_inside_a_way_is_changed_clause_by_clause() -> None:
    work = made('override procedure work { step b { takes 7 min } because "Slow bath." }').procedures["work"]
    step = work.step("b")
    assert step is not None
    assert step.takes is not None
    assert (step.title, step.number, step.takes.least.ticks(), step.notes) == ("Load it", "2A.1", 420, ("Lid on.",))
    assert kept(step) == [("takes", "takes 5 min", "takes 7 min", "Slow bath.")]
    assert kept(work) == []


def test_a_step_may_have_a_title_and_a_reason_of_its_own() -> None:
    step = made('override procedure work { step a "Rinse it" { because "No bath." } }').procedures["work"].step("a")
    assert step is not None
    assert step.title == "Rinse it"
    assert kept(step) == [("title", "Wash it", "Rinse it", "No bath.")]


def test_a_program_of_a_device_is_changed() -> None:
    device = made('override device bath { program short { lasts 6 min by machine } because "Ours." }').devices["bath"]
    program = device.programs["short"]
    assert program.lasts is not None
    assert program.lasts.least.ticks() == 360
    assert kept(program) == [("lasts", "lasts 5 min by machine", "lasts 6 min by machine", "Ours.")]


def test_a_column_of_a_log_is_changed_as_a_whole() -> None:
    log = made('override log book { column heat "Heat" C from 132 to 137 because "IFU." }').logs["book"]
    (column,) = log.columns
    assert column.limit is not None
    assert column.limit.least == 132
    assert [each[0] for each in kept(log)] == ["column heat"]


def test_a_category_replaces_the_other_category() -> None:
    item = made('override item tip { semicritical because "Not used in bone." }').items["tip"]
    assert item.category == "semicritical"
    assert kept(item) == [("category", "critical", "semicritical", "Not used in bone.")]


def test_a_changed_step_still_points_at_the_pack_s_text() -> None:
    step = made('override procedure work { step c { takes 7 min } because "x" }').procedures["work"].step("c")
    assert step is not None
    assert (step.span.file, step.span.line) == ("packs/shed/pack.sop", 13)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("override supply gel { use within 6 h }", "N06", "because"),
        ('override supply gell { use within 6 h because "x" }', "N04", "gel"),
        ('override procedure work { step bb { takes 1 min } because "x" }', "N04", "a, b, c"),
        ('override procedure work { choose "?" { way "y" { } } because "x" }', "N15", "single steps"),
        ('role own "Own"\noverride role own "Mine" { because "x" }', "N14", "where it is declared"),
        ('supply gel "Our gel" { use within 6 h }', "N02", "override supply gel"),
        (
            'override supply gel { use within 6 h because "x" }\noverride supply gel { use within 4 h because "x" }',
            "N05",
            "Delete one",
        ),
    ],
)
def test_an_override_that_cannot_be_is_told(text: str, code: str, words: str) -> None:
    office, findings = read(text)
    assert office is None
    assert [finding.code for finding in findings] == [code]
    assert words in findings[0].fix
