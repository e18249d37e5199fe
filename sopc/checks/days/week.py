"""Does the week keep going? Days that end the next morning, one after the other, each begun with what the last left."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sopc.checks.days.day import COURTESY, DAY_NAMES, MINUTE, MOST_VISITS, OfficeDay, office_day
from sopc.checks.days.network import network_of, points_of
from sopc.checks.days.proof import likely_rules_of
from sopc.model.nouns import Caseload, Office
from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Link, Network
from sopc.trade.simulation import Run, longest, simulate

MIDNIGHTS = 24 * 60 * MINUTE


@dataclass(frozen=True, slots=True)
class WorkingDay:
    """A day of a row: its caseload (None: no visits), when it begins and by when all its sets are ready, in seconds."""

    weekday: int
    caseload: Caseload | None
    opens: int
    bookings: int
    ready: int

    @property
    def overnight(self) -> bool:
        return self.caseload is not None and self.caseload.ready_next_day

    @property
    def name(self) -> str:
        return DAY_NAMES[self.weekday]


@dataclass(frozen=True, slots=True)
class Row:
    """Days one after the other, as one long day `made`, from a morning on which every set is ready.

    `closed`: the last one ends with every set ready; else days like these come again and again.
    """

    days: tuple[WorkingDay, ...]
    made: OfficeDay
    closed: bool

    @property
    def too_large(self) -> bool:
        """Whether there are more visits than can be planned in reasonable time."""
        return len(self.made.day.bookings) > MOST_VISITS


def rows_of(office: Office, weeks: int = 2) -> Iterator[Row]:
    """The days in a row that go over from one to the next, for every caseload that ends the next morning.

    On a day the same caseload comes again where it may, else the first that may come on that weekday. A row that never
    ends with every set ready goes on for so many weeks and a day.
    """
    for caseload in office.caseloads.values():
        open_days = [day for day in range(7) if office.calendar.open_days.get(day)]
        left = [day for day in open_days if caseload.ready_next_day and (day in (caseload.weekdays or open_days))]
        while left:
            fresh = (day for day in left if not _overnight(_picked(office, caseload, _before(open_days, day))))
            row = _row(office, caseload, next(fresh, left[0]), open_days, weeks * len(open_days) + 1)
            if row is None:
                return
            yield row
            left = [
                day for day in left if not any(each.weekday == day for each in row.days if each.caseload is caseload)
            ]


def _before(open_days: Sequence[int], day: int) -> int:
    return open_days[open_days.index(day) - 1]


def _picked(office: Office, first: Caseload, weekday: int) -> Caseload | None:
    others = (first, *office.caseloads.values())
    return next((each for each in others if not each.weekdays or weekday in each.weekdays), None)


def _overnight(caseload: Caseload | None) -> bool:
    return caseload is not None and caseload.ready_next_day


def _row(office: Office, first: Caseload, start: int, open_days: Sequence[int], most: int) -> Row | None:
    """From this weekday on, up to a day that ends with every set ready, or so many days."""
    made = office_day(office, first, weekday=start)
    if made is None:
        return None
    days: list[WorkingDay] = []
    bookings: list[tuple[int, str]] = []
    pauses: list[tuple[int, int]] = []
    number, offset, before = open_days.index(start), 0, first
    while len(days) < most and (not days or days[-1].overnight):
        weekday, following = (open_days[place % len(open_days)] for place in (number, number + 1))
        away = ((following - weekday - 1) % 7 + 1) * MIDNIGHTS
        caseload = _picked(office, before, weekday)
        hours = [(start + offset, end + offset) for start, end in _seconds(office, weekday)]
        booked = booked_on(caseload, offset) if caseload is not None else []
        ready = hours[-1][1]
        if caseload is not None and caseload.ready_by is not None:
            ready = caseload.ready_by * MINUTE + offset + (away if caseload.ready_next_day else 0)
        days.append(WorkingDay(weekday, caseload, hours[0][0], len(booked), ready))
        bookings += booked
        pauses += [(one[1], two[0]) for one, two in pairwise(hours) if one[1] < two[0]]
        pauses.append((hours[-1][1], _seconds(office, following)[0][0] + offset + away))
        number, offset, before = number + 1, offset + away, caseload or before
    day = replace(made.day, bookings=tuple(bookings), pauses=tuple(pauses), own=None, pools=_fewest(office, days, made))
    whole = replace(made, day=day, ready_by=max(each.ready for each in days))
    return Row(tuple(days), whole, not days[-1].overnight)


def _seconds(office: Office, weekday: int) -> list[tuple[int, int]]:
    return [(opens * MINUTE, closes * MINUTE) for opens, closes in office.calendar.open_days[weekday]]


def booked_on(caseload: Caseload, midnight: int) -> list[tuple[int, str]]:
    """When which visits of a day begin, in order of time; seconds."""
    return sorted((minute * MINUTE + midnight, each.visit) for each in caseload.bookings for minute in each.minutes)


def _fewest(office: Office, days: Sequence[WorkingDay], made: OfficeDay) -> dict[str, int]:
    """What there is of each machine, and the fewest of each role on any of the days."""
    found = dict(made.day.pools)
    for caseload in {id(each.caseload): each.caseload for each in days if each.caseload is not None}.values():
        present = {name: number for number, name in caseload.staff}
        for name, role in office.roles.items():
            found[f"role {name}"] = min(found[f"role {name}"], present.get(name, role.on_duty[0]))
    return found


_known: deque[tuple[Row, bool]] = deque(maxlen=8)


# ── The proof ───────────────────────────────────────────────────────────────────────────────────


def keeps_going(row: Row) -> bool:
    """Whether an order of work was found that keeps all on every day of the row, whatever machines and patients take.

    Of days that come again and again a morning must find what an earlier one found, before the same caseload: from
    there on all is as it was. Nothing goes on over a night, so that each day is proven by itself. The last rows are
    remembered, as the paper asks for those that were checked.
    """
    for other, known in _known:
        if other.made.office is row.made.office and other == row:
            return known
    shown = not row.too_large and _shown(row)
    _known.append((row, shown))
    return shown


def _shown(row: Row) -> bool:
    for rule in likely_rules_of(row.made):
        run = simulate(row.made.day, longest, rule)
        if run.unfinished:
            return False
        last = len(row.days) if row.closed else _again(row, run)
        if last is not None and _kept(row, run, last):
            parts = _day_by_day(row, run, last)
            if parts is not None and all(map(is_controllable, parts)):
                return True
    return False


def _uses(row: Row) -> list[range]:
    """Of each day the uses of sets that begin on it, numbered as in a run."""
    booked, first, found = sorted(row.made.day.bookings), 0, []
    for day in row.days:
        mine, booked = booked[: day.bookings], booked[day.bookings :]
        number = sum(count for _, name in mine for _, count in row.made.day.visits[name].needs)
        found.append(range(first, first + number))
        first += number
    return found


def _ready(row: Row, run: Run) -> Iterator[tuple[int, int]]:
    """Each job by which sets of a day must be ready, and by when."""
    for day, uses in zip(row.days, _uses(row), strict=True):
        for job in run.jobs:
            if any(use in uses for use in job.uses):
                yield job.number, day.ready


def _kept(row: Row, run: Run, last: int) -> bool:
    until = _morning(row, last)
    in_time = all(run.jobs[number].end <= by for number, by in _ready(row, run) if run.jobs[number].start < until)
    visits = (job for job in run.jobs if job.start < until and job.number < len(row.made.day.bookings))
    return in_time and all(job.start - job.ready <= COURTESY for job in visits)


def _morning(row: Row, number: int) -> int:
    """When the day of this number begins; the end of all for the one after the last."""
    return row.days[number].opens if number < len(row.days) else row.made.day.pauses[-1][1]


def _again(row: Row, run: Run) -> int | None:
    """The first day whose morning finds all as an earlier one did; None if there is none."""
    known: list[Hashable] = []
    for number, day in enumerate(row.days):
        caseload = day.caseload.name if day.caseload is not None else ""
        due = row.days[number - 1].ready - day.opens if number else 0
        found = (day.weekday, caseload, due, _left(row, run, day.opens))
        if found in known:
            return number
        known.append(found)
    return None


def _left(row: Row, run: Run, moment: int) -> Hashable:
    """What is not clean at a moment: work begun, with what it holds and how far it is, and sets that wait for work."""
    begun: Counter[Hashable] = Counter()
    last: dict[int, Hashable] = {}
    for job in run.jobs:
        over = sum(start < moment for start in job.starts)
        if over and over < len(job.starts):
            held = sorted((pool, amount) for pool, amount, first, until in job.held if first < over <= until)
            begun[job.work.name, tuple(sorted(job.units)), over, tuple(held)] += 1
        for unit, use in zip(job.units, job.uses, strict=True):
            if over:
                last[use] = (unit, job.work.name)
    waiting = Counter(what for use, what in last.items() if _goes_on(row, run, use, moment))
    return frozenset(begun.items()), frozenset(waiting.items())


def _goes_on(row: Row, run: Run, use: int, moment: int) -> bool:
    return any(use in job.uses and job.start >= moment for job in run.jobs)


def _day_by_day(row: Row, run: Run, last: int) -> list[Network] | None:
    """The network of each day by itself, everything held between its morning and the next; None if that cannot be."""
    points, whole = points_of(run), network_of(row.made, run, handed_over=True)
    times = [0] * whole.size
    for job in run.jobs:
        for place, (start, end) in enumerate(zip(job.starts, job.ends, strict=True)):
            times[points.start(job.number, place)], times[points.end(job.number, place)] = start, end
    ends = [_morning(row, number) for number in range(1, last + 1)]
    part = [sum(end <= time for end in ends) for time in times]  # what comes after the last end is not looked at
    bounds: list[list[Bound]] = [[] for _ in range(last + 1)]
    links: list[list[Link]] = [[] for _ in range(last + 1)]
    for point in range(1, whole.size):
        bounds[part[point]] += _between(point, part[point], ends)
    final = [len(job.starts) - 1 for job in run.jobs]
    ready = (Bound(0, points.end(number, final[number]), by, "ready") for number, by in _ready(row, run))
    for bound in (*whole.bounds, *ready):
        one, other = bound.source, bound.target
        if not one or not other or part[one] == part[other]:
            bounds[part[one or other]].append(bound)
        elif bound.weight > 0 or part[one] < part[other]:
            return None  # a limit over a night
        else:
            bounds[part[other]].append(Bound(0, other, ends[part[one] - 1] + bound.weight, bound.clause))
    for link in whole.links:
        if part[link.activation] != part[link.contingent_end]:
            return None  # a machine that runs into the morning
        links[part[link.activation]].append(link)
    return [_smaller(whole.size, mine, more) for mine, more in zip(bounds[:last], links, strict=False)]


def _between(point: int, part: int, ends: Sequence[int]) -> list[Bound]:
    until = [Bound(0, point, ends[part], "night")] if part < len(ends) else []
    return [*until, *([Bound(point, 0, -ends[part - 1], "night")] if part else [])]


def _smaller(size: int, bounds: Sequence[Bound], links: Sequence[Link]) -> Network:
    """The network of these bounds alone, its points numbered anew."""
    used = {0, *(each for bound in bounds for each in (bound.source, bound.target))}
    at = {point: number for number, point in enumerate(point for point in range(size) if point in used)}
    return Network(
        len(at),
        tuple(Bound(at[each.source], at[each.target], each.weight, each.clause) for each in bounds),
        tuple(Link(at[each.activation], each.low, each.high, at[each.contingent_end], each.clause) for each in links),
    )
