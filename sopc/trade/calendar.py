"""When the office is open, and when what recurs falls due, by RFC 5545 semantics."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from itertools import pairwise
from typing import Any, Literal

_FAR = 3 * 366

WhenClosed = Literal["skip", "next", "previous"]


@dataclass(frozen=True, slots=True)
class OfficeCalendar:
    """Opening hours by weekday (0 = Monday) in minutes after midnight, and closed stretches with their reasons."""

    open_days: Mapping[int, tuple[tuple[int, int], ...]]
    closed: tuple[tuple[date, date, str], ...] = ()

    def closed_reason(self, day: date) -> str | None:
        """Why the office is closed on that day (may be empty), or None when it is open."""
        for first, last, reason in self.closed:
            if first <= day <= last:
                return reason
        return None if self.open_days.get(day.weekday()) else ""

    def is_open(self, day: date) -> bool:
        """Whether the office works on that day."""
        return self.closed_reason(day) is None

    def open_dates(self, first: date, last: date) -> list[date]:
        """All days from `first` to `last`, both included, on which the office works."""
        begin, end = first.toordinal(), last.toordinal()
        shut = set[int]()
        for one, two, _ in self.closed:
            shut.update(range(max(one.toordinal(), begin), min(two.toordinal(), end) + 1))
        # Day 1 of the calendar, and every seventh from there on, is a Monday.
        open_days = [bool(self.open_days.get(weekday)) for weekday in range(7)]
        return [date.fromordinal(day) for day in range(begin, end + 1) if open_days[(day - 1) % 7] and day not in shut]

    def next_open(self, day: date) -> date | None:
        """The first open day on or after `day`, None when there is none within three years."""
        return next((later for later in _days(day, _shifted(day, _FAR)) if self.is_open(later)), None)

    def previous_open(self, day: date) -> date | None:
        """The last open day on or before `day`, None when there is none within three years."""
        back = range(day.toordinal(), _shifted(day, -_FAR).toordinal() - 1, -1)
        return next((earlier for earlier in map(date.fromordinal, back) if self.is_open(earlier)), None)


class Frequency(StrEnum):
    """How often something recurs."""

    DAILY = "daily"  # every day the office is open
    WEEKLY = "weekly"
    MONTHLY = "monthly"
    QUARTERLY = "quarterly"
    YEARLY = "yearly"
    EVERY_DAYS = "every so many days"


@dataclass(frozen=True, slots=True)
class Recurrence:
    """What recurs when. Only the fields that belong to the frequency are set; a rule may be incomplete.

    WEEKLY: `weekdays`; MONTHLY and QUARTERLY: `day` of the month, or `nth` (1 to 4, -1 for last) with one
    weekday; YEARLY: `month` and `day`; EVERY_DAYS: `interval` days from `start`. `when_closed` says what
    happens to a due date on a closed day; None: the author left it open.
    """

    frequency: Frequency
    weekdays: tuple[int, ...] = ()
    day: int | None = None
    nth: int | None = None
    month: int | None = None
    interval: int | None = None
    start: date | None = None
    when_closed: WhenClosed | None = None


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One due date, and the day on which it is done: another one when moved, None when skipped."""

    due: date
    done: date | None

    @property
    def moved(self) -> bool:
        return self.done is not None and self.done != self.due


def occurrences(recurrence: Recurrence, calendar: OfficeCalendar, first: date, last: date) -> list[Occurrence]:
    """Return every due date from `first` to `last`, both included, and when it is done, by RFC 5545 semantics.

    A day the month does not have (day 31 in June, 29 February) falls on the month's last day. Quarters begin in
    January, April, July and October, and "day 3" or "first Monday" is that of the quarter's first month. Intervals
    of days count from their start on, closed days included, and from the due date, not from when it was done. On a
    closed day `when_closed` decides: None leaves the occurrence on its due date, not done. Two due dates moved to one
    open day stay two occurrences. A rule that leaves its day open has no occurrences.
    """
    found: list[Occurrence] = []
    for due in due_dates(recurrence, calendar, first, last):
        found.append(Occurrence(due, _done(due, recurrence.when_closed, calendar)))
    return found


