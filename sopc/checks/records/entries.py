"""Do entries in logs lead somewhere: bad ones are acted on, good ones known, and no run of a machine is left out."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.items.effects import with_performed
from sopc.checks.report import finding, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Check, Column, Log, Office, Procedure, Proceed, Run, Step

_OPPOSITES = (("yes", "no"), ("yes", "not yet"), ("pass", "fail"), ("passed", "failed"), ("good", "bad"))


def entries(office: Office) -> Iterator[Finding]:
    """Hold what is written down against what the page does with it.

    1. A question about what is written into a column with limits leads somewhere on “no” (S28).
    2. A machine whose runs are written down in a log for it is run by no procedure that writes none down (S29).
    3. A column of two opposites says which is in order, where a page goes by it (S30).
    """
    for procedure in office.procedures.values():
        for step in procedure.steps():
            columns = list(_columns(office, step))
            yield from _goes_on(step, columns)
            yield from _either(step, columns)
    yield from _runs(office)


def _columns(office: Office, step: Step) -> Iterator[tuple[Log, Column]]:
    """The columns a step writes into."""
    for recording in step.records:
        log = office.logs.get(recording.log)
        if log is not None:
            yield from ((log, column) for column in log.columns if column.name in recording.columns)


def _leads_on(check: Check) -> bool:
    """Whether “no” changes nothing: the page simply goes on."""
    return isinstance(check.otherwise, Proceed) and not check.loses


def _goes_on(step: Step, columns: list[tuple[Log, Column]]) -> Iterator[Finding]:
    limited = [(log, column) for log, column in columns if column.limit is not None]
    for check in step.checks if limited else ():
        if _leads_on(check):
            log, column = limited[0]
            yield finding(
                "S28",
                check.span,
                f"“{step.title}” goes on when the answer is no, though “{column.title}” in “{log.title}”, where it is "
                "written down, accepts only part of what can be.",
                floor="The bad result is written down, and the work goes on with it.",
                fix="Write what the sheet asks for beyond its limits: `else stop “…”`, `else repeat from …`.",
                notes=[Note("the limits stand here", column.limit.span if column.limit is not None else column.span)],
            )


def _either(step: Step, columns: list[tuple[Log, Column]]) -> Iterator[Finding]:
    if not any(check.otherwise is not None and not _leads_on(check) for check in step.checks):
        return
    for log, column in columns:
        if column.limit is None and _opposed(column.choices):
            yield finding(
                "S30",
                column.span,
                f"“{column.title}” in “{log.title}” may be “{column.choices[0]}” or “{column.choices[1]}”, and nothing "
                "says which of them is in order.",
                floor="A bad entry looks like any other, and whoever looks the sheet through passes over it.",
                fix=f"Add `accept “{column.choices[0]}”`, or the other one.",
                notes=[Note("the question stands here", step.span)],
            )


def _opposed(choices: tuple[str, ...]) -> bool:
    """Whether there are two choices, of which one denies the other."""
    if len(choices) != 2:
        return False
    one, other = (choice.casefold().strip() for choice in choices)
    pairs = ((one, other), (other, one))
    return any(pair in _OPPOSITES or _denies(*pair) for pair in pairs)


def _denies(denial: str, said: str) -> bool:
    """“No growth” of “growth”, “not all” of “all changed”, “uneven” of “even”."""
    first, *rest = denial.split()
    if first in ("no", "not") and rest:
        return set(rest) <= set(said.split())
    return denial in (f"un{said}", f"in{said}", f"dis{said}")


# ── Runs of machines ────────────────────────────────────────────────────────────────────────────


def _runs(office: Office) -> Iterator[Finding]:
    logs: dict[str, set[str]] = {}
    for log in office.logs.values():
        for device in log.for_devices:
            logs.setdefault(device, set()).add(log.name)
    runs = [
        (run, procedure)
        for procedure in office.procedures.values()
        for step in procedure.steps()
        for run in step.runs
        if run.device in logs
    ]
    written = {id(procedure): _written(office, procedure) for _, procedure in runs}
    kept = {run.device: procedure for run, procedure in reversed(runs) if written[id(procedure)] & logs[run.device]}
    for run, procedure in runs:
        if run.device in kept and not written[id(procedure)] & logs[run.device]:
            yield _unwritten(office, run, procedure, kept[run.device])


def _written(office: Office, procedure: Procedure) -> set[str]:
    """The logs that are written in where the procedure is done, or by a task or another procedure that has it done."""
    found = {recording.log for step in procedure.steps() for recording in step.records}
    for task in office.tasks.values():
        done = with_performed(office, [work.procedure for work in task.performs]) if task.records else []
        if any(each is procedure for each in done):
            found |= {recording.log for recording in task.records}
    for other in office.procedures.values():
        inside = with_performed(office, [other.name])
        if other is not procedure and any(each is procedure for each in inside):
            found |= {recording.log for step in other.steps() for recording in step.records}
    return found


def _unwritten(office: Office, run: Run, procedure: Procedure, kept: Procedure) -> Finding:
    device = title(office.devices, run.device)
    return finding(
        "S29",
        run.span,
        f"“{procedure.title}” runs {device}, and writes down nothing in a log for it; “{kept.title}” does.",
        floor=f"The sheet of {device} looks complete, and some of its runs are on no sheet.",
        fix="Add `record …` with that log to the step that runs it, or to the task that has it done.",
        notes=[Note("runs are written down here", kept.span)],
    )
