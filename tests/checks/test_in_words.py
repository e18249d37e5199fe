"""Words of a page against its clauses: told where they clearly differ, let pass where they do not speak of it."""

from __future__ import annotations

import pytest

from sopc.checks.records import in_words
from tests.checks.small_offices import codes, found, procedure

MACHINE = """
device kiln "Kiln" is steamer {
  program long "Long%s" { steam gravity at 132 C for 15 min dry 15 to 30 min lasts 40 to 60 min by machine }
}
"""
SHEET = """
log sheet "Sheet" { sheet weekly 20 rows column warm "Warm" C%s column held "Held" min column who "By" initials }
"""


def told(text: str) -> list[str]:
    return codes(found(in_words.check, text))


def step(title: str, clauses: str, more: str = "") -> list[str]:
    return told(procedure(f'step s "{title}" {{ {clauses} }}\n step t "T" {{ takes 1 min }}\n{more}'))


@pytest.mark.parametrize(
    ("title", "clauses", "expected"),
    [
        ("Keep wet for two minutes", "takes 2 to 3 min", []),
        ("Keep wet for two minutes", "takes 119 s to 3 min", ["X01"]),
        ("Pour it over, ten minutes", "takes 1 to 12 min", ["X01"]),
        ("Run each line for 20 to 30 seconds", "takes 20 s to 5 min", []),  # there may be many lines
        ("Run each line for 20 to 30 seconds", "takes 19 s to 5 min", ["X01"]),
        ("Leave it for 24 hours", "takes 24 h by machine", []),
        ("Leave it for 24 hours", "takes 24 min by machine", ["X01"]),
        ("Soak at most 15 minutes", "takes 10 to 16 min", ["X01"]),
        ("Soak at most 15 minutes", "takes 10 to 15 min", []),
        ("Keep wet for two minutes", "", ["X01"]),  # words alone hold nothing
        ("Telephone within 15 days", "takes 5 min", []),
        ("Throw away what is older than 2 weeks", "takes 5 min", []),
        ("Write down the last 30 days", "takes 5 min", []),
        ("Keep the sheet for three weeks", "takes 10 s", []),  # nobody is at it for so long
        ("Keep the sheet for three weeks", "", []),
        ("Rinse", 'takes 10 s note "At least thirty seconds; the last one with treated water."', ["X01"]),
        ("Rinse", 'takes 30 s note "At least thirty seconds; the last one with treated water."', []),
        ("Soak", 'takes 10 to 16 min note "Never longer than 15 minutes for tips: the coating suffers."', ["X01"]),
        ("Rinse", 'takes 10 s note "Older texts say 15 seconds of rubbing."', []),
        ("Rinse", 'takes 10 s note "One to five minutes is what a guideline gives."', []),
        ("Rinse", 'note "At least thirty seconds."', []),
    ],
)
def test_a_step_lasts_as_long_as_its_words_say(title: str, clauses: str, expected: list[str]) -> None:
    assert step(title, clauses) == expected


def test_a_limit_may_see_to_the_time_that_the_words_name() -> None:
    limit = "limit t starts at least %s min after s ends"
    assert step("Set aside for 10 minutes", "takes 5 s", limit % 10) == []
    assert step("Set aside for 10 minutes", "takes 5 s", limit % 9) == ["X01"]


def test_a_task_lasts_as_long_as_its_title_says() -> None:
    task = 'task t "Degas for ten minutes" { by assistant every day takes %s because "." }'
    assert told(task % "10 min") == []
    assert told(task % "1 min") == ["X01"]


@pytest.mark.parametrize(
    ("note", "expected"),
    [
        ("132 °C for 15 minutes, then 15 to 30 minutes' drying.", []),
        ("270 °F for 15 minutes.", []),  # as people round
        ("121 °C for 15 minutes.", ["X02"]),
        ("132 °C for 4 minutes.", ["X02"]),
        ("Not as before: 121 °C for 30 minutes. Now 132 °C for 15 minutes.", []),
        ("Dry 20 minutes.", ["X02"]),
        ("Dry 15 minutes or more.", []),
        ("At 50 °C the door opens.", []),
    ],
)
def test_words_about_a_cycle_are_those_of_the_program(note: str, expected: list[str]) -> None:
    run = procedure(f'step s "Run it" {{ runs kiln long note "{note}" }}')
    assert told(MACHINE % "" + run) == expected


