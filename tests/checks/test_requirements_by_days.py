"""How often something is done, against going through the days of a year one by one with dateutil's rules."""

from __future__ import annotations

import itertools
from datetime import date, datetime, timedelta

from dateutil.rrule import DAILY, MO, MONTHLY, WEEKLY, YEARLY, rrule
from hypothesis import event, given
from hypothesis import strategies as st

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import State
from tests.checks.small_offices import TODAY, office

CLOSED = st.lists(
    st.tuples(st.integers(0, 500), st.integers(0, 25)).map(
        lambda pair: (TODAY + timedelta(days=pair[0]), TODAY + timedelta(days=pair[0] + pair[1]))
    ),
    max_size=4,
)
START = datetime(2024, 1, 1)
END = datetime(2030, 12, 31)
RULES = {
    "every week on mon": rrule(WEEKLY, dtstart=START, until=END, byweekday=MO),
    "every week on sat": rrule(WEEKLY, dtstart=START, until=END, byweekday=5),
    "every month on day 15": rrule(MONTHLY, dtstart=START, until=END, bymonthday=15),
    "every month on first mon": rrule(MONTHLY, dtstart=START, until=END, byweekday=MO(1)),
    "every quarter on day 10": rrule(MONTHLY, dtstart=START, until=END, bymonth=(1, 4, 7, 10), bymonthday=10),
    "every year on 03-15": rrule(YEARLY, dtstart=START, until=END, bymonth=3, bymonthday=15),
    "every 10 days from 2024-01-03": rrule(DAILY, interval=10, dtstart=datetime(2024, 1, 3), until=END),
}
TEXT = """
office "Example" {{ open mon to fri 08:00 to 17:00 {closed} }}
role assistant "Assistant"
action look "Look"
requirement R-1 "It" {{ requires a task that does look, {asked} }}
task round "Round" {{ by assistant  does look  {due}  if closed {rule} }}
"""


def is_open(day: date, closed: list[tuple[date, date]]) -> bool:
    return day.weekday() < 5 and not any(first <= day <= last for first, last in closed)


def done_days(due: str, rule: str, closed: list[tuple[date, date]]) -> list[date]:
    found = set()
    for moment in RULES[due]:
        day = moment.date()
        step = timedelta(days=-1 if rule.startswith("previous") else 1)
        if rule == "skip" and not is_open(day, closed):
            continue
        while not is_open(day, closed):
            day += step
        found.add(day)
    return sorted(found)


def state(due: str, rule: str, closed: list[tuple[date, date]], asked: str) -> State:
    stretches = " ".join(f'closed {first} to {last} "Away"' for first, last in closed)
    loaded = office(TEXT.format(closed=stretches, asked=asked, due=due, rule=rule), "")
    return standings(loaded, TODAY)["R-1"].state


CASES = (st.sampled_from(sorted(RULES)), st.sampled_from(["skip", "next open day", "previous open day"]), CLOSED)


@given(*CASES, st.sampled_from([7, 8, 10, 13, 35, 92, 366, 375]))
def test_a_gap_is_that_of_the_days_on_which_it_is_done(
    due: str, rule: str, closed: list[tuple[date, date]], most: int
) -> None:
    days = done_days(due, rule, closed)
    end = TODAY + timedelta(days=366)
    gaps = [(two - one).days for one, two in itertools.pairwise(days) if two >= TODAY and one <= end]
    kept = bool(gaps) and max(gaps) <= most
    event(f"kept: {kept}")
    found = state(due, rule, closed, f"at most {most} days apart")
    if found is State.MET:
        assert kept
    elif kept:
        # It looks a little further than a year, and so may find a later gap.
        later = [(two - one).days for one, two in itertools.pairwise(days) if two >= TODAY]
        assert max(later, default=0) > most


@given(*CASES, st.sampled_from(["week", "month"]))
def test_a_calendar_week_is_one_with_an_open_day(
    due: str, rule: str, closed: list[tuple[date, date]], part: str
) -> None:
    def key(day: date) -> tuple[int, int]:
        return day.isocalendar()[:2] if part == "week" else (day.year, day.month)

    end = TODAY + timedelta(days=366)
    days = {key(day) for day in done_days(due, rule, closed)}
    asked = {
        key(day)
        for day in (TODAY + timedelta(days=away) for away in range(367))
        if is_open(day, closed) and key(day) not in (key(TODAY), key(end))
    }
    kept = asked <= days
    event(f"kept: {kept}")
    if state(due, rule, closed, f"in every calendar {part}") is State.MET:
        assert kept
    elif kept:
        assert not {key(TODAY + timedelta(days=away)) for away in range(367, 461)} <= days
