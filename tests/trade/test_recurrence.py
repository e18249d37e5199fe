"""What recurs falls due on the right days, and moves off closed ones as the author said."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.calendar import (
    Frequency,
    Occurrence,
    OfficeCalendar,
    Recurrence,
    due_dates,
    gap_breaches,
    largest_gap,
    occurrences,
)

HOURS = ((480, 1020),)
OFFICE = OfficeCalendar(
    dict.fromkeys(range(4), HOURS),
    ((date(2026, 12, 24), date(2027, 1, 3), "winter break"), (date(2026, 9, 7), date(2026, 9, 7), "holiday")),
)
DATES = st.dates(date(2020, 1, 1), date(2032, 12, 31))
QUICK = settings(deadline=None, max_examples=60)


def month_length(day: date) -> int:
    following = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return (following - date(day.year, day.month, 1)).days


def falls_due(rule: Recurrence, day: date) -> bool:
    """Look at one day alone: does the rule name it?"""
    if rule.frequency is Frequency.DAILY:
        return OFFICE.is_open(day)
    if rule.frequency is Frequency.WEEKLY:
        return day.weekday() in rule.weekdays
    if rule.frequency is Frequency.EVERY_DAYS:
        assert rule.start is not None
        assert rule.interval is not None
        return day >= rule.start and (day - rule.start).days % rule.interval == 0
    if rule.frequency is Frequency.YEARLY and day.month != rule.month:
        return False
    if rule.frequency is Frequency.QUARTERLY and day.month not in (1, 4, 7, 10):
        return False
    if rule.nth is None:
        assert rule.day is not None
        return day.day == min(rule.day, month_length(day))
    if rule.nth == -1:
        return day.weekday() in rule.weekdays and day.day > month_length(day) - 7
    return day.weekday() in rule.weekdays and (day.day - 1) // 7 == rule.nth - 1


WEEKDAY = st.integers(0, 6)
RULES = st.one_of(
    st.just(Recurrence(Frequency.DAILY)),
    st.builds(Recurrence, st.just(Frequency.WEEKLY), st.lists(WEEKDAY, max_size=3, unique=True).map(tuple)),
    st.builds(
        Recurrence,
        st.sampled_from([Frequency.MONTHLY, Frequency.QUARTERLY]),
        day=st.integers(1, 31),
    ),
    st.builds(
        Recurrence,
        st.sampled_from([Frequency.MONTHLY, Frequency.QUARTERLY]),
        st.tuples(WEEKDAY),
        nth=st.sampled_from([1, 2, 3, 4, -1]),
    ),
    st.builds(Recurrence, st.just(Frequency.YEARLY), month=st.integers(1, 12), day=st.integers(1, 31)),
    st.builds(Recurrence, st.just(Frequency.EVERY_DAYS), interval=st.integers(1, 400), start=DATES),
)


@given(RULES, DATES, st.integers(0, 500))
@QUICK
def test_due_dates_are_those_that_looking_at_each_day_finds(rule: Recurrence, first: date, length: int) -> None:
    days = [first + timedelta(days=count) for count in range(length + 1)]
    assert due_dates(rule, OFFICE, days[0], days[-1]) == [day for day in days if falls_due(rule, day)]


@given(RULES, DATES, st.integers(0, 300), st.sampled_from(["skip", "next", "previous", None]))
@QUICK
def test_nothing_is_ever_done_on_a_closed_day(
    rule: Recurrence, first: date, length: int, when_closed: str | None
) -> None:
    moved = Recurrence(**{name: getattr(rule, name) for name in rule.__slots__} | {"when_closed": when_closed})
    for found in occurrences(moved, OFFICE, first, first + timedelta(days=length)):
        assert found.done is None or OFFICE.is_open(found.done)
        assert not OFFICE.is_open(found.due) or found.done == found.due


FRIDAY_BEFORE = Recurrence(Frequency.WEEKLY, (4,), when_closed="previous")
FRIDAY_AFTER = Recurrence(Frequency.WEEKLY, (4,), when_closed="next")
FRIDAY_SKIPPED = Recurrence(Frequency.WEEKLY, (4,), when_closed="skip")


@pytest.mark.parametrize(
    ("rule", "done"),
    [(FRIDAY_BEFORE, date(2026, 12, 23)), (FRIDAY_AFTER, date(2027, 1, 4)), (FRIDAY_SKIPPED, None)],
)
def test_a_friday_in_the_winter_break_moves_as_the_author_said(rule: Recurrence, done: date | None) -> None:
    christmas = date(2026, 12, 25)
    assert occurrences(rule, OFFICE, christmas, christmas) == [Occurrence(christmas, done)]


def test_a_task_moved_is_marked_as_moved() -> None:
    (found,) = occurrences(FRIDAY_BEFORE, OFFICE, date(2026, 12, 25), date(2026, 12, 25))
    assert found.moved


def test_the_thirty_first_falls_on_the_last_day_of_a_short_month() -> None:
    rule = Recurrence(Frequency.MONTHLY, day=31)
    found = due_dates(rule, OFFICE, date(2027, 1, 1), date(2027, 4, 30))
    assert found == [date(2027, 1, 31), date(2027, 2, 28), date(2027, 3, 31), date(2027, 4, 30)]


def test_intervals_count_from_their_start_across_closed_days() -> None:
    rule = Recurrence(Frequency.EVERY_DAYS, interval=28, start=date(2026, 12, 1))
    assert due_dates(rule, OFFICE, date(2026, 11, 1), date(2027, 1, 31)) == [
        date(2026, 12, 1),
        date(2026, 12, 29),
        date(2027, 1, 26),
    ]


@pytest.mark.parametrize("frequency", [f for f in Frequency if f is not Frequency.DAILY])
def test_a_rule_that_leaves_its_day_open_names_none(frequency: Frequency) -> None:
    assert due_dates(Recurrence(frequency), OFFICE, date(2026, 1, 1), date(2026, 12, 31)) == []


def test_an_office_closed_for_good_has_no_next_open_day() -> None:
    never = OfficeCalendar({})
    assert never.next_open(date(2026, 12, 1)) is None
    assert never.previous_open(date(2026, 12, 1)) is None
    assert never.next_open(date.max) is None
    assert never.previous_open(date.min) is None


def test_the_reason_of_a_closed_day_is_the_author_s() -> None:
    assert OFFICE.closed_reason(date(2026, 12, 28)) == "winter break"
    assert OFFICE.closed_reason(date(2026, 12, 18)) == ""
    assert OFFICE.closed_reason(date(2026, 12, 17)) is None


def test_tests_eight_days_apart_break_a_weekly_limit() -> None:
    days = [date(2026, 12, 1), date(2026, 12, 8), date(2026, 12, 16)]
    assert largest_gap(days) == 8
    assert gap_breaches(days, 7) == [(date(2026, 12, 8), date(2026, 12, 16))]
    assert gap_breaches(days, 8) == []


def test_one_date_has_no_gap() -> None:
    assert largest_gap([date(2026, 12, 1)]) is None
