"""The task calendar at a glance: what is done at each patient, each day, each week, each month, each year."""

from __future__ import annotations

from collections import defaultdict

from sopc.documents import wording
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.model.nouns import Occasion, Office, Schedule, Task
from sopc.trade.calendar import Frequency

HEADS = (("What", "31%"), ("When", "22%"), ("Who", "23%"), ("With", "15%"), ("Record", "9%"))
ORDER = (
    "Each patient",
    "Each load",
    "Start of the day",
    "During the day",
    "End of the day",
    "Each week",
    "Each month",
    "Each quarter",
    "Each year",
    "Every so many days",
    "When something happens",
    "Not yet scheduled",
)
OCCASIONS = {
    Occasion.EACH_PATIENT: "Each patient",
    Occasion.EACH_LOAD: "Each load",
    Occasion.START_OF_DAY: "Start of the day",
    Occasion.END_OF_DAY: "End of the day",
    Occasion.EVENT: "When something happens",
}
FREQUENCIES = {
    Frequency.DAILY: "During the day",
    Frequency.WEEKLY: "Each week",
    Frequency.MONTHLY: "Each month",
    Frequency.QUARTERLY: "Each quarter",
    Frequency.YEARLY: "Each year",
    Frequency.EVERY_DAYS: "Every so many days",
}


def task_plan(office: Office) -> Plan:
    """Return the overview; a task with several schedules stands under each."""
    grouped: dict[str, list[tuple[Cell, ...]]] = defaultdict(list)
    for task in office.tasks.values():
        for schedule in task.schedules:
            grouped[group_of(schedule)].append(_row(office, task, schedule))
        if not task.schedules:
            grouped["Not yet scheduled"].append(_row(office, task, None))
    sections = tuple(
        Section(group, tables=(plain_table(HEADS, grouped[group]),), keep=len(grouped[group]) <= 3)
        for group in ORDER
        if group in grouped
    )
    lead = "What recurs, in the order of a day, a week and a year. The log sheets name the dates."
    return Plan("tasks", "Task calendar", lead, sections)


def group_of(schedule: Schedule) -> str:
    """Return the heading under which a schedule is listed."""
    if schedule.occasion is not None:
        return OCCASIONS[schedule.occasion]
    if schedule.recurrence is not None:
        return FREQUENCIES[schedule.recurrence.frequency]
    return "Not yet scheduled"


def _row(office: Office, task: Task, schedule: Schedule | None) -> tuple[Cell, ...]:
    performed = [
        wording.document_reference(office.procedures.get(each.procedure), each.procedure) for each in task.performs
    ]
    things = {**office.devices, **office.supplies}
    logs = [office.logs[each.log].id or each.log for each in task.records if each.log in office.logs]
    under = [f"As in {reference}" for reference in performed]
    under += [f"Takes {wording.duration(task.takes)}"] if task.takes else []
    under += [f"In {wording.small(wording.title_of(office.areas, task.area))}"] if task.area else []
    asking = [office.actions[each.action] for each in task.does if each.action in office.actions]
    asked = [piece for each in asking for piece in each.protects]
    asked += [piece for name in task.using if name in office.supplies for piece in office.supplies[name].protects]
    under += [f"Wear {wording.worn(office, asked)}"] if asked else []
    return (
        Cell(task.title, under=tuple(under)),
        Cell(wording.large(schedule.text) if schedule else "–"),
        Cell(wording.people(office, task.by) or "–"),
        Cell("", under=wording.titles(things, task.using) or ("–",)),
        Cell("", under=tuple(dict.fromkeys(logs)) or ("–",)),
    )
