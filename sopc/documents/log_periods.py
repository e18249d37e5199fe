"""Cuts a stretch of dates into the periods that log sheets cover, and says each period as a reader does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ONE_DAY = timedelta(days=1)
ONE_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Period:
    """What one sheet covers, both days included; `code` is the part of the sheet's id that names it."""

    first: date
    last: date
    code: str
    title: str

    def days(self) -> Iterator[date]:
        """All days of the period in order."""
        for ordinal in range(self.first.toordinal(), self.last.toordinal() + 1):
            yield date.fromordinal(ordinal)


def periods(kind: str, first: date, last: date) -> tuple[Period, ...]:
    """Whole periods (daily, weekly, monthly, quarterly, yearly) that touch the days from `first` to `last`.

    A week runs from Monday and bears its ISO 8601 number. A period is never cut off at `first` or `last`, so that
    the same sheet comes out whichever stretch is printed.
    """
    found: list[Period] = []
    start = _start(kind, first)
    while start <= last:
        found.append(period_from(kind, start))
        start = found[-1].last + ONE_DAY
    return tuple(found)


def _start(kind: str, day: date) -> date:
    if kind == "weekly":
        return day - timedelta(days=day.weekday())
    if kind == "monthly":
        return day.replace(day=1)
    if kind == "quarterly":
        return day.replace(month=(day.month - 1) // 3 * 3 + 1, day=1)
    return day.replace(month=1, day=1) if kind == "yearly" else day


def period_from(kind: str, start: date) -> Period:
    """The period of this kind that begins on `start`; ValueError for a kind there is not."""
    year = start.year
    if kind == "daily":
        return Period(start, start, start.isoformat(), f"{WEEKDAYS[start.weekday()]} {say(start, year=True)}")
    if kind == "weekly":
        number = start.isocalendar()
        end = start + timedelta(days=6)
        return Period(start, end, f"{number.year}-W{number.week:02d}", f"Week {number.week}: {say_range(start, end)}")
    if kind == "monthly":
        return Period(start, month_end(start), f"{year}-{start.month:02d}", f"{MONTHS[start.month - 1]} {year}")
    if kind == "quarterly":
        end = month_end(start.replace(month=start.month + 2))
        quarter = (start.month + 2) // 3
        title = f"{MONTHS[start.month - 1]} to {MONTHS[end.month - 1]} {year}"
        return Period(start, end, f"{year}-Q{quarter}", title)
    if kind == "yearly":
        return Period(start, date(year, 12, 31), str(year), str(year))
    raise ValueError(f"no sheet covers a {kind!r} period")


def month_end(day: date) -> date:
    """Last day of the month of `day`."""
    after = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return after - ONE_DAY


def weeks_of(period: Period) -> tuple[tuple[date, date], ...]:
    """Weeks (Monday, Sunday) that belong to the period: those whose Thursday lies in it, as ISO 8601 counts.

    So every week stands on exactly one sheet of a run of months, quarters or years.
    """
    monday = period.first - timedelta(days=period.first.weekday())
    weeks = []
    while monday <= period.last:
        if period.first <= monday + timedelta(days=3) <= period.last:
            weeks.append((monday, monday + timedelta(days=6)))
        monday += ONE_WEEK
    return tuple(weeks)


def months_of(period: Period) -> tuple[tuple[date, date], ...]:
    """Months (first day, last day) that begin in the period; the month of its first day when none does."""
    starts = [day for day in period.days() if day.day == 1] or [period.first.replace(day=1)]
    return tuple((start, month_end(start)) for start in starts)


def say(day: date, year: bool = False) -> str:
    """A date that no one can read the wrong way round: 7 Dec, with the year 7 Dec 2026."""
    text = f"{day.day}\u00a0{MONTHS[day.month - 1][:3]}"
    return f"{text}\u00a0{day.year}" if year else text


def say_range(first: date, last: date) -> str:
    """First and last day with the year: 7-13 Dec 2026."""
    if first.month == last.month:
        return f"{first.day}–{say(last, year=True)}"
    return f"{say(first)} – {say(last, year=True)}"


def weekday(day: date) -> str:
    """Three letters: Mon."""
    return WEEKDAYS[day.weekday()]
