"""Each slip that people make is told once, at its place, with the remedy; it breeds no second finding."""

from __future__ import annotations

import pytest

from sopc.findings import Finding, Severity
from sopc.language.parse import parse
from sopc.source import SourceFile

PROCEDURE = """procedure p "Procedure" {
  handles tip from soiled to clean
  by assistant
  step a "Wash it" {
    does wash
    takes 5 min
  }
  step b "Next" {
    takes 5 min
  }
}
"""
# What is written instead of what; the code, the line, and words of the remedy.
SLIPS = {
    "a clause misspelt": ("does wash", "dose wash", "F01", 5, "does"),
    "a block's word misspelt": ("  step a", "  stpe a", "F01", 4, "step"),
    "a declaration misspelt": ("procedure p", "procedur p", "F01", 1, "procedure"),
    "a capital": ("takes 5 min\n  }\n  step", "Takes 5 min\n  }\n  step", "F01", 6, "takes"),
    "no unit at the end of a line": ("takes 5 min", "takes 5", "F08", 6, "unit"),
    "no unit in the last line": ("takes 5 min\n  }\n}", "takes 5\n  }\n}", "F08", 9, "unit"),
    "no name": ('step a "Wash it"', 'step "Wash it"', "F01", 4, "name"),
    "a name of two words": ('step a "Wash it"', 'step a part_two "Wash it"', "F01", 4, "a_part_two"),
    "a name with an accent": ("step a", "step größe", "F06", 4, "letters a to z"),
    "a comma too many": ("to clean", "to clean,", "F01", 2, "Delete the comma"),
    "nobody named": ("by assistant", "by", "F01", 3, "Finish the clause"),
    "a comma in a decimal": ("5 min", "1,5 min", "F06", 6, "1.5"),
    "a dash in a range": ("5 min", "5-10 min", "F06", 6, "5 to 10"),
    "a long dash in a range": ("5 min", "5–10 min", "F06", 6, "5 to 10"),
    "a semicolon": ("5 min", "5 min;", "F06", 6, "Delete it"),
    "a colon": ("by assistant", "by: assistant", "F06", 3, "Delete it"),
    "brackets": ("by assistant", "by assistant (trained)", "F06", 3, "note"),
    "a comment of another language": ("by assistant", "// by assistant", "F06", 3, "#"),
    "an invisible character": ("5 min", "5\u200b min", "F06", 6, "Delete it"),
    "single quotes": ('"Wash it"', "'Wash it'", "F06", 4, "double quotes"),
    "quotes inside quotes": ('"Wash it"', '"Wash "it" now"', "F01", 4, "single quotes"),
    "a quotation not closed": ('"Wash it"', '"Wash it', "F07", 4, "Close it"),
    "a long text not closed": ("does wash", 'note """Wash\n - by hand', "F07", 5, "Close it"),
    "a long text that swallows the next": (
        "by assistant",
        'purpose """This\n  and that\n  scope """There"""\n  by assistant',
        "F07",
        3,
        "Close it",
    ),
    "a day of other countries": ("by assistant", "revision 1 effective 01.12.2026", "F01", 3, "2026-12-01"),
    "no { of a step": ('"Wash it" {', '"Wash it"', "F11", 4, "{"),
    "no { of a procedure": ('"Procedure" {', '"Procedure"', "F11", 1, "{"),
    "no } of a step": ("takes 5 min\n  }\n  step", "takes 5 min\n  step", "F02", 4, "where “step” ends"),
    "a } too many": ("takes 5 min\n  }\n  step", "takes 5 min\n  }\n}\n  step", "F10", 9, "line 8"),
    "a clause of another block": ("does wash", "does wash\n    owner assistant", "F10", 6, "procedure"),
    "a step in a step": ("does wash", 'does wash\n    step c "C" { takes 1 min }', "F10", 6, "procedure"),
}


def errors(text: str) -> list[Finding]:
    findings = parse(SourceFile.from_text("t.sop", text))[1]
    return [finding for finding in findings if finding.severity is Severity.ERROR]


def test_without_a_slip_nothing_is_told() -> None:
    assert errors(PROCEDURE) == []


@pytest.mark.parametrize("slip", SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_is_told_once_at_its_line_with_its_remedy(slip: tuple[str, str, str, int, str]) -> None:
    right, wrong, code, line, remedy = slip
    assert right in PROCEDURE
    (finding,) = errors(PROCEDURE.replace(right, wrong, 1))
    assert (finding.code, finding.span.line) == (code, line)
    assert remedy in finding.fix


@pytest.mark.parametrize(
    ("text", "code", "remedy"),
    [
        ("use", "F03", "Finish"),
        ("}", "F04", "Delete"),
        ("by assistant", "F10", "procedure"),
        ('supply b "B" { dilute 1/10 }', "F06", "1 part to 9 parts"),
        ('supply b "B" { dilute 1 to 9 }', "F01", "1 part to 9 parts"),
        ('task t "T" { every day at 8 }', "F01", "08:00"),
        ('task t "T" { every week on monday }', "F01", "mon"),
        ('task t "T" { by a, b }', "F01", "or"),
        ('device d "D" { program p "P" { at 132 for 4 min } }', "F08", "unit"),
        ('role a "A"\non duty 1\n}', "F11", "{"),
    ],
)
def test_slips_in_other_places(text: str, code: str, remedy: str) -> None:
    (finding,) = errors(text)
    assert finding.code == code
    assert remedy in finding.fix


def test_a_space_that_does_not_break_is_a_space() -> None:
    assert errors(PROCEDURE.replace("5 min", "5\u00a0min")) == []


def test_after_25_mistakes_reading_stops_and_says_so() -> None:
    findings = errors("role {\n}\n" * 40)
    assert len(findings) == 26
    assert findings[-1].code == "F09"


def test_blocks_too_deep_inside_one_another_are_refused() -> None:
    inner = 'choose "?" { way "x" { ' * 400
    (finding,) = errors(f'procedure p "P" {{ {inner} {"} }" * 400} }}')
    assert finding.code == "F12"