def test_the_title_of_a_program_names_its_own_temperature() -> None:
    assert told(MACHINE % ", 132 °C") == []
    assert told(MACHINE % ", 121 °C") == ["X02"]


@pytest.mark.parametrize(
    ("question", "limit", "expected"),
    [
        ("130 to 135 °C?", " from 130 to 135", []),
        ("130 to 135 °C?", " from 130 to 136", ["X03"]),
        ("130 to 135 °C?", "", ["X03"]),
        ("At least 130 °C, no fault?", " from 130 to 135", []),  # the sheet may be stricter
        ("At least 130 °C, no fault?", " at most 135", ["X03"]),
        ("266 °F or more?", " at least 130", []),
        ("Warm enough?", "", []),
        ("Still wet after two minutes?", "", []),
        ("Was it 20 °C in the room, and 130 °C inside?", "", []),  # which of the two is written down?
    ],
)
def test_a_question_asks_for_what_the_sheet_accepts(question: str, limit: str, expected: list[str]) -> None:
    read = f'step s "Read" {{ check "{question}" else stop "Call." record sheet column warm, held, who }}'
    assert told(SHEET % limit + procedure(read)) == expected


@pytest.mark.parametrize(
    ("clauses", "note", "expected"),
    [
        ("dilute 1 part to 49 parts use within 6 h", "Two parts in a hundred. Fresh every morning.", []),
        ("dilute 1 part to 245 parts use within 6 h", "Two parts in a hundred.", ["X04"]),
        ("dilute 1 part to 49 parts use within 25 h", "Fresh every morning.", ["X04"]),
        ("use within 14 day", "The opened strip is used up within fourteen days.", []),
        ("use within 15 day", "The opened strip is used up within fourteen days.", ["X04"]),
        ("", "The opened strip is used up within fourteen days.", ["X04"]),
        ("", "Wiped off within two minutes.", []),
    ],
)
def test_a_solution_is_as_its_note_says(clauses: str, note: str, expected: list[str]) -> None:
    assert told(f'supply mix "Mix" {{ {clauses} note "{note}" }}') == expected


def test_a_step_names_the_parts_of_what_it_uses() -> None:
    mix = 'supply mix "Mix" { dilute 1 part to %s parts use within 6 h }'
    work = procedure('step s "Mix one part with nine parts water" { using mix takes 1 min }')
    assert told(mix % 9 + work) == []
    assert told(mix % 10 + work) == ["X04"]


@pytest.mark.parametrize(
    ("done", "schedule", "expected"),
    [
        ("every Monday", "every week on mon", []),
        ("every Monday", "every week on thu", ["X05"]),
        ("every Monday", "every month on first mon", ["X05"]),
        ("Thursday after the last patient", "every week on thu", []),
        ("first Tuesday of the month", "every month on first tue", []),
        ("first Tuesday of the month", "every quarter on first tue", ["X05"]),
        ("at the start of the day, before the first patient is seated", "start of day", []),
        ("at the start of the day", "every week on mon", ["X05"]),
        ("after each patient", "each patient", []),
        ("after each patient", "every day", ["X05"]),
        ("after each patient", 'after "each patient, when the last tray is in use"', []),
        ("for each load", "each load of sterilizer", []),
        ("every day", "every day at 12:30", []),
        ("daily", "every week on mon", ["X05"]),
        ("at once", "every week on mon", []),
        ("when something is missing at the door", 'after "a spill"', []),
    ],
)
def test_a_procedure_is_done_when_its_page_says_so(done: str, schedule: str, expected: list[str]) -> None:
    work = procedure('step s "S" { takes 1 min }', clauses=f'by assistant done "{done}"')
    task = f'task t "T" {{ perform work by assistant {schedule} because "." }}'
    assert told(work + task) == expected


def test_what_no_task_performs_by_itself_is_let_pass() -> None:
    work = procedure('step s "S" { takes 1 min }', clauses='by assistant done "every Monday"')
    assert told(work) == []
