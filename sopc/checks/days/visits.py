"""Can the visits of a day be kept at all, whatever is done with the used sets: exactly, by pairs and then by search?"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace

from sopc.checks.days.day import OfficeDay
from sopc.checks.days.network import network_of, points_of
from sopc.trade.exact_search import exact_search
from sopc.trade.network import Bound, Network
from sopc.trade.resources import Demand, TooMuch, fit
from sopc.trade.simulation import Activity, Job, longest, simulate

MOST_TRIES = 200
MOST_VISITS = 40  # beyond that the search would take too long for a check


@dataclass(frozen=True, slots=True)
class Holder:
    """What one visit holds of the lacking things, from one activity to another: seconds at the longest."""

    job: Job
    first: int
    last: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Clash:
    """Visits that cannot all be kept, and the pools (any of which would do) that are too few for them."""

    pools: tuple[str, ...]
    number: int
    holders: tuple[Holder, ...]


def visits_clash(made: OfficeDay) -> Clash | None:
    """The fewest visits found that cannot all begin in time; None when there are none, or that is not known.

    Left out is whatever could only make it harder: loads, sets, breaks. Roles that stand in for each other count as
    one. Patients take their longest.
    """
    if len(made.day.bookings) > MOST_VISITS:
        return None
    bare = replace(made, day=replace(made.day, stages={}, journeys={}, stock={}, pauses=()))
    run = simulate(bare.day, longest)
    if run.unfinished:
        return None
    network = _at_longest(network_of(bare, run, handed_over=False, limits=()))
    groups = _groups(bare)
    capacities: dict[Hashable, int] = {group: sum(made.day.pools[pool] for pool in group) for group in groups.values()}
    points = points_of(run)
    demands = tuple(
        Demand(
            points.start(job.number, place),
            points.end(job.number, claim.until),
            groups[claim.any_of[0]],
            claim.amount,
            (job.number, place, claim.until),
        )
        for job in run.jobs
        for place, activity in enumerate(job.work.activities)
        for claim in activity.claims
    )
    try:
        verdict = fit(network, demands, capacities, MOST_TRIES, exact_search())
    except ValueError:
        return None  # a visit that alone cannot be kept is told elsewhere
    return _clash(run.jobs, verdict, capacities) if isinstance(verdict, TooMuch) else None


def _at_longest(network: Network) -> Network:
    """The network with patients and machines at their longest, as bounds."""
    fixed = []
    for link in network.links:
        most = link.low if link.high is None else link.high
        fixed.append(Bound(link.activation, link.contingent_end, most, link.clause))
        fixed.append(Bound(link.contingent_end, link.activation, -most, link.clause))
    return Network(network.points, (*network.bounds, *fixed))


def _groups(made: OfficeDay) -> dict[str, tuple[str, ...]]:
    """For each pool all those that any claim lets take its place, directly or over others."""
    groups: dict[str, tuple[str, ...]] = {}
    for visit in made.day.visits.values():
        for activity in visit.activities:
            for claim in activity.claims:
                joined = {pool for one in claim.any_of for pool in groups.get(one, (one,))}
                group = tuple(pool for pool in made.day.pools if pool in joined)
                groups.update(dict.fromkeys(group, group))
    return groups


def _clash(jobs: list[Job], verdict: TooMuch, capacities: dict[Hashable, int]) -> Clash:
    holders = []
    for demand in verdict.demands:
        assert isinstance(demand.clause, tuple)
        number, first, last = demand.clause
        held = jobs[number].work.activities[first : last + 1]
        holders.append(Holder(jobs[number], first, last, _seconds(held)))
    pools = tuple(pool for group in verdict.resources for pool in group)  # type: ignore[attr-defined]
    return Clash(pools, sum(capacities[group] for group in verdict.resources), tuple(holders))


def _seconds(activities: tuple[Activity, ...]) -> int:
    return sum(longest(activity) for activity in activities)
