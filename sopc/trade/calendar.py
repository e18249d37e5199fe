"""When the office is open, and when what recurs falls due, by RFC 5545 semantics."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import Literal

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
    """What recurs when. Only the fields that belong to the frequency are set.

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


ONE_DAY = timedelta(days=1)
