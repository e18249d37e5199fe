"""How far apart: a gap of days counts from one day to the next on which it is done, and a calendar week is said so."""

from __future__ import annotations

import pytest

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import State
from tests.checks.small_offices import TODAY, office

LOG = """
log training_log "Trainings" { sheet yearly 9 rows column on_date "Date" date %s meets R-1 }
procedure work "Work" { by assistant step a "A" { } }
training lesson "Lesson" { for assistant covers work at least every %d days record training_log meets R-1 }
"""
ANNUAL = (
    "a training that meets this, at most 365 days apart otherwise "
    'a log that meets this, with column for text saying "why" or "reason"'
)


def state(sentence: str, text: str) -> State:
    whole = office(f'requirement R-1 "It" {{ requires {sentence} }}\n{text}')
    return standings(whole, TODAY)["R-1"].state


@pytest.mark.parametrize(("days", "expected"), [(7, State.MET), (8, State.OPEN)])
def test_spore_tests_8_days_apart_are_not_at_most_7_days_apart(days: int, expected: State) -> None:
    """CDC 2003, MMWR 52 RR-17, VI.F: "at least weekly". Read as a gap of days, eight days are too many."""
    task = f'task spore "Spore test" {{ by assistant does wash every {days} days from 2026-11-16 }}'
    assert state("a task that does wash, at most 7 days apart", task) is expected


def test_a_holiday_moves_a_weekly_test_by_a_day_and_only_the_calendar_week_allows_it() -> None:
    """The source says "at least weekly" and no more; that a calendar week is meant is for the sentence to declare."""
    task = 'task spore "Spore test" { by assistant does wash every week on mon if closed next open day }'
    shut = 'office "Example" { open mon to fri 08:00 to 17:00 closed 2027-02-15 "Presidents\' Day" }\n'
    from tests.checks.small_offices import TRADE

    trade = shut + TRADE.split("\n", 2)[2]

    def read(sentence: str) -> State:
        whole = office(f'requirement R-1 "It" {{ requires {sentence} }}\n{task}', trade)
        return standings(whole, TODAY)["R-1"].state

    assert read("a task that does wash, at most 7 days apart") is State.OPEN
    assert read("a task that does wash, at most 8 days apart") is State.MET
    assert read("a task that does wash, in every calendar week") is State.MET


@pytest.mark.parametrize(
    ("days", "column", "expected"),
    [
        (365, "", State.MET),
        (366, "", State.OPEN),
        (366, 'column late "If later: why" text', State.MET),
    ],
)
def test_training_366_days_after_the_last_needs_a_reason_on_file(days: int, column: str, expected: State) -> None:
    """OSHA, letter of interpretation of 2007: annual means within 365 days, or the reason and the new date on file."""
    assert state(ANNUAL, LOG % (column, days)) is expected
