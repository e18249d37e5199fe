"""An office's day as plain values to be played through or proved: from visits, circuits and a caseload."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise
from math import lcm

from sopc.checks.days.work import Work, claims_of, limiting, who, work_of
from sopc.checks.time.durations import Lengths, stated
from sopc.model.nouns import Caseload, Circuit, Office, Visit
from sopc.trade import simulation
from sopc.trade.simulation import Activity, Claim, Day, Stage

MINUTE = 60
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
PATIENCE = 30 * MINUTE  # how long a load waits for more when the text does not say
COURTESY = 15 * MINUTE  # how long a patient may have to wait for a chair, people or instruments


MOST_VISITS = 200  # of one day; more are not planned
MOST_SETS = 2_000


@dataclass(frozen=True, slots=True)
class OfficeDay:
    """One caseload on one day of the week, with all that is assumed of it. Times are seconds after midnight."""

    office: Office
    caseload: Caseload
    weekday: int
    day: Day
    opens: int
    ready_by: int
    works: dict[str, Work]  # by procedure
    unheld: tuple[tuple[str, str], ...]  # device, item: the device does not say how many it holds
    patience: dict[str, int]  # by stage that fills a machine

    @property
    def too_large(self) -> bool:
        """Whether the day has more visits or sets than can be planned in reasonable time."""
        visits = self.day.visits
        sets = sum(number for _, name in self.day.bookings for _, number in visits[name].needs)
        return len(self.day.bookings) > MOST_VISITS or sets > MOST_SETS

    @property
    def limited(self) -> bool:
        """Whether a limit along a circuit is to be kept."""
        return any(circuit.way_limits for circuit in self.office.circuits.values())

    def sure(self, activities: tuple[Activity, ...]) -> int:
        """Seconds that must be allowed for: machines and patients take their longest."""
        return sum(simulation.longest(activity) for activity in activities)

    def pool_title(self, pool: str) -> str:
        """The device's or role's title."""
        kind, _, name = pool.partition(" ")
        things = self.office.devices if kind == "device" else self.office.roles
        return things[name].title

    def unit_title(self, pool: str, number: int) -> str:
        """The title of one of several devices or people of a kind, counted from 1."""
        several = self.day.pools[pool] > 1
        return f"{self.pool_title(pool)}, no. {number}" if several else self.pool_title(pool)


def clock(seconds: int) -> str:
    """The time of day, as on a wall clock; on another day it is said to be the next one that is open."""
    later = " next day" if seconds >= 24 * 3600 else ""
    return f"{seconds // 3600 % 24:02d}:{seconds % 3600 // MINUTE:02d}{later}"


def weekday_of(office: Office, caseload: Caseload, when: date | None = None) -> int | None:
    """The day of the week to plan: that of the date, else the first open one of the caseload; None: never open."""
    open_days = office.calendar.open_days
    if when is not None:
        return when.weekday() if open_days.get(when.weekday()) else None
    wanted = caseload.weekdays or tuple(range(7))
    return next((day for day in wanted if open_days.get(day)), None)


def office_days(office: Office, caseload: Caseload) -> Iterator[OfficeDay]:
    """The caseload on each day of the week it names, days alike once."""
    known: list[tuple[Day, int, int]] = []
    for weekday in caseload.weekdays or (weekday_of(office, caseload),):
        made = office_day(office, caseload, weekday=weekday)
        if made is not None and (made.day, made.opens, made.ready_by) not in known:
            known.append((made.day, made.opens, made.ready_by))
            yield made


def office_day(
    office: Office, caseload: Caseload, when: date | None = None, weekday: int | None = None
) -> OfficeDay | None:
    """Return the caseload's day as plain values; None when the office is not open on any day it names."""
    weekday = weekday_of(office, caseload, when) if weekday is None else weekday
    if weekday is None:
        return None
    works = works_of(office)
    unheld: list[tuple[str, str]] = []
    stages = {
        name: stage_of(office, name, works[name], unheld)
        for name in dict.fromkeys(stage.procedure for each in office.circuits.values() for stage in each.stages)
    }
    hours = office.calendar.open_days[weekday]
    morning = _morning_after(office, caseload, weekday)
    pauses = tuple((one[1] * MINUTE, two[0] * MINUTE) for one, two in pairwise(hours))
    booked = _booked(caseload)
    day = Day(
        pools=_pools(office, caseload, morning),
        stages=stages,
        journeys=_journeys(office),
        visits={name: visit_of(office, visit, works) for name, visit in office.visits.items()},
        bookings=tuple(booked + (morning.bookings if morning is not None else [])),
        stock={name: item.count for name, item in office.items.items() if item.count is not None},
        pauses=tuple(pause for pause in pauses if pause[0] < pause[1]) + (morning.pauses if morning else ()),
        own=len(booked) if morning is not None else None,
    )
    closes = (hours[-1][1] if caseload.ready_by is None else caseload.ready_by) + (morning.offset if morning else 0)
    patience = {name: stage.patience for name, stage in stages.items() if stage.size and stage.patience}
    return OfficeDay(
        office, caseload, weekday, day, hours[0][0] * MINUTE, closes * MINUTE, works, tuple(unheld), patience
    )


def works_of(office: Office) -> dict[str, Work]:
    """The procedures of all circuits, and those done after visits, as work."""
    lengths = Lengths(office)
    names = [stage.procedure for circuit in office.circuits.values() for stage in circuit.stages]
    names += [name for visit in office.visits.values() for name in visit.afterwards]
    return {name: work_of(lengths, office.procedures[name]) for name in dict.fromkeys(names)}


