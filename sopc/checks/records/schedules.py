"""Can tasks be done when they are due: on days that are named, when the office is open, with a place to sign."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sopc.checks.report import finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Occasion, Office, Schedule, Task
from sopc.trade.calendar import Frequency, Occurrence, occurrences

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SHORT = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
AHEAD = 366


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what schedules promise.

    1. Every task is due at some time (S10), and what recurs names its day (S11).
    2. What may fall on a closed day says what happens then (S12); a weekday that is never open is not named (S13).
    3. What is skipped when closed is done at some time within the year (S16); what recurs after so many days begins
       no later than that many days from today (S17).
    4. A time of day lies within opening hours (S14).
    5. What is due each load of a machine waits for one that some step runs (S18).
    6. A task is recorded in a log, by itself or by the procedure it performs, or says why not (S15);
       what is done for each patient is left to the patient's record.
    """
    for task in office.tasks.values():
        if not task.schedules:
            yield _never_due(task)
        for schedule in task.schedules:
            yield from _schedule(office, task, schedule, today)
        if not task.notes and not task.because and not _for_patients(task) and not _recorded(office, task):
            yield _unrecorded(office, task)


def _never_due(task: Task) -> Finding:
    return finding(
        "S10",
        task.span,
        f"The task “{task.title}” does not say when it is due.",
        floor="It is done when someone thinks of it.",
        fix='Add a schedule: `start of day`, `every week on mon`, `each load of …`, `after "…"`.',
    )


def _schedule(office: Office, task: Task, schedule: Schedule, today: date) -> Iterator[Finding]:
    if not schedule.complete:
        yield _no_day(task, schedule)
        return
    if not any(office.calendar.open_days.values()):
        return
    if schedule.device and not _runs(office, schedule.device):
        yield _no_loads(office, task, schedule)
    if schedule.minute is not None:
        yield from _outside_hours(office, task, schedule, schedule.minute)
    rule = schedule.recurrence
    if rule is None or rule.frequency is Frequency.DAILY:
        return
    closed = [day for day in rule.weekdays if not office.calendar.open_days.get(day)]
    if closed and rule.when_closed in (None, "skip"):
        yield _never_open(office, task, schedule, closed)
        return
    if rule.start is not None and rule.interval and (rule.start - today).days > rule.interval:
        yield _begins_late(task, schedule, rule.start, today)
    due = occurrences(rule, office.calendar, today, _ahead(today))
    missed = [each for each in due if each.done is None]
    if missed and rule.when_closed is None:
        yield _closed_then(office, task, schedule, missed)
    elif missed and len(missed) == len(due):
        yield _always_skipped(task, schedule, missed)


def _ahead(today: date) -> date:
    return today + timedelta(days=min(AHEAD, (date.max - today).days))


def _no_day(task: Task, schedule: Schedule) -> Finding:
    examples = {
        Frequency.WEEKLY: "every week on mon",
        Frequency.MONTHLY: "every month on first mon",
        Frequency.QUARTERLY: "every quarter on first mon",
        Frequency.YEARLY: "every year on 03-15",
        Frequency.EVERY_DAYS: "every 90 days from 2026-01-05",
    }
    rule = schedule.recurrence
    example = examples.get(rule.frequency, "every week on mon") if rule else "every week on mon"
    return finding(
        "S11",
        schedule.span,
        f"“{task.title}” is due {schedule.text}, but on which day?",
        floor="It slips from day to day, and the log sheet has no date to print.",
        fix=f"Name it: `{example}`.",
    )


def _never_open(office: Office, task: Task, schedule: Schedule, closed: list[int]) -> Finding:
    names = listed([DAYS[day] for day in closed])
    opened = [day for day in range(7) if office.calendar.open_days.get(day)]
    return finding(
        "S13",
        schedule.span,
        f"“{task.title}” is due on {names}, when the office is never open.",
        floor="It is never done, and the log stays empty.",
        fix=f"Name a day on which you are open (such as `{SHORT[opened[0]]}`), or add `if closed next open day`.",
    )


