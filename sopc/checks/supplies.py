"""Is what is used still good: solutions renewed as often as they run out, opening hours counted."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

from sopc.checks.effects import with_performed
from sopc.checks.report import asked_by, finding
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Occasion, Office, Schedule, Supply, Task
from sopc.trade.calendar import occurrences
from sopc.trade.quantities import show_duration

LEAST_DAYS = 366
MOST_DAYS = 1100
SOME_DAYS = 35
WITH_THE_WORK = frozenset({Occasion.EACH_PATIENT, Occasion.EACH_LOAD})


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what supplies promise.

    1. Nothing is used past its `use within`: at every moment the office is open, the last renewal is no
       longer ago (S01). Made at the start of the day counts from opening time, at its end from closing time;
       where all that uses it is due at those moments, only they count.
    2. What is diluted says how long it keeps (S02).
    3. What keeps only for a time and is used anywhere is renewed by a task (S03); one that comes only after an
       event renews it for what is done then, and for nothing else (S04).
    """
    used = _used(office)
    for supply in office.supplies.values():
        tasks = [task for task in office.tasks.values() if supply.name in task.renews]
        if supply.dilution is not None and supply.use_within is None and (supply.name in used or tasks):
            yield _no_end(office, supply)
        if supply.use_within is None:
            continue
        if not tasks and supply.name in used:
            yield _never_renewed(office, supply)
        elif tasks:
            yield from _renewal(office, supply, tasks, today)


def _used(office: Office) -> set[str]:
    found = {name for procedure in office.procedures.values() for step in procedure.steps() for name in step.using}
    return found | {name for task in office.tasks.values() for name in task.using}


def _no_end(office: Office, supply: Supply) -> Finding:
    return finding(
        "S02",
        supply.dilution.span if supply.dilution else supply.span,
        f"{supply.title} is diluted, but nothing says how long it keeps.",
        floor="Someone finds a bottle, does not know how old it is, and uses it.",
        fix="Add `use within …` from the label, and a task that `renews` it.",
        asked_by=asked_by(office, supply),
    )


def _never_renewed(office: Office, supply: Supply) -> Finding:
    return finding(
        "S03",
        supply.use_within_span or supply.span,
        f"{supply.title} keeps for {supply.use_within}, but no task renews it.",
        floor="It is used until someone happens to notice.",
        fix=f'Add a task: `task fresh_{supply.name} "…" {{ … start of day  renews {supply.name} }}`.',
        asked_by=asked_by(office, supply),
    )


@dataclass(frozen=True, slots=True)
class _Age:
    made: datetime
    used: datetime

    @property
    def seconds(self) -> int:
        return int((self.used - self.made).total_seconds())


