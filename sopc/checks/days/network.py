"""A day as a network of time limits: lengths, order, bookings, limits, and who hands what over to whom."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sopc.checks.days.day import COURTESY, OfficeDay
from sopc.checks.days.limits import Reach, reaches_of
from sopc.checks.days.work import Spacing
from sopc.model.nouns import WayLimit
from sopc.trade.network import Bound, Link, Network
from sopc.trade.resources import Demand
from sopc.trade.simulation import Activity, Job, Run, Visit


@dataclass(frozen=True, slots=True)
class Points:
    """Where the activities of the jobs lie in a network: point 0 is midnight."""

    first: tuple[int, ...]  # by job: the start of its first activity; its end is the next point, and so on

    def start(self, job: int, activity: int) -> int:
        return self.first[job] + 2 * activity

    def end(self, job: int, activity: int) -> int:
        return self.first[job] + 2 * activity + 1


def points_of(run: Run) -> Points:
    """Number the moments of a run."""
    return points_after(len(job.work.activities) for job in run.jobs)


def points_after(activities: Iterable[int]) -> Points:
    """Number the moments of jobs that have so many activities each."""
    first, count = [], 1
    for number in activities:
        first.append(count)
        count += 2 * number
    return Points(tuple(first))


def demands_of(made: OfficeDay, run: Run) -> tuple[tuple[Demand, ...], dict[Hashable, int]]:
    """What each job holds of what, as the run chose it, and what there is."""
    points = points_of(run)
    demands = tuple(
        Demand(points.start(job.number, first), points.end(job.number, last), pool, amount, job.number)
        for job in run.jobs
        for pool, amount, first, last in job.held
    )
    used = {demand.resource for demand in demands}
    return demands, {pool: number for pool, number in made.day.pools.items() if pool in used}


def network_of(made: OfficeDay, run: Run, *, handed_over: bool, limits: tuple[WayLimit, ...] | None = None) -> Network:
    """Everything the day must keep: lengths, order, bookings, limits, the end.

    With `handed_over` also that machines, chairs and people go from job to job as in the run. Of the limits along
    circuits all are kept, or only those of `limits`.
    """
    points = points_of(run)
    size = 1 + 2 * sum(len(job.work.activities) for job in run.jobs)
    bounds: list[Bound] = []
    links: list[Link] = []
    for job in run.jobs:
        for place, activity in enumerate(job.work.activities):
            _length(activity, points.start(job.number, place), points.end(job.number, place), bounds, links)
            if place:
                bounds.append(Bound(points.start(job.number, place), points.end(job.number, place - 1), 0, None))
            bounds += _outside_pauses(made, activity, points.start(job.number, place), job.starts[place])
        last = len(job.work.activities) - 1
        if run.is_own(job):
            bounds.append(Bound(0, points.end(job.number, last), made.ready_by, "ready"))
        bounds += _begins(run, points, job)
        bounds += _spaced(made, points, job)
    for reach in reaches_of(made, run):
        if limits is None or reach.limit in limits:
            bounds += bounds_of(points, reach, reach.spacing.most)
    if handed_over:
        bounds += _handovers(made, run, points)
    return Network(size, tuple(bounds), tuple(links))


def _length(activity: Activity, start: int, end: int, bounds: list[Bound], links: list[Link]) -> None:
    if activity.contingent and activity.least < activity.most:
        links.append(Link(start, activity.least, activity.most, end, activity.title))
        return
    bounds.append(Bound(end, start, -activity.least, activity.title))
    if activity.contingent:
        bounds.append(Bound(start, end, activity.most, activity.title))


def _outside_pauses(made: OfficeDay, activity: Activity, point: int, played: int) -> list[Bound]:
    """Before or after each pause, as in the run."""
    if not activity.hands:
        return []
    return [
        Bound(point, 0, -end, "pause") if played >= end else Bound(0, point, start - 1, "pause")
        for start, end in made.day.pauses
    ]


def _begins(run: Run, points: Points, job: Job) -> list[Bound]:
    own = points.start(job.number, 0)
    found = []
    if isinstance(job.work, Visit):
        found += [Bound(own, 0, -job.ready, "booked"), Bound(0, own, job.ready + COURTESY, "booked")]
    for number in job.after:
        end = points.end(number, len(run.jobs[number].work.activities) - 1)
        found.append(Bound(own, end, 0, None))
    return found


def pair_of(points: Points, reach: Reach) -> tuple[int, int]:
    """The two moments between which a limit along a circuit holds at one place."""
    spacing = reach.spacing
    earlier = (points.end if spacing.earlier_ends else points.start)(reach.jobs[0], spacing.earlier)
    return earlier, (points.end if spacing.later_ends else points.start)(reach.jobs[-1], spacing.later)


def bounds_of(points: Points, reach: Reach, most: int | None) -> list[Bound]:
    """What a limit along a circuit asks at one place, with `most` seconds as its upper end."""
    spacing, found = reach.spacing, []
    earlier, later = pair_of(points, reach)
    if most is not None:
        found.append(Bound(earlier, later, most, reach.limit))
    if spacing.least is not None:
        found.append(Bound(later, earlier, -spacing.least, reach.limit))
    return found


def _spaced(made: OfficeDay, points: Points, job: Job) -> list[Bound]:
    found = []
    for spacing in spacings_of(made, job):
        earlier = (points.end if spacing.earlier_ends else points.start)(job.number, spacing.earlier)
        later = (points.end if spacing.later_ends else points.start)(job.number, spacing.later)
        if spacing.most is not None:
            found.append(Bound(earlier, later, spacing.most, spacing))
        if spacing.least is not None:
            found.append(Bound(later, earlier, -spacing.least, spacing))
    return found


def spacings_of(made: OfficeDay, job: Job) -> list[Spacing]:
    """The limits between the activities of a job, those of the procedures after a visit moved to their place."""
    if not isinstance(job.work, Visit):
        return list(made.works[job.work.name].spacings)
    found, place = [], 1
    for name in made.office.visits[job.work.name].afterwards:
        work = made.works[name]
        found += [
            Spacing(each.earlier + place, each.earlier_ends, each.later + place, each.later_ends, each.least, each.most)
            for each in work.spacings
        ]
        place += len(work.activities)
    return found


def _handovers(made: OfficeDay, run: Run, points: Points) -> list[Bound]:
    """Each unit of each pool goes from one holder to the next as in the run."""
    found: dict[Bound, None] = {}
    for pool, units in units_held(made, run, [(job.starts, job.ends) for job in run.jobs]).items():
        for unit in units:
            for (one, _, last), (other, first, _) in pairwise(unit):
                before, after = points.end(one, last), points.start(other, first)
                if before != after:
                    found[Bound(after, before, 0, pool)] = None
    return list(found)


Holding = tuple[int, int, int]
"""A job, and the first and the last activity for which it holds something."""


def units_held(
    made: OfficeDay, run: Run, times: Sequence[tuple[Sequence[int], Sequence[int]]]
) -> dict[str, list[list[Holding]]]:
    """For each unit of each pool what it is held by, one after the other; `times`: starts and ends by job."""
    holds: dict[str, list[tuple[int, int, Holding]]] = defaultdict(list)
    for job in run.jobs:
        starts, ends = times[job.number]
        for pool, amount, first, last in job.held:
            holds[pool] += [(starts[first], ends[last], (job.number, first, last))] * amount
    found: dict[str, list[list[Holding]]] = {}
    for pool, taken in holds.items():
        free_since = [-1] * made.day.pools[pool]
        units: list[list[Holding]] = [[] for _ in free_since]
        for start, end, holding in sorted(taken):
            free = [at for at, since in enumerate(free_since) if since <= start]
            # The unit free the shortest time: the fewest needless handovers across the day.
            place = max(free, key=free_since.__getitem__)
            units[place].append(holding)
            free_since[place] = end
        found[pool] = units
    return found
