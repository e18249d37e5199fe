"""Is what is used still good: solutions renewed as often as they run out, opening hours counted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import chain, pairwise

from sopc.checks.items.effects import with_performed
from sopc.checks.records import fresh
from sopc.checks.records.fresh import Work
from sopc.checks.report import asked_by, finding
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Occasion, Office, Procedure, Schedule, Supply, Task
from sopc.trade.calendar import occurrences
from sopc.trade.quantities import show_duration

LEAST_DAYS = 366
MOST_DAYS = 1100
SOME_DAYS = 35


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what supplies promise.

    1. Nothing is used past its `use within`: at every moment the office is open, the last renewal is no
       longer ago (S01). Made at the start of the day counts from opening time, at its end from closing time;
       where all that uses it is due at those moments, only they count.
    2. What is diluted says how long it keeps (S02).
    3. What keeps only for a time and is used anywhere is renewed by a task (S03); one that comes only after an
       event renews it for what is done then, and for nothing else (S04); so does one that comes with each load or
       patient (S05), and there it lasts as long as the work (S06, in `fresh`).
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
    if not schedules:
        return
    if _made_where_used(office, supply.name, tasks):
        yield from fresh.running_out(office, supply, tasks, tasks)
        return
    by_event = any(schedule.occasion is Occasion.EVENT for schedule in schedules)
    by_calendar = [each for each in schedules if each.occasion not in fresh.FOR_THE_WORK]
    with_work = any(schedule.occasion in fresh.WITH_THE_WORK for schedule in schedules)
    works = fresh.uses_of(office, supply.name, fresh.made_in(tasks) if with_work else frozenset())
    left = {number: fresh.leftover(office, tasks, work) for number, work in enumerate(works)}
    if with_work:
        mine = [work for number, work in enumerate(works) if work not in tasks and not left[number]]
        yield from fresh.running_out(office, supply, tasks, [*tasks, *mine])
    # What no task has done is done when it is needed: after an event the author's words must do.
    due = [
        work
        for number, work in enumerate(works)
        if left[number] and work not in tasks and not (by_event and isinstance(work, Procedure))
    ]
    if due and not by_calendar:
        told = fresh.elsewhere if with_work else _by_chance
        yield told(office, supply, tasks, due[0])
    if by_calendar and (due or len(by_calendar) == len(schedules)):
        yield from _by_calendar(office, supply, by_calendar, _moments_of_use(left.values()), today)


def _by_calendar(
    office: Office, supply: Supply, schedules: list[Schedule], at: frozenset[Occasion], today: date
) -> Iterator[Finding]:
    """Whether it is ever older than it may be at these ends of the day, or while the office is open (S01)."""
    if not any(office.calendar.open_days.values()) or supply.use_within is None:
        return
    keeps = int(supply.use_within.base)
    days = min(MOST_DAYS, max(LEAST_DAYS, 3 * keeps // 86_400 + SOME_DAYS))
    made = sorted({moment for schedule in schedules for moment in _moments(office, schedule, today, days)})
    worst = _oldest(office, _from(made, today, days), at, keeps, today)
    if worst is None:
        return
    task = next(task for task in office.tasks.values() if schedules[0] in task.schedules and supply.name in task.renews)
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


def _by_chance(office: Office, supply: Supply, tasks: list[Task], work: Work) -> Finding:
    task, elsewhere = tasks[0], work.title
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


def _moments_of_use(dues: Iterable[list[Schedule | None]]) -> frozenset[Occasion]:
    """The ends of the day at which alone it is used; empty when it may be used at any time.

    A procedure that no task performs may be done at any time.
    """
    found: set[Occasion] = set()
    for due in chain.from_iterable(dues):
        if due is None or due.occasion not in (Occasion.START_OF_DAY, Occasion.END_OF_DAY):
            return frozenset()
        found.add(due.occasion)
    return frozenset(found)


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
