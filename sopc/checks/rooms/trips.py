"""Follows an item from zone to zone along every path of a procedure, through the procedures performed in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sopc.checks.along import unwound, walk
from sopc.checks.items.effects import Effect, acts_of
from sopc.checks.items.flow import Flow
from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, PathNode, performed_in
from sopc.model.nouns import Doing, Office, Performing, Procedure, Step
from sopc.source import Span

NOWHERE_YET = ""
"""The zone of an item that no step has handled so far."""

Zones = frozenset[str]


@dataclass(frozen=True, slots=True)
class Trip:
    """Where a procedure handles an item first, and where it leaves it; `NOWHERE_YET` if it may not handle it at all."""

    first: Zones
    last: Zones


@dataclass(frozen=True, slots=True)
class Act:
    """One act on the item: in one zone, or by a procedure performed."""

    trip: Trip
    span: Span
    effect: Effect | None
    performs: str = ""


@dataclass(frozen=True, slots=True)
class Move:
    """An act comes to the item: it was in `source` and is handled in `target`, having these conditions (as bits)."""

    node: PathNode
    act: Act
    source: str
    target: str
    held: int
    path: tuple[PathEdge, ...]


@dataclass(frozen=True, slots=True)
class _At:
    zones: Zones
    held: int


@dataclass(slots=True)
class Tracker:
    """Follows items through the procedures of one office; what a procedure does to an item is worked out once."""

    office: Office
    flows: dict[str, Flow]  # of the procedures that handle items
    watched: int  # the conditions that some zone or passage asks for, as bits; others make no difference here
    trips: dict[tuple[str, str], Trip] = field(default_factory=dict)
    moves: dict[tuple[str, str], list[Move]] = field(default_factory=dict)

    def zone_of(self, step: Step) -> str | None:
        """The zone in which a step is done."""
        area = self.office.areas.get(step.area) if step.area else None
        return area.zone if area else None

    def trip(self, procedure: str, item: str) -> Trip:
        """Where a procedure handles the item first and last, over all paths to its normal end."""
        known = self.trips.get((procedure, item))
        if known is not None:
            return known
        unknown = frozenset((NOWHERE_YET,))
        self.trips[procedure, item] = Trip(unknown, unknown)  # a circle of procedures ends here; it is told elsewhere
        flow = self.flows.get(procedure)
        if flow is None:
            return self.trips[procedure, item]
        if item in flow.items.items:
            self.trips[procedure, item] = self._follow(flow, item)
        else:
            others = [self.trip(procedure, other) for other in flow.items.items]
            first = frozenset(zone for other in others for zone in other.first)
            last = frozenset(zone for other in others for zone in other.last)
            self.trips[procedure, item] = Trip(first or unknown, last or unknown)
        return self.trips[procedure, item]

    def moves_of(self, procedure: str, item: str) -> list[Move]:
        """Every way an item comes to an act of a procedure: from each zone, with each set of conditions."""
        self.trip(procedure, item)
        return self.moves.get((procedure, item), [])

    def acts(self, flow: Flow, node: PathNode, item: str) -> list[Act]:
        """What is done to the item at a node, in the order of the text."""
        if node.kind is NodeKind.PERFORM:
            return self._performed(flow, Performing(node.performs, (), node.span), item)
        if node.kind is not NodeKind.STEP or node.step is None:
            return []
        step = node.step
        found: list[Act] = []
        for act in acts_of(step):
            if isinstance(act, Performing):
                found += self._performed(flow, act, item)
            else:
                found += self._done(flow, step, act, item)
        return found or self._looked_at(flow, step, item)

    def _looked_at(self, flow: Flow, step: Step, item: str) -> list[Act]:
        """A step that does nothing to the item, but whose answer “no” takes something from it, looks at it."""
        zone = self.zone_of(step)
        losing = next((check for check in step.checks if check.loses), None)
        if zone is None or losing is None or item not in flow.items.worked_on(step):
            return []
        here = frozenset((zone,))
        return [Act(Trip(here, here), losing.span, None)]

    def zones_in(self, procedure: str, seen: frozenset[str] = frozenset()) -> Zones:
        """All zones in which a procedure, or one that it performs, handles its items."""
        flow = self.flows.get(procedure)
        if flow is None or procedure in seen:
            return frozenset()
        found: set[str] = set()
        for step in flow.procedure.steps():
            zone = self.zone_of(step)
            if zone is not None and (step.does or any(check.loses for check in step.checks)):
                found.add(zone)
            for name in performed_in(step):
                found |= self.zones_in(name, seen | {procedure})
        return frozenset(found)

    def _done(self, flow: Flow, step: Step, doing: Doing, item: str) -> list[Act]:
        zone = self.zone_of(step)
        if zone is None or item not in flow.items.items_of(doing):
            return []
        here = frozenset((zone,))
        effect = next((each for each in flow.items.of_step(step) if each.span == doing.span), None)
        return [Act(Trip(here, here), doing.span, effect)]

    def _performed(self, flow: Flow, performing: Performing, item: str) -> list[Act]:
        inner = self.office.procedures.get(performing.procedure)
        if inner is None or item not in flow.items.items_for(inner, performing.items):
            return []
        effect = flow.items.performing(performing.procedure, performing.items, performing.span)
        return [Act(self.trip(inner.name, item), performing.span, effect, inner.name)]

    def _follow(self, flow: Flow, item: str) -> Trip:
        acts = {node.index: self.acts(flow, node, item) for node in flow.paths.nodes}
        acts = {index: done for index, done in acts.items() if done}
        moves: list[Move] = []
        first: set[str] = set()
        last: set[str] = set()
        watched = flow.items.spread(self.watched, (item,))
        start = _At(frozenset((NOWHERE_YET,)), flow.start & watched)

        def pass_on(edge: PathEdge, at: _At) -> _At:
            zones = at.zones
            for act in acts.get(edge.source, ()) if _leaves_step(flow, edge) else ():
                zones = _after(zones, act)
            return _At(zones, flow.changes[edge].after(at.held) & watched)

        for (index, at), came in walk(flow.paths, start, pass_on):
            if index == flow.paths.end:
                last |= at.zones
            zones, held = at.zones, at.held
            for act in acts.get(index, ()):
                path = tuple(unwound(came, (index, at)))
                for move in _moves(flow.paths.nodes[index], act, zones, held, path):
                    moves.append(move)
                    first |= {move.target} if move.source == NOWHERE_YET else set()
                zones = _after(zones, act)
                if act.effect is not None:
                    held = act.effect.after(held)
        self.moves[flow.procedure.name, item] = moves
        return Trip(frozenset(first) or frozenset((NOWHERE_YET,)), frozenset(last) or frozenset((NOWHERE_YET,)))


def _leaves_step(flow: Flow, edge: PathEdge) -> bool:
    """Whether the act of the edge's source has been done once one goes along it."""
    return edge.kind is not EdgeKind.SKIP and flow.paths.nodes[edge.source].kind in (NodeKind.STEP, NodeKind.PERFORM)


def _after(zones: Zones, act: Act) -> Zones:
    stays = zones if NOWHERE_YET in act.trip.last else frozenset()
    return stays | (act.trip.last - {NOWHERE_YET})


def _moves(node: PathNode, act: Act, zones: Zones, held: int, path: tuple[PathEdge, ...]) -> Iterator[Move]:
    for source in sorted(zones):
        for target in sorted(act.trip.first - {NOWHERE_YET}):
            if source != target:
                yield Move(node, act, source, target, held, path)


def handled(office: Office, procedure: Procedure) -> tuple[str, ...]:
    """The items of a procedure that go where the work goes."""
    known = (office.items.get(name) for name in procedure.handles)
    return tuple(dict.fromkeys(item.name for item in known if item is not None and not item.fixed))
