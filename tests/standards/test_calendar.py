"""Recurrence against RFC 5545, section 3.8.5.3 (its own examples), and against dateutil's reading of its rules."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from dateutil.rrule import rrulestr

from sopc.trade.calendar import Frequency, OfficeCalendar, Recurrence, due_dates

ALWAYS = OfficeCalendar(dict.fromkeys(range(7), ((0, 1440),)))


def test_weekly_on_tuesday_and_thursday() -> None:
    """RFC 5545, 3.8.5.3: "Weekly on Tuesday and Thursday for five weeks", from 2 September 1997."""
    found = due_dates(Recurrence(Frequency.WEEKLY, (1, 3)), ALWAYS, date(1997, 9, 2), date(1997, 10, 6))
    assert [(day.month, day.day) for day in found] == [
        (9, 2), (9, 4), (9, 9), (9, 11), (9, 16), (9, 18), (9, 23), (9, 25), (9, 30), (10, 2),
    ]  # fmt: skip


def test_monthly_on_the_first_friday() -> None:
    """RFC 5545, 3.8.5.3: "Monthly on the first Friday for 10 occurrences", from 5 September 1997."""
    rule = Recurrence(Frequency.MONTHLY, (4,), nth=1)
    found = due_dates(rule, ALWAYS, date(1997, 9, 5), date(1998, 6, 30))
    assert [(day.month, day.day) for day in found] == [
        (9, 5), (10, 3), (11, 7), (12, 5), (1, 2), (2, 6), (3, 6), (4, 3), (5, 1), (6, 5),
    ]  # fmt: skip


def test_every_ten_days() -> None:
    """RFC 5545, 3.8.5.3: "Every 10 days, 5 occurrences", from 2 September 1997."""
    rule = Recurrence(Frequency.EVERY_DAYS, interval=10, start=date(1997, 9, 2))
    found = due_dates(rule, ALWAYS, date(1997, 9, 1), date(1997, 10, 20))
    assert [(day.month, day.day) for day in found] == [(9, 2), (9, 12), (9, 22), (10, 2), (10, 12)]


@pytest.mark.parametrize(
    ("rule", "rfc"),
    [
        (Recurrence(Frequency.WEEKLY, (0, 4)), "FREQ=WEEKLY;BYDAY=MO,FR"),
        (Recurrence(Frequency.MONTHLY, (2,), nth=3), "FREQ=MONTHLY;BYDAY=3WE"),
        (Recurrence(Frequency.MONTHLY, (4,), nth=-1), "FREQ=MONTHLY;BYDAY=-1FR"),
        (Recurrence(Frequency.MONTHLY, day=15), "FREQ=MONTHLY;BYMONTHDAY=15"),
        (Recurrence(Frequency.MONTHLY, day=31), "FREQ=MONTHLY;BYMONTHDAY=-1"),
        (Recurrence(Frequency.QUARTERLY, day=3), "FREQ=MONTHLY;BYMONTH=1,4,7,10;BYMONTHDAY=3"),
        (Recurrence(Frequency.QUARTERLY, (0,), nth=1), "FREQ=MONTHLY;BYMONTH=1,4,7,10;BYDAY=1MO"),
        (Recurrence(Frequency.YEARLY, month=2, day=29), "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1"),
        (Recurrence(Frequency.YEARLY, month=7, day=4), "FREQ=YEARLY;BYMONTH=7;BYMONTHDAY=4"),
    ],
)
def test_each_frequency_reads_as_its_rfc_5545_rule(rule: Recurrence, rfc: str) -> None:
    """RFC 5545, 3.3.10 (recurrence rule), as python-dateutil reads it, over ten years."""
    first, last = date(2023, 5, 17), date(2033, 5, 16)
    rival = rrulestr(rfc, dtstart=datetime(2023, 5, 17))
    expected = [moment.date() for moment in rival.between(datetime(2023, 5, 17), datetime(2033, 5, 16), inc=True)]
    assert due_dates(rule, ALWAYS, first, last) == expected