def _closed_then(office: Office, task: Task, schedule: Schedule, missed: list[Occurrence]) -> Finding:
    first = missed[0].due
    reason = office.calendar.closed_reason(first)
    why = f" ({reason})" if reason else ""
    more = f", and {len(missed) - 1} more within the year" if len(missed) > 1 else ""
    return finding(
        "S12",
        schedule.span,
        f"“{task.title}” falls on {DAYS[first.weekday()]}, {first.isoformat()}, when the office is closed{why}{more}.",
        floor="No one is there; whether it is done before, after or not at all is left to chance.",
        fix="Add `if closed next open day`, `if closed previous open day` or `if closed skip`.",
    )


def _runs(office: Office, device: str) -> bool:
    steps = (step for procedure in office.procedures.values() for step in procedure.steps())
    return any(run.device == device for step in steps for run in step.runs)


def _no_loads(office: Office, task: Task, schedule: Schedule) -> Finding:
    device = title(office.devices, schedule.device)
    return finding(
        "S18",
        schedule.span,
        f"“{task.title}” is due {schedule.text}, and no step ever runs {device}.",
        floor="The task waits for a load that no page tells anyone to run.",
        fix=f"Write `runs {schedule.device} …` into the step that does it, or name the machine that is run.",
        notes=[Note(f"{device} is declared here", office.devices[schedule.device].span)],
    )


def _always_skipped(task: Task, schedule: Schedule, missed: list[Occurrence]) -> Finding:
    first = missed[0].due
    return finding(
        "S16",
        schedule.span,
        f"“{task.title}” is skipped when closed, and that is every time within the year: first on "
        f"{DAYS[first.weekday()]}, {first.isoformat()}.",
        floor="It is not done for a year, and the page says that this is right.",
        fix="Write `if closed next open day`, or name another day.",
    )


def _begins_late(task: Task, schedule: Schedule, start: date, today: date) -> Finding:
    return finding(
        "S17",
        schedule.span,
        f"“{task.title}” is due {schedule.text}: for the first time in {(start - today).days} days.",
        floor="Until then it is on no sheet, for longer than it may be left between two times.",
        fix="Write the day on which it was done last, or the next one that is due.",
    )


def _outside_hours(office: Office, task: Task, schedule: Schedule, minute: int) -> Iterator[Finding]:
    rule = schedule.recurrence
    days = rule.weekdays if rule and rule.weekdays else range(7)
    hours = {day: office.calendar.open_days.get(day, ()) for day in days}
    never = [
        day
        for day, stretches in hours.items()
        if stretches and not any(opens <= minute <= closes for opens, closes in stretches)
    ]
    if not never:
        return
    clock = f"{minute // 60:02}:{minute % 60:02}"
    yield finding(
        "S14",
        schedule.span,
        f"“{task.title}” is due at {clock}, when the office is closed on {listed([DAYS[day] for day in never])}.",
        floor="On these days no one is there to do it.",
        fix="Choose a time within opening hours, or `start of day` or `end of day`.",
    )


def _for_patients(task: Task) -> bool:
    return any(schedule.occasion is Occasion.EACH_PATIENT for schedule in task.schedules)


def _recorded(office: Office, task: Task) -> bool:
    """Whether the task leaves a record; one written only in what follows a "no" is none of the ordinary day."""
    if task.records:
        return True
    seen: set[str] = set()
    queue = [performing.procedure for performing in task.performs]
    while queue:
        procedure = office.procedures.get(queue.pop())
        if procedure is None or procedure.name in seen:
            continue
        seen.add(procedure.name)
        for step in procedure.steps():
            if step.records:
                return True
            queue += [performing.procedure for performing in step.performs]
    return False


def _unrecorded(office: Office, task: Task) -> Finding:
    logs = [log.name for log in office.logs.values()]
    example = logs[0] if logs else "LOG"
    does = [title(office.actions, doing.action).lower() for doing in task.does]
    what = f" ({listed(does)})" if does else ""
    return finding(
        "S15",
        task.span,
        f"“{task.title}”{what} is recorded nowhere.",
        floor="Afterwards no one can show that it was done.",
        fix=f'Add `record {example}`, or `because "…"` that says why no record is kept.',
    )
