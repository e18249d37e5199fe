"""Says whether a change lets more through than before or less: loosened limits are what an approver must look at."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

from sopc.changes.change import Change, How, Kind
from sopc.model.nouns import (
    AnotherPerson,
    Check,
    ColumnLimit,
    Duration,
    Exposure,
    Limit,
    Performers,
    Recording,
    Repeat,
    Schedule,
    Signal,
    Step,
    WayLimit,
)
from sopc.trade.calendar import Frequency, Recurrence
from sopc.trade.quantities import Quantity


class Direction(StrEnum):
    """What a change does to a limit or a safeguard."""

    NONE = ""
    LOOSENED = "loosened"
    TIGHTENED = "tightened"
    BOTH = "looser at one end, tighter at the other"
    SHORTENED = "shortened"
    LENGTHENED = "lengthened"


DAYS_BETWEEN = {
    Frequency.DAILY: 1.0,
    Frequency.WEEKLY: 7.0,
    Frequency.MONTHLY: 30.4,
    Frequency.QUARTERLY: 91.3,
    Frequency.YEARLY: 365.2,
}
SAFEGUARDS = (Limit, Check, Signal, Recording, ColumnLimit, AnotherPerson)
"""What makes a procedure stricter by being there."""

NAME_SETS = frozenset(
    {
        "protective equipment", "protective equipment asked for", "needs", "requirements met", "condition at the end",
        "admits", "keeps", "only what is",
    }
)  # fmt: skip


def direction_of(change: Change) -> Direction:
    """Loosened, tightened, both, or neither (also when the values do not tell)."""
    if change.how in (How.ADDED, How.REMOVED):
        return _of_presence(change)
    if change.how is How.CHANGED:
        return _of_values(change)
    return Direction.NONE


def _of_presence(change: Change) -> Direction:
    present = change.after if change.how is How.ADDED else change.before
    stricter = change.how is How.ADDED
    if change.kind in (Kind.SET_ASIDE, Kind.NOT_APPLICABLE) or (change.kind is Kind.FLOW and not change.facet):
        return Direction.LOOSENED if stricter else Direction.TIGHTENED
    if change.kind in (Kind.REQUIREMENT, Kind.MINIMUM, Kind.BOUNDS) and not change.facet:
        return Direction.TIGHTENED if stricter else Direction.LOOSENED
    safeguard = isinstance(present, SAFEGUARDS) or change.facet in (
        *NAME_SETS,
        "second person",
        "use within",
        "contact time",
    )
    if isinstance(present, Step):
        safeguard = bool(present.checks or present.second_person or present.another)
    if not safeguard:
        return Direction.NONE
    return Direction.TIGHTENED if stricter else Direction.LOOSENED


def _of_values(change: Change) -> Direction:
    before, after = change.before, change.after
    if isinstance(before, Check) and isinstance(after, Check):
        before, after = before.otherwise, after.otherwise
    for type_, judge in JUDGES:
        if isinstance(before, type_) and isinstance(after, type_):
            return judge(before, after)
    if isinstance(before, Quantity) and isinstance(after, Quantity):
        return (
            _judged(None, before, None, after)
            if change.facet in ("use within", "wetted again every")
            else Direction.NONE
        )
    if change.facet in ("contact time", "drying time") and isinstance(before, tuple) and isinstance(after, tuple):
        return _lower_end(before[0], after[0])
    if change.facet in NAME_SETS and isinstance(before, tuple) and isinstance(after, tuple):
        return _sets(frozenset(before), frozenset(after))
    if change.facet in ("how long it is kept", "A0"):
        return _lower_end(before, after)
    if change.facet == "least often, in days":
        return _lower_end(after, before)
    if change.kind is Kind.SET_ASIDE and change.facet == "until":
        return _lower_end(after, before)
    return Direction.NONE


def _lower_end(before: object, after: object) -> Direction:
    """For what must be at least so much: less is looser."""
    assert isinstance(before, type(after))
    less = bool(after < before)  # type: ignore[operator]
    return Direction.LOOSENED if less else Direction.TIGHTENED


def _sets(before: frozenset[object], after: frozenset[object]) -> Direction:
    return _both(bool(before - after), bool(after - before))


def _both(loosened: bool, tightened: bool) -> Direction:
    if loosened and tightened:
        return Direction.BOTH
    return Direction.LOOSENED if loosened else Direction.TIGHTENED if tightened else Direction.NONE


def _judged(least: object, most: object, new_least: object, new_most: object) -> Direction:
    """A range that may hold: wider is looser. None at an end means no limit there."""
    looser_low = least is not None and (new_least is None or bool(new_least < least))  # type: ignore[operator]
    tighter_low = new_least is not None and (least is None or bool(new_least > least))  # type: ignore[operator]
    looser_high = most is not None and (new_most is None or bool(new_most > most))  # type: ignore[operator]
    tighter_high = new_most is not None and (most is None or bool(new_most < most))  # type: ignore[operator]
    return _both(looser_low or looser_high, tighter_low or tighter_high)


def _limits(before: Limit | WayLimit, after: Limit | WayLimit) -> Direction:
    times = _judged(before.least, before.most, after.least, after.most)
    exceptions = _sets(frozenset(after.unless), frozenset(before.unless))
    found = {times, exceptions} - {Direction.NONE}
    return next(iter(found)) if len(found) == 1 else Direction.BOTH if found else Direction.NONE


def _durations(before: Duration, after: Duration) -> Direction:
    """A time that as a whole became shorter or longer is said so; else a wider range is looser."""
    judged = _judged(before.least, before.most, after.least, after.most)
    if judged is not Direction.BOTH:
        return judged
    return Direction.SHORTENED if after.least < before.least else Direction.LENGTHENED


def _columns(before: ColumnLimit, after: ColumnLimit) -> Direction:
    return _judged(before.least, before.most, after.least, after.most)


def _repeats(before: Repeat, after: Repeat) -> Direction:
    return _judged(None, before.at_most, None, after.at_most)


def _exposures(before: Exposure, after: Exposure) -> Direction:
    heat = _judged(before.temperature, None, after.temperature, None)
    time = _judged(before.least, None, after.least, None)
    found = {heat, time} - {Direction.NONE}
    return next(iter(found)) if len(found) == 1 else Direction.BOTH if found else Direction.NONE


def _schedules(before: Schedule, after: Schedule) -> Direction:
    gaps = [_days_between(schedule.recurrence) for schedule in (before, after)]
    return Direction.NONE if None in gaps or gaps[0] == gaps[1] else _judged(None, gaps[0], None, gaps[1])


def _days_between(recurrence: Recurrence | None) -> float | None:
    if recurrence is None:
        return None
    if recurrence.frequency is Frequency.WEEKLY:
        return 7.0 / max(1, len(recurrence.weekdays))
    return DAYS_BETWEEN.get(recurrence.frequency, float(recurrence.interval or 0) or None)


def _performers(before: Performers, after: Performers) -> Direction:
    """Together is stricter than either; fewer people of a role is looser."""
    if before.joined != after.joined:
        return Direction.LOOSENED if before.joined else Direction.TIGHTENED
    return Direction.NONE


def _another(before: AnotherPerson, after: AnotherPerson) -> Direction:
    return _sets(frozenset(before.steps), frozenset(after.steps))


JUDGES: tuple[tuple[type, Callable[..., Direction]], ...] = (
    (Limit, _limits),
    (WayLimit, _limits),
    (Duration, _durations),
    (ColumnLimit, _columns),
    (Repeat, _repeats),
    (Exposure, _exposures),
    (Schedule, _schedules),
    (Performers, _performers),
    (AnotherPerson, _another),
)
