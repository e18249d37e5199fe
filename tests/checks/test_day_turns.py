"""The order of work as it is put on paper, played by what each line says and by nothing else."""

from __future__ import annotations

import json
from collections import defaultdict
from random import Random

import pytest

from sopc.checks.days.day import OfficeDay
from sopc.checks.days.limits import measured, reaches_of
from sopc.checks.days.network import points_of
from sopc.checks.days.proof import Safe, prove
from sopc.checks.days.turn_figures import turn_figures, turns_from
from sopc.checks.days.turns import DayTurns, Moment, day_turns, in_clauses, proven
from sopc.trade import early_start
from sopc.trade.network import Bound
from sopc.trade.simulation import Run
from tests.checks.test_capacity import QUIET, day, recheck
from tests.checks.test_circuits import TWO_APART
from tests.checks.test_circuits import day as limited_day
from tests.checks.test_day_player import demo_day, played

Key = tuple[int, int, bool]


class Reader:
    """Begins each line when the one above it is over and its waits have come; inside a line one thing follows another.

    Knows the lines, and of the jobs how many activities each has and how long they take: no network, no bookings.
    """

    def __init__(self, turns: DayTurns, run: Run) -> None:
        self.run = run
        self.before: dict[tuple[int, int], list[tuple[Moment | None, int]]] = defaultdict(list)
        for job in run.jobs:
            for place in range(1, len(job.starts)):
                self.before[job.number, place].append((Moment(job.number, place - 1, True), 0))
        for queue in turns.queues:
            above: Moment | None = None
            for turn in queue.turns:
                begin = self.before[turn.job, turn.first]
                begin += [(wait.moment, wait.seconds) for wait in turn.waits]
                if above is not None:
                    begin.append((above, 0))
                if turn.then:
                    self.before[turn.job, turn.last + 1] += [(wait.moment, wait.seconds) for wait in turn.then]
                above = Moment(turn.job, turn.last, True)
        for turn in turns.loose:
            self.before[turn.job, turn.first] += [(wait.moment, wait.seconds) for wait in turn.waits]

    def play(self, random: Random) -> list[int]:
        """The time of each moment of the run, machines and patients drawing theirs by lot."""
        points = points_of(self.run)
        times = [0] * (1 + 2 * sum(len(job.starts) for job in self.run.jobs))
        ended: dict[Key, int] = {}
        open_ones = [(job.number, place) for job in self.run.jobs for place in range(len(job.starts))]
        while open_ones:
            left = []
            for number, place in open_ones:
                waits = self.before[number, place]
                if any(moment and (moment.job, moment.activity, moment.ends) not in ended for moment, _ in waits):
                    left.append((number, place))
                    continue
                begin = max(
                    (ended[moment.job, moment.activity, moment.ends] if moment else 0) + seconds
                    for moment, seconds in [(None, 0), *waits]
                )
                activity = self.run.jobs[number].work.activities[place]
                lasts = activity.least
                if activity.contingent:
                    lasts = random.choice(
                        (activity.least, activity.most, random.randint(activity.least, activity.most))
                    )
                ended[number, place, False], ended[number, place, True] = begin, begin + lasts
                times[points.start(number, place)], times[points.end(number, place)] = begin, begin + lasts
            assert len(left) < len(open_ones), "lines that wait for each other"
            open_ones = left
        return times


def broken(safe: Safe, times: list[int]) -> list[Bound]:
    """What the proof promises and these times break: limits, breaks, hours, order."""
    return [bound for bound in safe.network.bounds if times[bound.target] - times[bound.source] > bound.weight]


def keep_reading(made: OfficeDay, runs: int, seed: int = 1) -> None:
    safe = prove(made)
    assert isinstance(safe, Safe)
    turns = day_turns(made, safe)
    assert not turns.missed
    reader = Reader(turns, safe.run)
    for number in range(runs):
        times = reader.play(Random(f"{seed}/{number}"))
        assert broken(safe, times) == []
        run = played(safe, times)
        recheck(made, run)
        assert all(measured(run, reach) <= (reach.spacing.most or 10**9) for reach in reaches_of(made, run))


def kept(made: OfficeDay, safe: Safe) -> DayTurns:
    """The turns as they come back from what is kept of them."""
    return in_clauses(turns_from(json.loads(json.dumps(turn_figures(proven(made, safe))))), safe)


@pytest.mark.parametrize("made", [day(QUIET), limited_day(TWO_APART), demo_day("thursday")])
def test_what_is_kept_of_the_lines_says_the_same(made: OfficeDay) -> None:
    safe = prove(made)
    assert isinstance(safe, Safe)
    assert kept(made, safe) == day_turns(made, safe)


def test_a_limit_that_no_wait_keeps_is_named_by_its_clause(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(early_start, "MOST_WAITS", 0)
    made = demo_day("thursday")
    safe = prove(made)
    assert isinstance(safe, Safe)
    missed = day_turns(made, safe).missed
    assert missed
    assert set(missed) <= set(safe.network.bounds)
    assert kept(made, safe).missed == missed


@pytest.mark.parametrize("made", [day(QUIET), limited_day(TWO_APART)])
def test_whoever_follows_the_lines_of_a_small_day_keeps_every_limit(made: OfficeDay) -> None:
    keep_reading(made, 200)


@pytest.mark.parametrize("name", ["full_day", "thursday"])
def test_whoever_follows_the_lines_of_the_demo_s_days_keeps_every_limit(name: str) -> None:
    keep_reading(demo_day(name), 12)


@pytest.mark.long
@pytest.mark.parametrize("name", ["full_day", "thursday"])
def test_thousands_of_the_demo_s_days_keep_every_limit_by_their_lines(name: str) -> None:
    keep_reading(demo_day(name), 3_000, seed=2)


def test_without_the_waits_that_the_order_lacks_a_limit_is_missed() -> None:
    """The order alone is not enough on the demo's Thursday: a visit begun early leaves its handpieces too long."""
    made = demo_day("thursday")
    safe = prove(made)
    assert isinstance(safe, Safe)
    turns = day_turns(made, safe)
    reader = Reader(turns, safe.run)
    hours = [
        (turn.job, wait)
        for queue in turns.queues
        for turn in queue.turns
        for wait in turn.waits
        if wait.moment is None and wait.seconds > safe.run.jobs[turn.job].ready
    ]
    assert hours
    for job, wait in hours:
        reader.before[job, 0] = [each for each in reader.before[job, 0] if each != (wait.moment, wait.seconds)]
        reader.before[job, 0].append((None, safe.run.jobs[job].ready))
    assert any(broken(safe, reader.play(Random(str(number)))) for number in range(200))
