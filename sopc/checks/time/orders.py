"""What staff must heed at a step so that later limits are kept: start in time before a machine, wait for another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sopc.checks.paths import PathEdge
from sopc.checks.time.clashes import without
from sopc.checks.time.decisions import ways_of
from sopc.checks.time.durations import Lengths, rounded_down
from sopc.checks.time.longest_ways import longest_rests
from sopc.checks.time.scenarios import ClauseKind, Occurrence, Scenario, Simulator, TimeClause
from sopc.model.nouns import Limit, Office, Point, Procedure, Step
from sopc.trade.dispatch import Dispatch, dispatch
from sopc.trade.network import Bound


@dataclass(frozen=True, slots=True)
class StartBy:
    """The step must start within so many seconds after `after`, or `limit` can be broken later, by a slow machine.

    On whichever way the limit leaves least.
    """

    step: str
    seconds: int
    after: Point
    limit: Limit


@dataclass(frozen=True, slots=True)
class WaitFor:
    """The step must wait until step `until` is over, or until `seconds` after that one has started."""

    step: str
    edge: str  # starts, ends: what of the step must wait
    until: str
    seconds: int


@dataclass(frozen=True, slots=True)
class NotBefore:
    """The step must not start, or end, until so many seconds after a moment of a machine's run."""

    step: str
    edge: str  # starts, ends
    after: Point
    seconds: int


Order = StartBy | WaitFor | NotBefore


def orders_of(office: Office, procedure: Procedure) -> tuple[Order, ...]:
    """Return what must be heeded at the steps of a procedure beyond the limits that end there, in text order.

    Each holds on every way on which the moment it counts from has come; ways whose limits cannot be kept are left out.
    """
    if not procedure.limits:
        return ()
    simulator = Simulator(Lengths(office), procedure)
    ways, _ = ways_of(simulator)
    ways += longest_rests(simulator, [step.name for step in procedure.steps() if _out_of_hand(step)])
    gone: set[tuple[PathEdge, ...]] = set()
    starts: dict[tuple[str, int], StartBy] = {}
    waits: dict[tuple[str, str, str], WaitFor | NotBefore] = {}
    for answers in ways:
        scenario = simulator.play(answers)
        if tuple(scenario.walked) in gone:
            continue
        gone.add(tuple(scenario.walked))
        heeding = None if scenario.broken_off else dispatch(scenario.network())
        if heeding is None:
            continue
        for start in _starts(procedure, scenario, heeding):
            key = (start.step, procedure.limits.index(start.limit))
            if key not in starts or start.seconds < starts[key].seconds:
                starts[key] = start
        held: list[WaitFor | NotBefore] = [*_waits(scenario, heeding), *_not_before(scenario, heeding)]
        for wait in held:
            place = (wait.step, wait.edge, _counted_from(wait))
            if place not in waits or wait.seconds > waits[place].seconds:
                waits[place] = wait
    place_of = {step.name: place for place, step in enumerate(procedure.steps())}
    found: list[Order] = [*starts.values(), *_heeded(waits)]
    return tuple(sorted(found, key=lambda order: place_of[order.step]))


def _starts(procedure: Procedure, scenario: Scenario, heeding: Dispatch) -> Iterator[StartBy]:
    uppers = [bound for bound in scenario.bounds if bound.weight > 0 and _of_a_limit(bound)]
    for occurrence in scenario.occurrences:
        if not _out_of_hand(occurrence.step):
            continue
        for bound in uppers:
            seconds = _inside(occurrence, bound, heeding)
            if seconds is not None and isinstance(bound.clause, TimeClause):
                limit = procedure.limits[bound.clause.place]
                if not _said(procedure, occurrence.step, limit.earlier, seconds):
                    yield StartBy(occurrence.step.name, seconds, limit.earlier, limit)


