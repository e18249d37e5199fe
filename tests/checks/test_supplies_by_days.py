"""Renewal by the calendar against going through the days one by one, by rules of its own."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from hypothesis import event, given
from hypothesis import strategies as st

from sopc.checks.records import supplies
from tests.checks.small_offices import TODAY, codes, office

DAY = timedelta(days=1)
MOVED = ("skip", "next open day", "previous open day")
CLOSED = (date(2027, 2, 1), date(2027, 2, 21))
HOURS = {0: (8, 17), 1: (8, 17), 2: (8, 17), 3: (8, 17), 4: (8, 12)}
DUE: dict[str, Callable[[date], bool]] = {
    "every week on mon": lambda day: day.weekday() == 0,
    "every week on tue, fri": lambda day: day.weekday() in (1, 4),
    "every month on day 15": lambda day: day.day == 15,
    "every month on day 31": lambda day: (day + DAY).day == 1,
    "every month on first mon": lambda day: day.weekday() == 0 and day.day <= 7,
    "every quarter on last thu": lambda day: (
        day.month in (1, 4, 7, 10) and day.weekday() == 3 and (day + 7 * DAY).day <= 7
    ),
    "every year on 03-15": lambda day: (day.month, day.day) == (3, 15),
    "every 7 days from 2026-01-04": lambda day: (day - date(2026, 1, 4)).days % 7 == 0,
    "every 20 days from 2027-01-10": lambda day: day >= date(2027, 1, 10) and (day - date(2027, 1, 10)).days % 20 == 0,
}
TEXT = """
office "Example" {{ open mon to thu 08:00 to 17:00  open fri 08:00 to 12:00  closed 2027-02-01 to 2027-02-21 }}
role assistant "Assistant"
supply bath "Bath" {{ use within {keeps} day }}
task fresh "Fresh bath" {{ by assistant  {due}  if closed {closed}  renews bath }}
procedure work "Work" {{ by assistant  step s "S" {{ using bath }} }}
"""


def is_open(day: date) -> bool:
    return day.weekday() in HOURS and not CLOSED[0] <= day <= CLOSED[1]


def done(day: date, closed: str) -> date | None:
    """When that is done which is due on this day."""
    if not is_open(day) and closed == "skip":
        return None
    while not is_open(day):
        day += DAY if closed.startswith("next") else -DAY
    return day


def too_old(due: str, closed: str, keeps: int) -> bool:
    """Whether within a year from today, on some day at closing time, the bath is older than it may be."""
    around = [TODAY + timedelta(days=away) for away in range(-400, 400)]
    made = {done(day, closed) for day in around if DUE[due](day)}
    last = next((day for day in reversed(around) if day < TODAY and day in made), TODAY)
    for day in around[400 : 400 + 367]:
        last = day if day in made else last
        if is_open(day):
            opens, closes = HOURS[day.weekday()]
            hours = (day - last).days * 24 + closes - opens
            if hours > keeps * 24:
                return True
    return False


@given(
    st.sampled_from(sorted(DUE)), st.sampled_from(["skip", "next open day", "previous open day"]), st.integers(1, 110)
)
def test_a_bath_is_refused_exactly_when_some_day_of_the_year_finds_it_too_old(
    due: str, closed: str, keeps: int
) -> None:
    told = codes(supplies.check(office("", TEXT.format(keeps=keeps, due=due, closed=closed)), TODAY))
    event(f"refused: {bool(told)}")
    assert bool(told) == too_old(due, closed, keeps)


def test_what_is_made_after_an_event_does_not_serve_the_daily_work() -> None:
    spill = TEXT.format(keeps=1, due='after "a spill"', closed="skip").replace("if closed skip", "")
    daily = 'task daily "Daily" { by assistant  start of day  perform work }\n'
    assert codes(supplies.check(office("", spill), TODAY)) == []
    assert codes(supplies.check(office("", spill + daily), TODAY)) == ["S04"]
    noon = spill.replace('after "a spill"', 'after "a spill"  start of day')
    assert codes(supplies.check(office("", noon + daily), TODAY)) == []


def test_what_the_work_itself_makes_outlasts_nothing() -> None:
    weekly = TEXT.format(keeps=1, due="every week on thu", closed="previous open day")
    assert codes(supplies.check(office("", weekly), TODAY)) == ["S01"]
    made = weekly.replace("renews bath", "perform work  renews bath")
    assert codes(supplies.check(office("", made), TODAY)) == []
    also = 'task more "More" { by assistant  end of day  using bath }\n'
    assert codes(supplies.check(office("", made + also), TODAY)) == ["S01"]
