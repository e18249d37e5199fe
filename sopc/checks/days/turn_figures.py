"""The turns of a day as plain figures, as JSON keeps them, and back: what they are is said in `turns`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sopc.checks.days.turns import DayTurns, Moment, Proven, Queue, Turn, Wait
from sopc.trade.network import Bound

Figures = list[Any]


def turn_figures(proven: Proven) -> Figures:
    """Work the turns out, in figures: queues, loose turns, limits missed; takes long."""
    turns = proven.turns()
    queues = [[queue.pool, queue.number, [_turn(each) for each in queue.turns]] for queue in turns.queues]
    missed = [[bound.source, bound.target, bound.weight, bound.clause] for bound in turns.missed]
    return [queues, [_turn(each) for each in turns.loose], missed]


def turns_from(kept: Sequence[Any]) -> DayTurns:
    """The turns again; the clauses of limits missed are numbers (see `in_clauses`)."""
    queues, loose, missed = kept
    return DayTurns(
        tuple(Queue(pool, number, tuple(map(_turn_from, turns))) for pool, number, turns in queues),
        tuple(map(_turn_from, loose)),
        tuple(Bound(*bound) for bound in missed),
    )


def _turn(turn: Turn) -> Figures:
    return [turn.job, turn.first, turn.last, turn.begins, _waits(turn.waits), _waits(turn.then)]


def _waits(waits: Sequence[Wait]) -> Figures:
    moments = ((wait.moment, wait.seconds) for wait in waits)
    return [[seconds, *((at.job, at.activity, at.ends) if at is not None else ())] for at, seconds in moments]


def _turn_from(kept: Sequence[Any]) -> Turn:
    job, first, last, begins, waits, then = kept
    return Turn(job, first, last, begins, _waits_from(waits), _waits_from(then))


def _waits_from(kept: Sequence[Any]) -> tuple[Wait, ...]:
    return tuple(Wait(Moment(*moment) if moment else None, seconds) for seconds, *moment in kept)
