"""Sets tasks down the side and dates across the head: which boxes are due, which are struck, which days are closed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sopc.documents.log_due import Plan, closed_why
from sopc.documents.log_grid import Cell, Lane, Line, Table
from sopc.documents.log_periods import MONTHS, Period, months_of, say, weekday, weeks_of
from sopc.model.nouns import Column, Log, Office, Performers, Task

WIDTHS = {  # what a box of one date wants, and the least it can be written in
    "initials": (15.0, 12.0),
    "tick": (9.0, 8.0),
    "time": (18.0, 16.0),
    "date": (22.0, 20.0),
    "number": (16.0, 14.0),
    "quantity": (16.0, 14.0),
    "choice": (16.0, 16.0),
}
STUB = 52.0
UNANNOUNCED_ROWS = 2
MOVED = "from"
"""The word before the closed day a box was moved away from."""


@dataclass(frozen=True, slots=True)
class DateColumn:
    """A day, week or month across the head; `closed` says why no one is there, empty when open."""

    first: date
    last: date
    label: tuple[str, ...]
    closed: str = ""


def task_table(office: Office, log: Log, plans: tuple[Plan, ...], period: Period) -> Table:
    """Rows are the tasks that record in this log, columns the dates of the period."""
    places = date_columns(office, log, period)
    short = [column for column in log.columns if column.type != "text"]
    lanes = [lane for group, place in enumerate(places) for lane in _lanes_of(place, group, short)]
    texts = [column for column in log.columns if column.type == "text"]
    lanes += [Lane(column.title, (), 40.0, 30.0, stretch=True) for column in texts]
    lines = tuple(_line(office, plan, lanes, places) for plan in plans)
    return Table("Task", STUB, tuple(lanes), lines)


def task_list(office: Office, lanes: tuple[Lane, ...], plans: tuple[Plan, ...], period: Period) -> Table:
    """A row for each time a task is due, by date, then rows for what comes unannounced."""
    dated = sorted(
        ((due, place, plan) for place, plan in enumerate(plans) for due in plan.due if _in(due.day, period)),
        key=lambda entry: (entry[0].day, entry[1]),
    )
    lines = []
    for due, _, plan in dated:
        moved = f", moved from {weekday(due.moved_from)}\u00a0{say(due.moved_from)}" if due.moved_from else ""
        lines.append(Line(plan.task.title, (f"{weekday(due.day)}\u00a0{say(due.day)}{moved}",)))
    for plan in plans:
        if plan.open_any_day:
            lines += [task_line(office, plan.task)] * UNANNOUNCED_ROWS
    return Table("Task, day", STUB, lanes, tuple(lines))


def _in(day: date, period: Period) -> bool:
    return period.first <= day <= period.last


def date_columns(office: Office, log: Log, period: Period) -> tuple[DateColumn, ...]:
    """Days for a week or a month, weeks for a quarter, months for a year."""
    if log.period == "quarterly":
        weeks = weeks_of(period)
        return tuple(DateColumn(first, last, (f"{say(first)} –", say(last))) for first, last in weeks)
    if log.period == "yearly":
        return tuple(DateColumn(first, last, (MONTHS[first.month - 1][:3],)) for first, last in months_of(period))
    return tuple(
        DateColumn(day, day, (weekday(day), str(day.day)), closed_why(office.calendar, day)) for day in period.days()
    )


def _lanes_of(place: DateColumn, group: int, short: list[Column]) -> list[Lane]:
    if place.closed or not short:
        want, floor = WIDTHS["initials"]
        return [Lane("", (), want, floor, group=group, date_label=place.label, closed=place.closed)]
    lanes = []
    for column in short:
        want, floor = WIDTHS[column.type]
        title = column.title if len(short) > 1 else ""
        boxes = column.choices if column.type == "choice" else ()
        lanes.append(Lane(title, (), want, floor, boxes=boxes, group=group, date_label=place.label))
    return lanes


def _line(office: Office, plan: Plan, lanes: list[Lane], places: tuple[DateColumn, ...]) -> Line:
    boxes = [_box(plan, places[lane.group]) if lane.group >= 0 else (Cell.OPEN, "") for lane in lanes]
    line = task_line(office, plan.task)
    return Line(line.label, line.under, "", tuple(cell for cell, _ in boxes), tuple(mark for _, mark in boxes))


def _box(plan: Plan, place: DateColumn) -> tuple[Cell, str]:
    """What the box of a task on a date shows: open, struck or closed, and a word in its corner."""
    if place.closed:
        return Cell.CLOSED, ""
    if plan.open_any_day:
        return Cell.OPEN, ""
    due = [item for item in plan.due if place.first <= item.day <= place.last]
    if not due:
        return Cell.NOT_DUE, ""
    moved = [item.moved_from for item in due if item.moved_from]
    if place.first != place.last and len(due) <= 2 and not plan.daily:
        return Cell.OPEN, ", ".join(f"{weekday(item.day)}\u00a0{item.day.day}" for item in due)
    return Cell.OPEN, f"{MOVED} {weekday(moved[0])}\u00a0{moved[0].day}" if moved else ""


def task_line(office: Office, task: Task) -> Line:
    """The row of a task: what, by whom, when."""
    when = "; ".join(schedule.text for schedule in task.schedules if schedule.text)
    parts = [part for part in (people(office, task.by), when) if part]
    return Line(task.title, (" · ".join(parts),) if parts else ())


def people(office: Office, performers: Performers | None) -> str:
    """Who does it, by title: "Assistant or Hygienist"; empty when the text does not say."""
    if performers is None:
        return ""
    names = []
    for count, role in performers.roles:
        title = office.roles[role].title if role in office.roles else role
        names.append(f"{count} {title}" if count > 1 else title)
    return (" and " if performers.joined else " or ").join(names)