def _renewal(office: Office, supply: Supply, tasks: list[Task], today: date) -> Iterator[Finding]:
    schedules = [schedule for task in tasks for schedule in task.schedules]
    # Made fresh whenever it is used: there is nothing to outlast.
    if not schedules or any(schedule.occasion in WITH_THE_WORK for schedule in schedules):
        return
    if _made_where_used(office, supply.name, tasks):
        return
    dated = [schedule for schedule in schedules if schedule.occasion is not Occasion.EVENT]
    if len(dated) < len(schedules):
        elsewhere = _due_beside(office, supply.name, tasks)
        if elsewhere and not dated:
            yield _by_chance(office, supply, tasks[0], elsewhere)
        if not (elsewhere and dated):
            return
    if not any(office.calendar.open_days.values()) or supply.use_within is None:
        return
    schedules = dated
    keeps = int(supply.use_within.base)
    days = min(MOST_DAYS, max(LEAST_DAYS, 3 * keeps // 86_400 + SOME_DAYS))
    made = sorted({moment for schedule in schedules for moment in _moments(office, schedule, today, days)})
    worst = _oldest(office, _from(made, today, days), _moments_of_use(office, supply), keeps, today)
    if worst is None:
        return
    task = tasks[0]
    when = " and ".join(dict.fromkeys(schedule.text for schedule in schedules))
    over = show_duration(worst.seconds - keeps)
    yield finding(
        "S01",
        supply.use_within_span or supply.span,
        f"{supply.title} keeps for {supply.use_within}, but is renewed {when} and used for up to "
        f"{show_duration(worst.seconds)}: {over} too long.",
        floor=f"On {_day(worst.used)} it would still be used {over} after it has run out.",
        walk=[
            WalkStep(f"made {_moment(worst.made)} (“{task.title}”)", schedules[0].span),
            WalkStep(f"still in use {_moment(worst.used)}: {show_duration(worst.seconds)}"),
            WalkStep(f"keeps for {supply.use_within}", supply.use_within_span or supply.span),
        ],
        fix=f"Renew it more often: a second schedule in `task {task.name}`, such as {_second(office, worst, keeps)}.",
        notes=[Note(f"“{task.title}” renews it", task.span)],
        cause=f"renewal {supply.name}",
        asked_by=asked_by(office, supply),
    )


def _made_where_used(office: Office, name: str, tasks: list[Task]) -> bool:
    """Whether all that uses the supply is done by the tasks that make it fresh: no bottle outlasts the work.

    The procedures that these tasks perform make it themselves, also where another task performs them.
    """
    using = {each.name for each in office.procedures.values() if any(name in step.using for step in each.steps())}
    made = [each.procedure for task in tasks for each in task.performs]
    others = [task for task in office.tasks.values() if task not in tasks]
    if not using or any(name in task.using for task in others):
        return False
    elsewhere = {each.procedure for task in others for each in task.performs}
    alone = {each.name for each in with_performed(office, elsewhere - set(made), but=frozenset(made))}
    return using <= {each.name for each in with_performed(office, made)} and not using & alone


def _due_beside(office: Office, name: str, tasks: list[Task]) -> str:
    """The title of a task that is due by the calendar and uses the supply, beside these; empty when there is none.

    What no task has done is done when it is needed, and there the author's words for the event must do.
    """
    others = (task for task in office.tasks.values() if task not in tasks and _uses(office, task, name))
    by_calendar = (task for task in others if any(each.occasion is not Occasion.EVENT for each in task.schedules))
    return next((task.title for task in by_calendar), "")


def _by_chance(office: Office, supply: Supply, task: Task, elsewhere: str) -> Finding:
    return finding(
        "S04",
        supply.use_within_span or supply.span,
        f"{supply.title} keeps for {supply.use_within} and is renewed only {task.schedules[0].text}, "
        f"but “{elsewhere}” uses it as well.",
        floor="Until that happens, it is used at whatever age it has.",
        fix=f"Add a schedule by the calendar to `task {task.name}`, such as `start of day`; or let that task "
        "`perform` all that uses it.",
        notes=[Note(f"“{task.title}” renews it", task.span)],
        asked_by=asked_by(office, supply),
    )


def _second(office: Office, worst: _Age, keeps: int) -> str:
    """A moment at which it could be renewed before it runs out, on the half hour."""
    end = worst.made + timedelta(seconds=keeps)
    early = end.hour * 60 + end.minute - 30
    early -= early % 30
    at = worst.made.replace(hour=0, minute=0) + timedelta(minutes=early)
    within = any(opens < at < closes for opens, closes in _hours(office, worst.made.date()))
    if end.date() != worst.made.date() or not within:
        return "`start of day`"
    return f"`every day at {early // 60:02}:{early % 60:02}`"


def _day(moment: datetime) -> str:
    return f"{moment:%a} {moment.date().isoformat()}"


def _moment(moment: datetime) -> str:
    return f"{moment:%a %H:%M}"


def _hours(office: Office, day: date) -> list[tuple[datetime, datetime]]:
    """The stretches the office is open on a day."""
    if not office.calendar.is_open(day):
        return []
    start = datetime(day.year, day.month, day.day)
    return [
        (start + timedelta(minutes=opens), start + timedelta(minutes=closes))
        for opens, closes in office.calendar.open_days.get(day.weekday(), ())
    ]


def _moments(office: Office, schedule: Schedule, today: date, days: int) -> Iterator[datetime]:
    """When something is made by a schedule, so many days back and ahead."""
    first, last = _around(today, days)
    if schedule.recurrence is not None:
        dates = [each.done for each in occurrences(schedule.recurrence, office.calendar, first, last)]
    else:
        dates = list(office.calendar.open_dates(first, last))
    for day in dates:
        hours = _hours(office, day) if day is not None else []
        if day is None or not hours:
            continue
        if schedule.minute is not None:
            yield datetime(day.year, day.month, day.day) + timedelta(minutes=schedule.minute)
        elif schedule.occasion is Occasion.END_OF_DAY:
            yield hours[-1][1]
        else:
            yield hours[0][0]


def _around(today: date, days: int) -> tuple[date, date]:
    """So many days back and ahead, as far as dates go."""
    ordinal = today.toordinal()
    return date.fromordinal(max(1, ordinal - days)), date.fromordinal(min(date.max.toordinal() - 1, ordinal + days))


def _from(made: list[datetime], today: date, days: int) -> list[datetime]:
    """The stretches between renewals that reach today or later; the last one ends where we stop looking.

    When nothing was made before today, it is taken to be made today.
    """
    start = datetime(today.year, today.month, today.day)
    before = [moment for moment in made if moment < start]
    after = [moment for moment in made if moment >= start]
    last = _around(today, days)[1]
    return [*(before[-1:] or [start]), *after, datetime(last.year, last.month, last.day) + timedelta(days=1)]


def _moments_of_use(office: Office, supply: Supply) -> frozenset[Occasion]:
    """The ends of the day at which all that uses the supply is due; empty when it may be used at any time.

    A procedure that no task performs may be done at any time.
    """
    found: set[Occasion] = set()
    done = (each.procedure for task in office.tasks.values() for each in task.performs)
    by_task = {procedure.name for procedure in with_performed(office, done)}
    for procedure in office.procedures.values():
        if procedure.name not in by_task and any(supply.name in step.using for step in procedure.steps()):
            return frozenset()
    for task in office.tasks.values():
        if not _uses(office, task, supply.name):
            continue
        for schedule in task.schedules:
            if schedule.occasion not in (Occasion.START_OF_DAY, Occasion.END_OF_DAY):
                return frozenset()
            found.add(schedule.occasion)
    return frozenset(found)


def _uses(office: Office, task: Task, name: str) -> bool:
    if name in task.using:
        return True
    done = (performing.procedure for performing in task.performs)
    inside = {procedure.name for procedure in with_performed(office, done)}
    return any(name in step.using for each in inside for step in office.procedures[each].steps())


def _oldest(office: Office, made: list[datetime], at: frozenset[Occasion], keeps: int, today: date) -> _Age | None:
    """The first time from today on something is used past what it keeps, at its oldest; None when it never is."""
    for moment, following in pairwise(made):
        used = _last_moment(office, moment, following, at) if at else _last_use(office, moment, following)
        if used is not None and used.date() >= today and (used - moment).total_seconds() > keeps:
            return _Age(moment, used)
    return None


def _last_moment(office: Office, made: datetime, following: datetime, at: frozenset[Occasion]) -> datetime | None:
    """The last opening or closing after `made` and before it is renewed, whichever of them counts."""
    day = following.date()
    while day >= made.date():
        hours = _hours(office, day)
        ends = [hours[-1][1]] if hours and Occasion.END_OF_DAY in at else []
        starts = [hours[0][0]] if hours and Occasion.START_OF_DAY in at else []
        for moment in (*ends, *starts):
            if made <= moment < following:
                return moment
        day -= timedelta(days=1)
    return None


def _last_use(office: Office, made: datetime, following: datetime) -> datetime | None:
    """The last moment the office is open after `made` and before it is renewed."""
    day = following.date()
    while day >= made.date():
        for opens, closes in reversed(_hours(office, day)):
            if opens < following and closes > made:
                return min(closes, following)
        day -= timedelta(days=1)
    return None