def without_stock(made: OfficeDay) -> Day:
    """The same day with as many sets as are asked for."""
    return replace(made.day, stock={})


@dataclass(frozen=True, slots=True)
class _Morning:
    """The next open day up to the hour by which all must be ready; seconds after midnight of the day before it all."""

    offset: int  # minutes from midnight to midnight
    pauses: tuple[tuple[int, int], ...]  # the night, and the breaks of the next day
    bookings: list[tuple[int, str]]
    caseload: Caseload | None


def _morning_after(office: Office, caseload: Caseload, weekday: int) -> _Morning | None:
    """What is played of the next open day when all must be ready only then; None when all is ready the same day."""
    if not caseload.ready_next_day or caseload.ready_by is None:
        return None
    open_days = office.calendar.open_days
    days = next(count for count in range(1, 8) if open_days.get((weekday + count) % 7))
    following = (weekday + days) % 7
    offset = days * 24 * 60
    hours = open_days[following]
    night = (open_days[weekday][-1][1] * MINUTE, (offset + hours[0][0]) * MINUTE)
    breaks = tuple(((offset + one[1]) * MINUTE, (offset + two[0]) * MINUTE) for one, two in pairwise(hours))
    others = [caseload, *office.caseloads.values()]
    next_one = next((each for each in others if not each.weekdays or following in each.weekdays), None)
    early = [(time, name) for time, name in _booked(next_one) if time < caseload.ready_by * MINUTE] if next_one else []
    return _Morning(offset, (night, *breaks), [(time + offset * MINUTE, name) for time, name in early], next_one)


def _booked(caseload: Caseload) -> list[tuple[int, str]]:
    return sorted((minute * MINUTE, booking.visit) for booking in caseload.bookings for minute in booking.minutes)


def _pools(office: Office, caseload: Caseload, morning: _Morning | None) -> dict[str, int]:
    """What there is of each machine, and of each role the fewest on duty on the day and on the morning after."""
    people: dict[str, int] = {}
    for each in (caseload, morning.caseload if morning is not None else None):
        present = {name: number for number, name in each.staff} if each is not None else {}
        for name, role in office.roles.items() if each is not None else ():
            number = present.get(name, role.on_duty[0])
            people[f"role {name}"] = min(number, people.get(f"role {name}", number))
    return {**people, **{f"device {name}": device.count for name, device in office.devices.items()}}


def _journeys(office: Office) -> dict[str, tuple[str, ...]]:
    """The first circuit that names an item is its way; a procedure counts once on it."""
    found: dict[str, tuple[str, ...]] = {}
    for circuit in office.circuits.values():
        for item in circuit.items:
            found.setdefault(item, tuple(dict.fromkeys(stage.procedure for stage in circuit.stages)))
    return found


def visit_of(office: Office, visit: Visit, works: dict[str, Work]) -> simulation.Visit:
    """A visit with what is done after it."""
    length = stated(visit.lasts) if visit.lasts is not None else None
    least = length.least if length else 0
    most = max(least, length.most or 0) if length else 0
    own = Activity(visit.title, least, most, claims_of(who(office, visit.by), 0), bool(visit.by), most > least)
    activities = [own]
    for name in visit.afterwards:
        activities += shifted(works[name].activities, len(activities))
    chairs = tuple(f"device {name}" for name in chairs_of(office, visit))
    if chairs:
        # The chair is free again when all that follows the visit is done.
        claim = Claim(chairs, 1, len(activities) - 1)
        activities[0] = replace(own, claims=(*own.claims, claim))
    needs = tuple((item, number) for number, item in visit.needs)
    return simulation.Visit(visit.name, tuple(activities), needs)


def chairs_of(office: Office, visit: Visit) -> tuple[str, ...]:
    """The devices the visit may take; a kind stands for all of that kind."""
    found: list[str] = []
    for name in visit.chairs:
        of_kind = [device.name for device in office.devices.values() if device.kind == name]
        found += [name] if name in office.devices else of_kind
    return tuple(dict.fromkeys(found))


def shifted(activities: tuple[Activity, ...], by: int) -> list[Activity]:
    """The activities as they stand behind others."""
    return [
        replace(each, claims=tuple(replace(claim, until=claim.until + by) for claim in each.claims))
        for each in activities
    ]


def stage_of(office: Office, name: str, work: Work, unheld: list[tuple[str, str]]) -> Stage:
    """A procedure of a circuit as it is done load by load; what a device does not say it holds is told in `unheld`."""
    circuits = [each for each in office.circuits.values() if any(stage.procedure == name for stage in each.stages)]
    items = tuple(dict.fromkeys(item for circuit in circuits for item in circuit.items))
    machines = [office.devices[device] for device in work.devices if limiting(office, device)]
    if _alone(circuits, name):
        return Stage(name, work.activities, 1, dict.fromkeys(items, 1))
    if not machines or not items:
        return Stage(name, work.activities)
    room: dict[str, int] = {}
    for item in items:
        held = [{what: number for number, what in machine.holds}.get(item) for machine in machines]
        unheld += [(machine.name, item) for machine, number in zip(machines, held, strict=True) if not number]
        room[item] = max(1, min(number or 1 for number in held))
    size = lcm(*room.values())
    patience = min(circuit.patience.ticks() if circuit.patience else PATIENCE for circuit in circuits)
    return Stage(name, work.activities, size, {item: size // number for item, number in room.items()}, patience)


def _alone(circuits: list[Circuit], name: str) -> bool:
    return any(stage.one_by_one for circuit in circuits for stage in circuit.stages if stage.procedure == name)
