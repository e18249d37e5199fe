"""Which moments of a playthrough a procedure's limits bind, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import ceil, floor

from sopc.model.nouns import Limit, Point, Procedure
from tests.playthrough.timetable import Timetable, Upper

Beside = tuple[tuple[int, int], ...]  # the side-by-side parts around a step, each with the number of the branch


@dataclass(slots=True)
class Done:
    """A step done once in a playthrough."""

    step: str
    start: int
    end: int
    beside: Beside


@dataclass(slots=True)
class Activation:
    """One time a procedure is carried out."""

    procedure: Procedure
    start: int
    end: int | None = None
    done: list[Done] = field(default_factory=list)
    repeats: dict[int, int] = field(default_factory=dict)


def bind(timetable: Timetable, run: Activation) -> None:
    """Let every limit of the procedure hold between the moments it names, unless one of its exceptions was done."""
    done = {each.step for each in run.done}
    for limit in run.procedure.limits:
        if not done.intersection(limit.unless):
            for earlier, later in _pairs(run, limit):
                _hold(timetable, run.procedure, limit, earlier, later)


def _hold(timetable: Timetable, procedure: Procedure, limit: Limit, earlier: int, later: int) -> None:
    timetable.after(earlier, later, 0 if limit.least is None else ceil(limit.least.base))
    if limit.most is not None:
        what = f"{procedure.name} line {limit.span.line}"
        timetable.limits.append(Upper(earlier, later, floor(limit.most.base), what))


def _pairs(run: Activation, limit: Limit) -> Iterator[tuple[int, int]]:
    """From each time the earlier moment comes to the next time the later one does, before the earlier comes again.

    In branches side by side the two of one round belong together, whoever of the two people was looked at first.
    """
    first, second = _moments(run, limit.earlier), _moments(run, limit.later)
    partners = {each[0]: one[0] for each in second for one in first if _in_other_branches(one[2], each[2])}
    for number, (order, moment, _) in enumerate(first):
        until = first[number + 1][0] if number + 1 < len(first) else float("inf")
        mine = [each for each in second if partners.get(each[0]) == order]
        after = [each for each in second if each[0] not in partners and order < each[0] <= until]
        for _, later, _ in (mine or after)[:1]:
            yield moment, later


def _moments(run: Activation, point: Point) -> list[tuple[float, int, Beside]]:
    """Every time a moment came: its place in the order of the walk, its number, the branches it was in."""
    if point.step is None:
        order = -1.0 if point.edge == "starts" else float("inf")
        moment = run.start if point.edge == "starts" else run.end
        return [(order, moment, ())] if moment is not None else []
    ends = point.edge == "ends"
    return [
        (2 * number + ends, each.end if ends else each.start, each.beside)
        for number, each in enumerate(run.done)
        if each.step == point.step
    ]


def _in_other_branches(one: Beside, other: Beside) -> bool:
    return any(fork == also and branch != there for fork, branch in one for also, there in other)