def _said(procedure: Procedure, step: Step, earlier: Point, seconds: int) -> bool:
    """Whether a limit of the step itself asks for the same, or for more."""
    for limit in procedure.limits:
        mine = limit.later.step == step.name and limit.later.edge == "starts"
        same = (limit.earlier.step, limit.earlier.edge) == (earlier.step, earlier.edge)
        if mine and same and not limit.unless and limit.most is not None and rounded_down(limit.most) <= seconds:
            return True
    return False


def _of_a_limit(bound: Bound) -> bool:
    return isinstance(bound.clause, TimeClause) and bound.clause.kind is ClauseKind.LIMIT


def _out_of_hand(step: Step) -> bool:
    """Whether staff cannot hurry the step once it has begun."""
    return bool(step.performs) or (step.takes is not None and step.takes.contingent)


def _inside(occurrence: Occurrence, bound: Bound, heeding: Dispatch) -> int | None:
    """The latest start after the limit's earlier moment, when the step lies wholly between the two moments."""
    if occurrence.start == bound.source or bound.target in (occurrence.start, occurrence.end):
        return None
    after = heeding.between(bound.source, occurrence.start)
    before = heeding.between(occurrence.end, bound.target)
    if after.earliest is None or after.earliest < 0 or before.earliest is None or before.earliest < 0:
        return None
    return after.latest


def _waits(scenario: Scenario, heeding: Dispatch) -> Iterator[WaitFor]:
    points: dict[int, tuple[str, str]] = {}
    for occurrence in scenario.occurrences:
        points.setdefault(occurrence.start, (occurrence.step.name, "starts"))
        points.setdefault(occurrence.end, (occurrence.step.name, "ends"))
    for wait in heeding.waits:
        if wait.point in points and wait.contingent_end in points:
            step, edge = points[wait.point]
            yield WaitFor(step, edge, points[wait.contingent_end][0], wait.seconds)


def _not_before(scenario: Scenario, heeding: Dispatch) -> Iterator[NotBefore]:
    """What a limit makes of steps side by side with a machine or with what is performed: too early is as wrong."""
    limits = {bound.clause for bound in scenario.bounds if _of_a_limit(bound)}
    free = dispatch(without(scenario.network(), {clause for clause in limits if isinstance(clause, TimeClause)}))
    ends = {link.contingent_end for link in scenario.links}
    out_of_hand = [each for each in scenario.occurrences if each.end in ends or each.step.performs]
    for run in out_of_hand if free is not None else ():
        # From the end of the machine where that is seen first, else from its start.
        for moment, edge in ((run.end, "ends"), (run.start, "starts")):
            after = Point(run.step.name, edge, run.step.span)
            found = list(_held_back(scenario, heeding, free, moment, ends)) if free is not None else []
            yield from (NotBefore(step, which, after, seconds) for step, which, seconds in found)
            if found:
                break


def _held_back(
    scenario: Scenario, heeding: Dispatch, free: Dispatch, moment: int, ends: set[int]
) -> Iterator[tuple[str, str, int]]:
    for occurrence in scenario.occurrences:
        beside = free.least(moment, occurrence.start)
        if (beside is not None and beside >= 0) or occurrence.end in ends:
            continue
        start = heeding.least(moment, occurrence.start) or 0
        end = heeding.least(moment, occurrence.end) or 0
        least = heeding.least(occurrence.start, occurrence.end) or 0
        if start > 0:
            yield occurrence.step.name, "starts", start
        if end > max(start, 0) + least:
            yield occurrence.step.name, "ends", end


def _counted_from(order: WaitFor | NotBefore) -> str:
    return order.until if isinstance(order, WaitFor) else f"{order.after.step} {order.after.edge}"


def _heeded(waits: dict[tuple[str, str, str], WaitFor | NotBefore]) -> Iterator[WaitFor | NotBefore]:
    """Those that no other includes: a wait for a machine lasts as long as its quickest run, a late start ends late."""
    for (step, edge, until), order in waits.items():
        if isinstance(order, NotBefore):
            if (step, edge, order.after.step) not in waits:
                yield order
            continue
        start = waits.get((step, "starts", until))
        if edge == "starts" or start is None or order.seconds > start.seconds:
            yield order
