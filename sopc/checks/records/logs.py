"""Can logs be kept: someone writes in each, its limits make sense, and what to do beyond them is said."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.records.entries import entries
from sopc.checks.report import finding, listed, shortened
from sopc.findings import Finding
from sopc.model.nouns import Column, Log, Office

LONGER = {"week": ("daily",), "month": ("daily", "weekly")}
"""Sheets that cover less than such a row."""


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what logs promise.

    1. Some task, step or training is recorded in every log (S20).
    2. A log has columns (S21), one of them to sign in (S23).
    3. A row covers no more than its sheet (S26).
    4. A log with limits says what to do beyond them (S25).
    5. What is written down leads somewhere, and leaves no run out (`entries`, S28 to S30).
    """
    yield from entries(office)
    written = _written(office)
    for log in office.logs.values():
        if log.name not in written:
            yield _unused(log)
        if not log.columns:
            yield _empty(log)
            continue
        if not any(_signs(column) for column in log.columns):
            yield _unsigned(log)
        if log.row in LONGER and log.period in LONGER[log.row]:
            yield _rowless(log)
        limited = [column.title for column in log.columns if column.limit is not None]
        if limited and not log.out_of_limits.strip():
            yield _beyond(log, limited)


def _rowless(log: Log) -> Finding:
    return finding(
        "S26",
        log.span,
        f"A sheet of “{log.title}” is {log.period}, and a row of it covers a {log.row}.",
        floor="Each sheet has less than one row: either most sheets stay empty, or entries have no place.",
        fix=f"Make the sheet cover more (`sheet yearly one row a {log.row}`), or the row less.",
    )


def _written(office: Office) -> set[str]:
    found = {
        recording.log
        for procedure in office.procedures.values()
        for step in procedure.steps()
        for recording in step.records
    }
    found |= {recording.log for task in office.tasks.values() for recording in task.records}
    return found | {recording.log for training in office.training.values() for recording in training.records}


def _unused(log: Log) -> Finding:
    return finding(
        "S20",
        log.span,
        f"Nothing is ever recorded in “{log.title}”.",
        floor="The sheet is printed, hung up, and stays empty.",
        fix=f"Add `record {log.name}` to the step or task whose result belongs there, or take the log out.",
    )


def _empty(log: Log) -> Finding:
    return finding(
        "S21",
        log.span,
        f"“{log.title}” has no columns.",
        floor="The sheet would have nothing to fill in.",
        fix='Add `column on_date "Date" date`, what is measured, and `column who "Initials" initials`.',
    )


def _signs(column: Column) -> bool:
    titled = column.title.casefold()
    return column.type == "initials" or any(word in titled for word in ("initial", "sign", "name"))


def _unsigned(log: Log) -> Finding:
    return finding(
        "S23",
        log.span,
        f"No one signs in “{log.title}”.",
        floor="An entry cannot be traced to the person who made it.",
        fix='Add `column who "Initials" initials`.',
    )


def _beyond(log: Log, limited: list[str]) -> Finding:
    verb = "has limits" if len(limited) == 1 else "have limits"
    names = listed([f"“{name}”" for name in limited]) if len(limited) < 4 else shortened(limited, 3)
    return finding(
        "S25",
        log.span,
        f"In “{log.title}” {names} {verb}, but nothing says what to do beyond them.",
        floor="Someone writes down a bad value and goes on working.",
        fix='Add `out of limits "…"`: what is stopped, what happens to the items, who is told.',
    )
