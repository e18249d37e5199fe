"""Times that contradict another line: longer than the office is open, or than what is used keeps."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.report import asked_by, finding
from sopc.checks.time.durations import contact_of, rounded_up, stated
from sopc.findings import Finding, Note
from sopc.model.nouns import Decider, Duration, Office, Step, Supply
from sopc.trade.quantities import show_duration


def check(office: Office) -> Iterator[Finding]:
    """Hold times against what else the text says.

    1. What staff do without a break is done within the hours of a day (T08).
    2. What is mixed fresh keeps as long as a step needs it (T09).
    """
    longest = _longest_day(office)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            yield from _beyond_the_day(step.title, step.takes, longest)
            for name in step.using:
                yield from _runs_out(office, step, office.supplies.get(name))
    for task in office.tasks.values():
        yield from _beyond_the_day(task.title, task.takes, longest)


def _longest_day(office: Office) -> int:
    """Seconds from opening to closing, on the weekday on which that is longest; 0 when no hours are given."""
    days = [hours for hours in office.calendar.open_days.values() if hours]
    return max((60 * (hours[-1][1] - hours[0][0]) for hours in days), default=0)


def _beyond_the_day(where: str, takes: Duration | None, longest: int) -> Iterator[Finding]:
    if takes is None or takes.decider is not Decider.STAFF or not longest or rounded_up(takes.least) <= longest:
        return
    yield finding(
        "T08",
        takes.span,
        f"“{where}” keeps staff for {takes.least} at the least; the office is open {show_duration(longest)} a day.",
        floor="No one can do it in one go; it is broken off at closing time, wherever it stands.",
        fix="If a machine or the outcome decides, write `by machine` or `until “…”`. Is the unit the right one?",
    )


def _runs_out(office: Office, step: Step, supply: Supply | None) -> Iterator[Finding]:
    if supply is None or supply.use_within is None:
        return
    least = stated(step.takes).least if step.takes is not None else 0
    contact = contact_of(office, step)
    needed = max(least, contact[0] if contact is not None and contact[2] == supply.name else 0)
    if needed <= supply.use_within.base:
        return
    where = step.takes.span if step.takes is not None else step.span
    yield finding(
        "T09",
        where,
        f"“{step.title}” needs {supply.title} for {show_duration(needed)}, which keeps for {supply.use_within} only.",
        floor="It loses its strength before the step is over, and nobody sees it.",
        fix="Look at both units. If they are right, take something that keeps longer, or renew it in between.",
        notes=[Note("how long it keeps stands here", supply.use_within_span or supply.span)],
        asked_by=asked_by(office, supply),
    )
