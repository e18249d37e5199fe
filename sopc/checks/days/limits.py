"""The limits that reach from one procedure of a circuit into another, as a day of many loads must keep them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sopc.checks.days.day import OfficeDay, clock
from sopc.checks.days.work import Edge, Marks, Spacing, Work, spacings_between
from sopc.model import nouns
from sopc.model.nouns import Circuit, WayLimit, WayPoint
from sopc.source import Span
from sopc.trade.quantities import show_duration
from sopc.trade.simulation import Activity, Job, Run, Visit

VISIT: Marks = {("", None): ((Edge(0, True, False), Edge(0, False, True)),)}


@dataclass(frozen=True, slots=True)
class Reach:
    """A limit as it holds for one item on one day: from an activity of one job to one of another.

    `jobs` are the item's, from the first to the last that the limit spans.
    """

    limit: WayLimit
    jobs: tuple[int, ...]
    spacing: Spacing


def limits_of(made: OfficeDay) -> list[tuple[Circuit, WayLimit]]:
    """All limits along circuits, in the order of the text."""
    return [(circuit, limit) for circuit in made.office.circuits.values() for limit in circuit.way_limits]


def reaches_of(made: OfficeDay, run: Run) -> tuple[Reach, ...]:
    """Every place in a run where a limit along a circuit holds, each once."""
    ways: dict[int, list[Job]] = defaultdict(list)
    items: dict[int, str] = {}
    for job in run.jobs:
        for item, use in zip(job.units, job.uses, strict=True):
            ways[use].append(job)
            items[use] = item
    found: dict[tuple[WayLimit, int, int, Spacing], Reach] = {}
    marks = {work: marks_of_job(made, job) for work, job in {id(job.work): job for job in run.jobs}.items()}
    for circuit, limit in limits_of(made):
        for use, jobs in ways.items():
            if items[use] in circuit.items:
                for reach in _reaches([marks[id(job.work)] for job in jobs], limit, jobs):
                    found.setdefault((limit, reach.jobs[0], reach.jobs[-1], reach.spacing), reach)
    return tuple(found.values())


def measured(run: Run, reach: Reach) -> int:
    """Seconds from the earlier point to the later one as they were in the run."""
    spacing, first, last = reach.spacing, run.jobs[reach.jobs[0]], run.jobs[reach.jobs[-1]]
    since = (first.ends if spacing.earlier_ends else first.starts)[spacing.earlier]
    return (last.ends if spacing.later_ends else last.starts)[spacing.later] - since


def quickest(run: Run, reach: Reach) -> int:
    """Seconds between the two points when nothing waits and everyone is quick."""
    return sum(activity.least for activity in between(run, reach))


def between(run: Run, reach: Reach) -> Iterator[Activity]:
    """The activities between the two points of a limit, in order."""
    spacing = reach.spacing
    for number in reach.jobs:
        activities = run.jobs[number].work.activities
        first = spacing.earlier + spacing.earlier_ends if number == reach.jobs[0] else 0
        last = spacing.later + spacing.later_ends if number == reach.jobs[-1] else len(activities)
        yield from activities[first:last]


def waits_in_words(made: OfficeDay, run: Run, reach: Reach) -> Iterator[tuple[str, Span]]:
    """Where the time between the two points of a limit went in a run: each wait, each piece of work."""
    spacing, before = reach.spacing, 0
    for number in reach.jobs:
        job = run.jobs[number]
        visit = isinstance(job.work, Visit)
        named = (made.office.visits if visit else made.office.procedures)[job.work.name]
        first = spacing.earlier if number == reach.jobs[0] else 0
        last = spacing.later if number == reach.jobs[-1] else len(job.starts) - 1
        since = (job.ends if spacing.earlier_ends else job.starts)[first] if number == reach.jobs[0] else job.start
        until = (job.ends if spacing.later_ends else job.starts)[last] if number == reach.jobs[-1] else job.end
        if number != reach.jobs[0] and job.start > before:
            yield f"{clock(before)} to {clock(job.start)}: waits for “{named.title}”", named.span
        if until > since:
            yield f"{clock(since)} to {clock(until)}: “{named.title}”", named.span
        before = until
    yield f"together {show_duration(measured(run, reach))}", reach.limit.span


def marks_of_job(made: OfficeDay, job: Job) -> Marks:
    """Where the steps of a visit, with what follows it, or of a load lie among its activities."""
    if not isinstance(job.work, Visit):
        return made.works[job.work.name].marks
    return visit_marks(made.office.visits[job.work.name], made.works)


def visit_marks(visit: nouns.Visit, works: Mapping[str, Work]) -> Marks:
    """Where the visit itself and the steps of what is done after it lie among its activities."""
    found: dict[tuple[str, str | None], tuple[tuple[Edge, Edge], ...]] = dict(VISIT)
    place = 1
    for after in visit.afterwards:
        work = works[after]
        for step, edges in work.marks.items():
            moved = tuple((start.shifted(place), end.shifted(place)) for start, end in edges)
            found[step] = (*found.get(step, ()), *moved)
        place += len(work.activities)
    return found


def points_at(marks: Marks, point: WayPoint) -> tuple[Edge, ...]:
    """Where a point of the text lies."""
    return tuple(
        start if point.edge == "starts" else end for start, end in marks.get((point.procedure, point.step), ())
    )


def _reaches(marks: list[Marks], limit: WayLimit, jobs: list[Job]) -> Iterator[Reach]:
    if any(step in each for each in marks for step in limit.unless):
        return
    earlier = [(place, edge) for place, each in enumerate(marks) for edge in points_at(each, limit.earlier)]
    later = [(place, edge) for place, each in enumerate(marks) for edge in points_at(each, limit.later)]
    for first, since in earlier:
        for last, until in later:
            if (first, since.activity) < (last, until.activity):
                numbers = tuple(job.number for job in jobs[first : last + 1])
                for spacing in spacings_between(since, until, limit):
                    yield Reach(limit, numbers, spacing)
