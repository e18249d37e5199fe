"""Asks the office calendar which days are closed and on which days what records in a log is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from sopc.documents.log_periods import Period
from sopc.model.nouns import Log, Occasion, Office, Task
from sopc.trade.calendar import OfficeCalendar, occurrences

NO_OFFICE_DAY = "not an office day"
WEEK_END = timedelta(days=6)
REACH = timedelta(days=31)
"""How far beyond a period due dates are looked for that closed days may push into it."""


@dataclass(frozen=True, slots=True)
class Due:
    """A day a task falls on, and the closed day it was moved away from, if any."""

    day: date
    moved_from: date | None


@dataclass(frozen=True, slots=True)
class Plan:
    """One task over one period: its dates, and whether it may come on any open day besides."""

    task: Task
    due: tuple[Due, ...]
    open_any_day: bool
    daily: bool  # due on most open days


def closed_why(calendar: OfficeCalendar, day: date) -> str:
    """Why the office is closed that day, empty when it is open."""
    reason = calendar.closed_reason(day)
    return "" if reason is None else reason or NO_OFFICE_DAY


def closed_throughout(calendar: OfficeCalendar, first: date, last: date) -> str:
    """Why the office is closed on every day of a stretch, empty when it opens on any of them."""
    whys = [closed_why(calendar, date.fromordinal(day)) for day in range(first.toordinal(), last.toordinal() + 1)]
    named = [why for why in whys if why != NO_OFFICE_DAY]
    return (named or [NO_OFFICE_DAY])[0] if all(whys) else ""


def plans_of(office: Office, log: Log, device: str | None, period: Period) -> tuple[Plan, ...]:
    """Tasks that record in this log with their dates, in the order of a working day, the rare ones last."""
    open_days = sum(not closed_why(office.calendar, day) for day in period.days())
    plans = [
        _plan(office, task, period, open_days)
        for task in office.tasks.values()
        if any(recording.log == log.name for recording in task.records) and _concerns(log, task, device)
    ]
    return tuple(sorted(plans, key=_place))


def _plan(office: Office, task: Task, period: Period, open_days: int) -> Plan:
    # Weeks at the ends of a month or quarter reach beyond it.
    first, last = period.first - WEEK_END, period.last + WEEK_END
    due: dict[date, Due] = {}
    for schedule in task.schedules:
        if schedule.recurrence is None or not schedule.complete:
            continue
        for found in occurrences(schedule.recurrence, office.calendar, period.first - REACH, period.last + REACH):
            if found.done is not None and first <= found.done <= last and (found.done not in due or not found.moved):
                due[found.done] = Due(found.done, found.due if found.moved else None)
    any_day = any(schedule.recurrence is None or not schedule.complete for schedule in task.schedules)
    days = tuple(due[day] for day in sorted(due))
    within = sum(period.first <= day <= period.last for day in due)
    return Plan(task, days, any_day, 2 * within > open_days > 1)


def _concerns(log: Log, task: Task, device: str | None) -> bool:
    """Whether the task belongs on this device's sheet: it names the device, or none of the log's devices."""
    named = {item for doing in task.does for item in doing.items}
    named |= {schedule.device for schedule in task.schedules} | set(task.using)
    among = named & set(log.for_devices)
    return device is None or not among or device in among


_RANKS = {
    Occasion.START_OF_DAY: 0,
    Occasion.EACH_PATIENT: 1,
    Occasion.EACH_LOAD: 1,
    Occasion.END_OF_DAY: 3,
    Occasion.EVENT: 9,
}


def _place(plan: Plan) -> tuple[int, int]:
    ranks = [_RANKS[schedule.occasion] for schedule in plan.task.schedules if schedule.occasion is not None]
    if plan.daily:
        ranks.append(2)
    elif plan.due:
        ranks.append(4)
    return min(ranks, default=8), -len(plan.due)
