"""Days that end the next morning, one after the other: proven day by day, against the whole row played and proven."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from sopc.checks.days.day import COURTESY
from sopc.checks.days.network import network_of, points_of
from sopc.checks.days.proof import Safe, prove, rules_of
from sopc.checks.days.week import Row, keeps_going, rows_of
from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Network
from sopc.trade.simulation import Run, Visit, longest, simulate
from tests.checks.day_player import Player
from tests.checks.test_capacity import codes, day, office, recheck
from tests.checks.test_day_player import demo_day, played

ONE = ("holds 2 cassette", "holds 1 cassette")
LATE = 'caseload day "D" { on mon to wed visit check_up at 10:30, 11:00 ready by 11:00 next day }'
EVERY_DAY = LATE.replace("mon to wed", "mon to thu")
# A load takes at least 42 minutes when the machine is slow: six can be begun in the four hours of a day, seven cannot.
# By itself the day fits: what is left over goes in on the next morning, before its first sets come.
SEVEN = (
    'caseload day "D" { on mon to thu visit check_up at 08:00, 08:30, 09:00, 09:30, 10:00, 10:30, 11:00 '
    "ready by 11:30 next day }"
)
SIX = SEVEN.replace("08:00, ", "")


def row(caseload: str, *changes: tuple[str, str], weeks: int = 2) -> Row:
    (only,) = rows_of(office(caseload, *changes), weeks)
    return only


def by_when(made: Row, run: Run) -> list[tuple[int, int]]:
    """Each job and the hour by which it must be over, for each set that it holds; by going through the visits anew."""
    found, visit, ready = [], 0, {}
    for each in made.days:
        for job in run.jobs[visit : visit + each.bookings]:
            assert isinstance(job.work, Visit)
            ready |= dict.fromkeys(job.uses, each.ready)
        visit += each.bookings
    for job in run.jobs:
        found += [(job.number, ready[use]) for use in job.uses]
    return found


def whole(made: Row) -> list[tuple[Run, Network]]:
    """The row by each rule of working as one network, with the hours by which the sets of each day are ready."""
    found = []
    for rule in rules_of(made.made):
        run = simulate(made.made.day, longest, rule)
        points, network = points_of(run), network_of(made.made, run, handed_over=True)
        ready = [
            Bound(0, points.end(job, len(run.jobs[job].starts) - 1), by, "ready") for job, by in by_when(made, run)
        ]
        found.append((run, Network(network.size, (*network.bounds, *ready), network.links)))
    return found


def test_a_row_ends_with_the_day_that_leaves_nothing() -> None:
    made = row(LATE, ONE)
    assert [each.name for each in made.days] == ["Monday", "Tuesday", "Wednesday", "Thursday"]
    assert [each.caseload is not None for each in made.days] == [True, True, True, False]
    assert made.closed
    assert not row(EVERY_DAY, ONE).closed


@pytest.mark.parametrize("caseload", [LATE, EVERY_DAY])
def test_days_that_leave_little_follow_each_other(caseload: str) -> None:
    assert keeps_going(row(caseload, ONE))
    assert codes(caseload, ONE) == []


def test_days_that_leave_more_and_more_are_told() -> None:
    assert isinstance(prove(day(SEVEN, ONE)), Safe)
    assert codes(SEVEN, ONE) == ["W11"]
    assert codes(SIX, ONE) == []
    assert not any(is_controllable(network) for _, network in whole(row(SEVEN, ONE, weeks=4)))


def test_what_is_shown_day_by_day_holds_for_the_whole() -> None:
    """Also for many more weeks than were looked at."""
    for made in (row(LATE, ONE), row(EVERY_DAY, ONE), row(EVERY_DAY, ONE, weeks=5), row(SIX, ONE, weeks=4)):
        assert any(is_controllable(network) for _, network in whole(made))


def test_weeks_played_with_any_times_keep_every_hour() -> None:
    made = row(LATE, ONE)
    run, network = next(each for each in whole(made) if is_controllable(each[1]))
    player = Player(network)
    for number in range(50):
        week = played(Safe(run, network, rules_of(made.made)[0]), player.play(Random(str(number))))
        recheck(made.made, week)
        assert all(week.jobs[job].end <= by for job, by in by_when(made, week))
        assert all(wait <= COURTESY for wait in week.late())


def test_the_demo_s_week_is_shown_and_would_not_be_with_an_hour_less() -> None:
    (made,) = rows_of(demo_day("full_day").office)
    assert [each.name for each in made.days] == ["Monday", "Tuesday", "Wednesday", "Thursday"]
    assert keeps_going(made)
    sooner = tuple(replace(each, ready=each.ready - 3 * 3600) for each in made.days)
    assert not keeps_going(replace(made, days=sooner))