def due_dates(recurrence: Recurrence, calendar: OfficeCalendar, first: date, last: date) -> list[date]:
    """Return the dates the rule itself names from `first` to `last`, whether the office is open or not.

    Only DAILY looks at the calendar: it names the days the office is open.
    """
    if recurrence.frequency is Frequency.DAILY:
        return calendar.open_dates(first, last)
    if first > last:
        return []
    from dateutil.rrule import rrule

    found: list[date] = []
    for options in _rules(recurrence, first):
        options["until"] = datetime.combine(last, time())
        found += [moment.date() for moment in rrule(**options)]
    return sorted(day for day in set(found) if first <= day <= last)


def largest_gap(dates: Iterable[date]) -> int | None:
    """Return the most days between two dates in succession, None when there are fewer than two."""
    ordered = sorted(dates)
    return max(((later - earlier).days for earlier, later in pairwise(ordered)), default=None)


def gap_breaches(dates: Iterable[date], limit_days: int) -> list[tuple[date, date]]:
    """Return each pair of successive dates that lie more than `limit_days` apart."""
    return [(one, two) for one, two in pairwise(sorted(dates)) if (two - one).days > limit_days]


def _rules(recurrence: Recurrence, first: date) -> list[dict[str, Any]]:
    """The recurrence as keyword sets for dateutil's rrule, none when it leaves its day open."""
    from dateutil import rrule

    start = datetime.combine(first, time())
    if recurrence.frequency is Frequency.EVERY_DAYS:
        if recurrence.start is None or not recurrence.interval:
            return []
        # Counting from a start long ago would walk every interval since.
        behind = max(0, (first - recurrence.start).days)
        since = recurrence.start + timedelta(days=behind - behind % recurrence.interval)
        moment = datetime.combine(since, time())
        return [{"freq": rrule.DAILY, "interval": recurrence.interval, "dtstart": moment}]
    if recurrence.frequency is Frequency.WEEKLY:
        return [{"freq": rrule.WEEKLY, "dtstart": start, "byweekday": day} for day in recurrence.weekdays]
    months: dict[str, Any] = {"freq": rrule.MONTHLY, "dtstart": start}
    if recurrence.frequency is Frequency.QUARTERLY:
        months["bymonth"] = (1, 4, 7, 10)
    if recurrence.frequency is Frequency.YEARLY:
        if recurrence.month is None:
            return []
        months["bymonth"] = recurrence.month
    if recurrence.nth is not None:
        weekdays = [rrule.weekday(day, recurrence.nth) for day in recurrence.weekdays]
        return [months | {"byweekday": weekdays}] if weekdays else []
    if recurrence.day is None:
        return []
    return [months | _day_of_month(recurrence.day)]


def _day_of_month(day: int) -> dict[str, Any]:
    """Day `day`, or the last one of a shorter month: of all days up to it the last (RFC 5545, BYSETPOS)."""
    if day <= 28:
        return {"bymonthday": day}
    return {"bymonthday": tuple(range(28, day + 1)), "bysetpos": -1}


def _done(due: date, when_closed: WhenClosed | None, calendar: OfficeCalendar) -> date | None:
    if calendar.is_open(due):
        return due
    if when_closed == "next":
        return calendar.next_open(due)
    if when_closed == "previous":
        return calendar.previous_open(due)
    return None


def _days(first: date, last: date) -> Iterator[date]:
    return map(date.fromordinal, range(first.toordinal(), last.toordinal() + 1))


def _shifted(day: date, days: int) -> date:
    """The day so many days on, no further than dates go."""
    return date.fromordinal(min(max(day.toordinal() + days, 1), date.max.toordinal()))
