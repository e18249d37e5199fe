"""Says what a log asks for in one period: its columns, its rows, which boxes are due and which days are closed."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from sopc.documents.log_due import Due, Plan, closed_throughout, closed_why, plans_of
from sopc.documents.log_grid import Lane, Line, Table
from sopc.documents.log_matrix import task_line, task_list, task_table
from sopc.documents.log_periods import MONTHS, Period, months_of, say, weekday, weeks_of
from sopc.model.nouns import Column, Log, Office
from sopc.trade.quantities import show_number, unit

WIDTHS = {  # what an entry wants, and the least it can be written in
    "number": (20.0, 18.0),
    "quantity": (20.0, 18.0),
    "date": (25.0, 25.0),
    "time": (20.0, 18.0),
    "initials": (15.0, 15.0),
    "tick": (12.0, 8.0),
    "choice": (16.0, 16.0),
    "text": (60.0, 35.0),
}
STUB_DAY, STUB_WEEK, STUB_MONTH, STUB_NUMBER, STUB_TASK = 27.0, 38.0, 30.0, 10.0, 58.0
STUBS = {"day": STUB_DAY, "week": STUB_WEEK, "month": STUB_MONTH, "task": STUB_TASK, "": STUB_NUMBER}
INITIALS = Lane("Initials", want=15.0, floor=15.0)
NARROW = 95.0
REMARKS = Lane("Remarks", want=45.0, floor=35.0, stretch=True)
WITHIN_LIMITS = Lane("Within limits?", boxes=("yes", "no"))


def tables_of(office: Office, log: Log, device: str | None, period: Period) -> tuple[Table, ...]:
    """Ways to set out one log for a device and period; none for a daily sheet on a closed day.

    Tasks by dates are set as a grid of dates, or, where each date needs several entries, as a list of what is due.
    """
    if log.period == "daily" and closed_why(office.calendar, period.first):
        return ()
    plans = plans_of(office, log, device, period)
    if log.row == "task" and log.period != "daily":
        grid = task_table(office, log, plans, period)
        return (grid, task_list(office, row_lanes(log), plans, period)) if len(log.columns) > 1 else (grid,)
    lanes = row_lanes(log)
    if log.row == "task":
        lines = tuple(task_line(office, plan.task) for plan in plans if plan.open_any_day or plan.due)
        return (Table("Task", STUB_TASK, lanes, lines),)
    if log.row == "day":
        lines, stub, width = _day_lines(office, plans, period), "Date", STUB_DAY
    elif log.row == "week":
        lines, stub, width = _span_lines(office, plans, weeks_of(period), False), "Week", STUB_WEEK
    elif log.row == "month":
        lines, stub, width = _span_lines(office, plans, months_of(period), True), "Month", STUB_MONTH
    else:
        count = max(1, log.blank_rows or 0)
        lines, stub, width = tuple(Line(str(number)) for number in range(1, count + 1)), "No.", STUB_NUMBER
    return (Table(stub, width, lanes, lines, tight=log.row == "day", cuts=_cuts(log, period)),)


def _cuts(log: Log, period: Period) -> tuple[int, ...]:
    """Where a table of days is best cut: after the 16th of a month, else at the months."""
    if log.row != "day":
        return ()
    if log.period == "monthly":
        return (16,)
    return tuple(index for index, day in enumerate(period.days()) if index and day.day == 1)


# ── Columns ─────────────────────────────────────────────────────────────────────────────────────


def row_lanes(log: Log) -> tuple[Lane, ...]:
    """Columns of a log filled row by row, with a within-limits tick and initials where the log has none.

    A column for the date is left out where each row is a day already.
    """
    columns = [column for column in log.columns if log.row != "day" or column.type != "date" or column.title != "Date"]
    lanes = [_lane(column) for column in columns]
    # A choice with an accepted answer says pass or fail by itself.
    limited = [index for index, column in enumerate(columns) if column.limit and column.type != "choice"]
    if limited:
        lanes.insert(limited[-1] + 1, WITHIN_LIMITS)
    if not any(column.type == "initials" for column in columns):
        lanes.append(INITIALS)
    # A narrow log leaves half the page empty: better a place for remarks than labels a hand wide.
    if not any(lane.stretch for lane in lanes) and sum(lane.want for lane in lanes) < NARROW:
        lanes.insert(len(lanes) - 1, REMARKS)
    return tuple(lanes)


def _lane(column: Column) -> Lane:
    want, floor = WIDTHS[column.type]
    detail = accepted(column) or symbol(column)
    boxes = column.choices if column.type == "choice" else ()
    return Lane(column.title, (detail,) if detail else (), want, floor, stretch=column.type == "text", boxes=boxes)


def symbol(column: Column) -> str:
    """The unit as it is printed, °C for C; empty for a column without one."""
    known = unit(column.unit)
    return known.symbol if known else column.unit


def accepted(column: Column) -> str:
    """What the writer may accept: "accept 132–137 °C"; empty for a column without a limit."""
    limit = column.limit
    if limit is None:
        return ""
    after = f"\u00a0{symbol(column)}" if column.unit else ""
    if limit.accept:
        return f"accept: {limit.accept}"
    if limit.least is not None and limit.most is not None:
        return f"accept {show_number(limit.least)}–{show_number(limit.most)}{after}"
    if limit.least is not None:
        return f"accept at least {show_number(limit.least)}{after}"
    return f"accept at most {show_number(limit.most)}{after}" if limit.most is not None else ""


# ── Rows ────────────────────────────────────────────────────────────────────────────────────────


def _day_lines(office: Office, plans: tuple[Plan, ...], period: Period) -> tuple[Line, ...]:
    """A row for each day; where all that records here falls on dates, the row says what is due."""
    named = bool(plans) and not any(plan.open_any_day or plan.daily for plan in plans)
    words = _due_words(plans) if named else {}
    lines = []
    for day in period.days():
        closed = closed_why(office.calendar, day)
        lines.append(Line(f"{weekday(day)}\u00a0{say(day)}", words.get(day, ()), closed))
    return tuple(lines)


def _due_words(plans: tuple[Plan, ...]) -> dict[date, tuple[str, ...]]:
    words: dict[date, tuple[str, ...]] = {}
    for plan in plans:
        for due in plan.due:
            text = f"due: {plan.task.title}{_moved(due)}"
            words[due.day] = (*words.get(due.day, ()), text)
    return words


def _span_lines(
    office: Office, plans: tuple[Plan, ...], spans: tuple[tuple[date, date], ...], month: bool
) -> tuple[Line, ...]:
    """A row for each week or month, with the days on which what records here is due, when they are few.

    Where several tasks record here, each day says which of them.
    """
    named = sum(bool(plan.due) and not plan.daily for plan in plans) > 1
    lines = []
    for first, last in spans:
        label = f"{MONTHS[first.month - 1]} {first.year}" if month else f"{say(first)} – {say(last)}"
        days = sorted({(due.day, title if named else "", _moved(due)) for title, due in _within(plans, first, last)})
        under = tuple(
            f"due {weekday(day)}\u00a0{say(day)}{': ' if title else ''}{title}{moved}" for day, title, moved in days
        )
        closed = closed_throughout(office.calendar, first, last)
        lines.append(Line(label, under if len(under) <= 2 and not closed else (), closed))
    return tuple(lines)


def _within(plans: Iterable[Plan], first: date, last: date) -> list[tuple[str, Due]]:
    return [(plan.task.title, due) for plan in plans if not plan.daily for due in plan.due if first <= due.day <= last]


def _moved(due: Due) -> str:
    return f" (moved from {weekday(due.moved_from)}\u00a0{say(due.moved_from)}: closed)" if due.moved_from else ""
