"""Days played along the order that is proven for them: whatever machines and patients take, nothing is ever broken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

import sopc
from sopc.checks.days.day import OfficeDay, office_day
from sopc.checks.days.limits import measured, reaches_of
from sopc.checks.days.network import points_of
from sopc.checks.days.proof import Safe, prove
from sopc.trade.simulation import Run
from tests.checks.day_player import Player
from tests.checks.test_capacity import QUIET, day, recheck
from tests.checks.test_circuits import TWO_APART
from tests.checks.test_circuits import day as limited_day

DEMO = Path(sopc.__file__).resolve().parents[1] / "protocols" / "larkspur_pass" / "2026-12"


def played(safe: Safe, times: list[int]) -> Run:
    """The run with these times instead of its own."""
    points = points_of(safe.run)
    jobs = []
    for job in safe.run.jobs:
        places = range(len(job.starts))
        starts = [times[points.start(job.number, place)] - times[0] for place in places]
        ends = [times[points.end(job.number, place)] - times[0] for place in places]
        jobs.append(replace(job, starts=starts, ends=ends))
    return replace(safe.run, jobs=jobs)


def keep_playing(made: OfficeDay, runs: int, seed: int = 1) -> None:
    """Play so many days and hold each against the texts: durations, order, capacity, limits, the hour."""
    safe = prove(made)
    assert isinstance(safe, Safe)
    player = Player(safe.network)
    for number in range(runs):
        run = played(safe, player.play(Random(f"{seed}/{number}")))
        recheck(made, run)
        for reach in reaches_of(made, run):
            gap = measured(run, reach)
            assert reach.spacing.most is None or gap <= reach.spacing.most
            assert reach.spacing.least is None or gap >= reach.spacing.least


def demo_day(name: str) -> OfficeDay:
    office, findings = sopc.load(DEMO)
    assert office is not None, findings
    made = office_day(office, office.caseloads[name])
    assert made is not None
    return made


@pytest.mark.parametrize("made", [day(QUIET), limited_day(TWO_APART)])
def test_small_days_keep_every_limit(made: OfficeDay) -> None:
    keep_playing(made, 300)


@pytest.mark.parametrize("name", ["full_day", "thursday"])
def test_the_demo_s_days_keep_every_limit(name: str) -> None:
    keep_playing(demo_day(name), 25)


@pytest.mark.long
@pytest.mark.parametrize("name", ["full_day", "thursday"])
def test_ten_thousand_days_of_the_demo_keep_every_limit(name: str) -> None:
    keep_playing(demo_day(name), 5_000, seed=2)


def test_an_order_that_is_not_proven_is_seen_to_break() -> None:
    """The same player on a day with a tighter limit than is promised: the check of the played day must notice."""
    made = limited_day(TWO_APART)
    safe = prove(made)
    assert isinstance(safe, Safe)
    run = played(safe, Player(safe.network).play(Random("1")))
    worst = max(measured(run, reach) for reach in reaches_of(made, run))
    (limit,) = {reach.limit for reach in reaches_of(made, run)}
    assert worst > 0
    tight = limited_day(TWO_APART, "limit run of wash starts within 1 min after visit ends { cite book }")
    broken = [reach for reach in reaches_of(tight, run) if measured(run, reach) > (reach.spacing.most or 0)]
    assert broken
    assert limit not in {reach.limit for reach in broken}
