"""Whether a task comes round often enough, by the office's own calendar."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.verdicts import YES, Answer, no, unknown
from sopc.model.nouns import Occasion, Schedule, Task
from sopc.trade.calendar import Frequency, gap_breaches, occurrences

YEAR = 366
DAILY = (Occasion.START_OF_DAY, Occasion.END_OF_DAY)
UNFORESEEN = (Occasion.EACH_PATIENT, Occasion.EACH_LOAD)


def often_enough(ground: Ground, task: Task, days: int) -> Answer:
    """Whether the days on which it is done never lie more than so many days apart, from now on for a year and on.

    A gap counts from one day to the next on which it is done, closed days and all.
    """
    begin = ground.today - timedelta(days=days + 31)
    end = ground.today + timedelta(days=YEAR + days)
    done, open_ended = _done(ground, task, begin, end)
    if done is None:
        return _not_by_date(task, f"at most {days} days apart")
    first = next((day for day in done if day >= ground.today), None)
    late = [(one, two) for one, two in gap_breaches(done, days) if two >= ground.today]
    if first is None or (first - ground.today).days > days or not _has_end(done, end, days):
        late = late or [(ground.today, first or end)]
    if not late:
        return YES
    if open_ended:
        return unknown(f"it names no day, so that two of its days may lie more than {days} days apart")
    one, two = late[0]
    return no(
        f"{one.isoformat()} and {two.isoformat()} lie {(two - one).days} days apart, {days} at most are asked for"
    )


def _has_end(done: list[date], end: date, days: int) -> bool:
    """Whether it goes on to the end of what is looked at."""
    return bool(done) and (end - done[-1]).days <= days


def every_part(ground: Ground, task: Task, part: str) -> Answer:
    """Whether it is done in every calendar week, month, quarter or year in which the office is open, for a year."""
    begin, end = ground.today, ground.today + timedelta(days=2 * YEAR if part == "year" else YEAR + 92)
    done, open_ended = _done(ground, task, begin - timedelta(days=YEAR), end)
    if done is None:
        return _not_by_date(task, f"in every calendar {part}")
    first_days = _parts(ground, part, begin, end)
    kept = {_part(day, part) for day in done}
    missing = sorted(day for key, day in first_days.items() if key not in kept)
    if not missing:
        return YES if first_days else unknown("the office is open on no day of the year")
    if open_ended:
        return unknown(f"it names no day, so that it may miss a calendar {part}")
    return no(f"the calendar {part} with {missing[0].isoformat()} has none")


def _parts(ground: Ground, part: str, begin: date, end: date) -> dict[tuple[int, int], date]:
    """The weeks, months, quarters or years that lie wholly in the stretch, with the first open day of each."""
    key = (part, begin, end)
    if key not in ground.first_days:
        days = {_part(day, part): day for day in reversed(ground.office.calendar.open_dates(begin, end))}
        at_the_edges = (_part(begin, part), _part(end, part))
        ground.first_days[key] = {each: day for each, day in days.items() if each not in at_the_edges}
    return ground.first_days[key]


def _part(day: date, part: str) -> tuple[int, int]:
    if part == "week":
        year, week, _ = day.isocalendar()
        return (year, week)
    if part == "year":
        return (day.year, 0)
    return (day.year, day.month if part == "month" else (day.month - 1) // 3)


def _done(ground: Ground, task: Task, begin: date, end: date) -> tuple[list[date] | None, bool]:
    """The days on which it is done, None when no schedule goes by the calendar; and whether one leaves it open."""
    by_date = [each for each in task.schedules if each.recurrence is not None or each.occasion in DAILY]
    key = (task.name, begin, end)
    if key not in ground.due_days:
        days = {day for each in by_date for day in _days(ground, each, begin, end)}
        ground.due_days[key] = sorted(days) if by_date else None
    return ground.due_days[key], any(not each.complete for each in by_date)


def _days(ground: Ground, schedule: Schedule, begin: date, end: date) -> Iterator[date]:
    rule = schedule.recurrence
    if rule is None or rule.frequency is Frequency.DAILY:
        yield from ground.office.calendar.open_dates(begin, end)
        return
    # What is due before may have been moved into the stretch, and the other way round.
    for each in occurrences(rule, ground.office.calendar, begin - timedelta(days=62), end + timedelta(days=62)):
        if each.done is not None and begin <= each.done <= end:
            yield each.done


def _not_by_date(task: Task, asked: str) -> Answer:
    if any(each.occasion in UNFORESEEN for each in task.schedules):
        return unknown("how often patients or loads come is not known beforehand")
    return no(f"it does not say when, {asked} is asked for" if not task.schedules else f"it is not done {asked}")


def each_time(task: Task, word: str) -> bool:
    """Whether it is done for each patient, each load, each day, or after an event."""
    occasions = {each.occasion for each in task.schedules}
    if word == "day":
        daily = any(
            each.recurrence is not None and each.recurrence.frequency is Frequency.DAILY for each in task.schedules
        )
        return daily or bool(occasions.intersection(DAILY))
    wanted = {"patient": Occasion.EACH_PATIENT, "load": Occasion.EACH_LOAD, "event": Occasion.EVENT}[word]
    return wanted in occasions
