"""The sums of a day that prove it cannot be kept: for each machine or chair, each role, each kind of set."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from sopc.checks.days.day import COURTESY, OfficeDay
from sopc.trade.day_bounds import Feed, Overfull, most_away, overfull
from sopc.trade.simulation import Activity, Stage, Visit


@dataclass(frozen=True, slots=True)
class MachineLack:
    """A machine, or chairs any of which may be taken, with the window in which they do not suffice."""

    pools: tuple[str, ...]
    window: Overfull
    chairs: bool


@dataclass(frozen=True, slots=True)
class PeopleLack:
    """Roles that share work, the work by what it is done for (seconds), and the time there is."""

    pools: tuple[str, ...]
    number: int
    since: int
    asked: int
    there: int
    parts: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class SetLack:
    """More of an item away at `at` than there are; none is back sooner than `back_after` seconds."""

    item: str
    needed: int
    owned: int
    at: int
    back_after: int


@dataclass(frozen=True, slots=True)
class Unit:
    """One item used by a visit, and the earliest it can stand before each stage when machines take their longest."""

    item: str
    booked: int
    before: dict[str, int]


def units_of(made: OfficeDay) -> list[Unit]:
    """Every item the day uses."""
    found = []
    for booked, name in made.day.bookings[: made.day.own]:
        visit = made.day.visits[name]
        for item, number in visit.needs:
            at = booked + made.sure(visit.activities)
            before = {}
            for stage in made.day.journeys.get(item, ()):
                before[stage] = at
                at += made.sure(made.day.stages[stage].activities)
            found += [Unit(item, booked, before)] * number
    return found


def _tail(made: OfficeDay, stage: str) -> int:
    """The least time from the end of a stage until its sets are ready, machines at their longest."""
    tails = []
    for journey in made.day.journeys.values():
        if stage in journey:
            later = journey[journey.index(stage) + 1 :]
            tails.append(sum(made.sure(made.day.stages[name].activities) for name in later))
    return min(tails, default=0)


def machine_lacks(made: OfficeDay) -> list[MachineLack]:
    """Machines and chairs that cannot do what is asked of them."""
    units = units_of(made)
    feeds: dict[tuple[str, ...], list[Feed]] = defaultdict(list)
    for stage in made.day.stages.values():
        arrivals = [(unit.before[stage.name], unit.item) for unit in units if stage.name in unit.before]
        if not arrivals or not stage.size:
            continue
        for place, activity in enumerate(stage.activities):
            for claim in activity.claims:
                if not claim.any_of[0].startswith("device "):
                    continue
                lead = made.sure(stage.activities[:place])
                rest = made.sure(stage.activities[claim.until + 1 :]) + _tail(made, stage.name)
                hold = made.sure(stage.activities[place : claim.until + 1])
                came = tuple((time + lead, stage.share[item]) for time, item in arrivals)
                feeds[claim.any_of].append(Feed(stage.name, came, stage.size, hold, made.ready_by - rest))
    found = [_lack(made, pools, all_feeds, False) for pools, all_feeds in feeds.items()]
    found += [_lack(made, pools, all_feeds, True) for pools, all_feeds in _chairs(made).items()]
    return [lack for lack in found if lack is not None]


def _lack(made: OfficeDay, pools: tuple[str, ...], feeds: list[Feed], chairs: bool) -> MachineLack | None:
    window = overfull(feeds, sum(made.day.pools[pool] for pool in pools))
    return MachineLack(pools, window, chairs) if window is not None else None


def _chairs(made: OfficeDay) -> dict[tuple[str, ...], list[Feed]]:
    feeds: dict[tuple[str, ...], list[Feed]] = defaultdict(list)
    for name, visit in made.day.visits.items():
        booked = tuple((time, 1) for time, each in made.day.bookings[: made.day.own] if each == name)
        for claim in visit.activities[0].claims:
            if claim.any_of[0].startswith("device ") and booked:
                hold = made.sure(visit.activities[: claim.until + 1])
                feeds[claim.any_of].append(Feed(name, booked, 1, hold, made.ready_by))
    return feeds


def people_lacks(made: OfficeDay) -> list[PeopleLack]:
    """Roles that have more to do than they have time, from some booking on. The worst for each set of roles."""
    shared = dict.fromkeys(
        tuple(sorted(claim.any_of))
        for activities in _all_work(made)
        for activity in activities
        for claim in activity.claims
        if claim.any_of[0].startswith("role ")
    )
    units = units_of(made)
    found = []
    for pools in shared:
        lacks = [
            _asked(made, set(pools), pools, units, since)
            for since, _ in dict.fromkeys(made.day.bookings[: made.day.own])
        ]
        worst = max(lacks, key=lambda lack: lack.asked - lack.there, default=None)
        if worst is not None and worst.asked > worst.there:
            found.append(worst)
    return found


def _all_work(made: OfficeDay) -> list[tuple[Activity, ...]]:
    works: list[Visit | Stage] = [*made.day.visits.values(), *made.day.stages.values()]
    return [work.activities for work in works]


def _asked(made: OfficeDay, roles: set[str], pools: tuple[str, ...], units: list[Unit], since: int) -> PeopleLack:
    parts: list[tuple[str, int]] = []
    for name, visit in made.day.visits.items():
        number = sum(time >= since and each == name for time, each in made.day.bookings[: made.day.own])
        parts.append((made.office.visits[name].title, number * _only(made, visit.activities, roles)))
    for name, stage in made.day.stages.items():
        shares = [stage.share.get(unit.item, 1) for unit in units if name in unit.before and unit.booked >= since]
        if shares:
            loads = -(-sum(shares) // stage.size) if stage.size else 1
            parts.append((made.office.procedures[name].title, loads * _only(made, stage.activities, roles)))
    number = sum(made.day.pools[pool] for pool in pools)
    there = max(0, made.ready_by - since) * number
    kept = tuple((name, seconds) for name, seconds in parts if seconds)
    return PeopleLack(pools, number, since, sum(seconds for _, seconds in kept), there, kept)


def _only(made: OfficeDay, activities: tuple[Activity, ...], roles: set[str]) -> int:
    """Seconds of work that nobody outside these roles may do."""
    return sum(
        made.sure((activity,)) * claim.amount
        for activity in activities
        for claim in activity.claims
        if set(claim.any_of) <= roles and activity.hands
    )


def set_lacks(made: OfficeDay) -> list[SetLack]:
    """Items of which even at the quickest more are away than there are, if patients wait no longer than they may."""
    found = []
    for item, owned in made.day.stock.items():
        starts, back = [], None
        for booked, name in made.day.bookings:
            visit = made.day.visits[name]
            number = dict(visit.needs).get(item, 0)
            if number:
                starts.append((booked, number))
                quick = _least(visit.activities)
                back = quick if back is None else min(back, quick)
        journey = made.day.journeys.get(item)
        if owned is None or back is None or not journey:
            continue
        back += sum(_least(made.day.stages[stage].activities) for stage in journey)
        needed, at = most_away(starts, back - COURTESY)
        if needed > owned:
            found.append(SetLack(item, needed, owned, at, back))
    return found


def _least(activities: tuple[Activity, ...]) -> int:
    return sum(activity.least for activity in activities)
