"""One played day as lanes: each chair, machine and person, with what fills its time."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum

from sopc.checks.days.day import OfficeDay
from sopc.trade.simulation import Job, Run, Visit


class Fill(StrEnum):
    """What a stretch of time is filled with."""

    PATIENT = "patient"
    HANDS = "hands"
    MACHINE = "machine"
    HELD = "held"  # waiting for hands, and in nobody else's use


@dataclass(frozen=True, slots=True)
class Bar:
    """Seconds after midnight."""

    start: int
    end: int
    fill: Fill


@dataclass(frozen=True, slots=True)
class Lane:
    title: str
    person: bool
    bars: tuple[Bar, ...]


def split_title(title: str) -> tuple[str, str]:
    """What may be shortened of a lane's title, and which one of several it is."""
    name, number, which = title.rpartition(", no. ")
    return (name, number + which) if name else (title, "")


def lanes_of(made: OfficeDay, run: Run) -> tuple[Lane, ...]:
    """Return chairs and machines first, then people; several of a kind are numbered."""
    taken: dict[str, list[tuple[int, int, list[Bar]]]] = defaultdict(list)
    for job in run.jobs:
        for pool, amount, first, last in job.held:
            if last < len(job.ends):
                bars = _bars(job, first, last, pool.startswith("role "))
                taken[pool] += [(job.starts[first], job.ends[last], bars)] * amount
    chairs = [pool for pool in taken if _is_chair(made, pool)]
    machines = [pool for pool in made.day.pools if pool in taken and pool.startswith("device ") and pool not in chairs]
    people = [pool for pool in made.day.pools if pool in taken and pool.startswith("role ")]
    return tuple(lane for pool in (*sorted(chairs), *machines, *people) for lane in _lanes(made, pool, taken[pool]))


def _is_chair(made: OfficeDay, pool: str) -> bool:
    return any(
        pool in claim.any_of and pool.startswith("device ")
        for visit in made.day.visits.values()
        for claim in visit.activities[0].claims
    )


def _bars(job: Job, first: int, last: int, person: bool) -> list[Bar]:
    bars: list[Bar] = []
    at = job.starts[first]
    for place in range(first, last + 1):
        start, end = job.starts[place], job.ends[place]
        if start > at and not person:
            bars.append(Bar(at, start, Fill.HELD))
        if end > start:
            bars.append(Bar(start, end, _fill(job, place)))
        at = end
    return bars


def _fill(job: Job, place: int) -> Fill:
    if isinstance(job.work, Visit) and place == 0:
        return Fill.PATIENT
    return Fill.HANDS if job.work.activities[place].hands else Fill.MACHINE


def _lanes(made: OfficeDay, pool: str, taken: list[tuple[int, int, list[Bar]]]) -> list[Lane]:
    free_at = [0] * made.day.pools[pool]
    bars: list[list[Bar]] = [[] for _ in free_at]
    for start, end, inside in sorted(taken, key=lambda each: each[:2]):
        place = next(at for at, free in enumerate(free_at) if free <= start)
        free_at[place] = end
        bars[place] += inside
    return [
        Lane(made.unit_title(pool, number), pool.startswith("role "), tuple(own))
        for number, own in enumerate(bars, 1)
        if own
    ]
