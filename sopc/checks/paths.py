"""The control-flow graph of a procedure: what can follow what, for the checks to walk and the charts to draw."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache

from sopc.model.nouns import (
    Check,
    Choice,
    GoTo,
    Outcome,
    Part,
    PerformThen,
    Procedure,
    Proceed,
    Repeat,
    Step,
    Stop,
    Together,
)
from sopc.source import Span


class NodeKind(StrEnum):
    """What stands at a node; the flowchart symbols of ISO 5807 go by this."""

    START = "start"
    STEP = "step"
    WHEN = "when"  # is the step to be done at all?
    CHECK = "check"  # a question answered yes or no after a step
    CHOICE = "choice"  # which way?
    FORK = "fork"
    JOIN = "join"
    PERFORM = "perform"  # another procedure, as an outcome
    REPEAT = "repeat"  # are there passes left?
    STOP = "stop"  # ends short of the promise, with an instruction
    END = "end"


class EdgeKind(StrEnum):
    """Why one goes from one node to the next."""

    NEXT = "next"
    YES = "yes"
    NO = "no"
    DO = "do"  # the step's `when` holds
    SKIP = "skip"  # it does not
    WAY = "way"
    BRANCH = "branch"  # from a fork into one of its branches
    JOIN = "join"  # from the end of a branch to where all wait
    AGAIN = "again"  # back to a step, a pass being left
    USED_UP = "used up"
    GO_TO = "go to"


JUMPS = frozenset({EdgeKind.AGAIN, EdgeKind.GO_TO})


@dataclass(frozen=True, slots=True)
class Place:
    """A branch one is in: the index of its fork and the number of the branch, from 0."""

    fork: int
    branch: int


@dataclass(frozen=True, slots=True, eq=False)
class PathNode:
    """A node. `step` is the step it is or belongs to; `places` the branches around it, outermost first."""

    index: int
    kind: NodeKind
    text: str
    span: Span
    step: Step | None = None
    check: Check | None = None
    performs: str = ""
    at_most: int | None = None
    places: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class PathEdge:
    """A way on. `completes` is the step whose effects hold from here on; `fails` the check answered no."""

    source: int
    target: int
    kind: EdgeKind
    label: str = ""
    completes: Step | None = None
    fails: Check | None = None
    number: int | None = None  # of the way or branch, from 0, on an edge that leaves a choice or a fork


@dataclass(frozen=True, slots=True)
class Paths:
    """The graph. Nodes stand in the order of the text; node 0 is the start, the last one the normal end.

    A check without `else`, a repeat without `then` and a jump to a step that does not exist have no edge.
    """

    nodes: tuple[PathNode, ...]
    edges: tuple[PathEdge, ...]
    after: tuple[tuple[PathEdge, ...], ...]  # edges leaving each node
    before: tuple[tuple[PathEdge, ...], ...]  # edges entering each node
    entries: dict[str, int]  # step name → the node one comes to first (its `when`, if it has one)
    joins: dict[int, int]  # fork → join
    forks: dict[int, int]  # join → fork
    _reached: frozenset[int] = field(init=False, repr=False, compare=False)

    @property
    def end(self) -> int:
        """The index of the normal end."""
        return len(self.nodes) - 1

    def reachable(self) -> frozenset[int]:
        """All nodes that some path from the start comes to; a join only when every branch can end."""
        return self._reached

    def __post_init__(self) -> None:
        object.__setattr__(self, "_reached", frozenset(self._reach()))

    def _reach(self) -> set[int]:
        found = {0}
        arrived: dict[int, set[int]] = {}
        queue = deque((0,))
        while queue:
            for edge in self.after[queue.popleft()]:
                target = edge.target
                if target in found or not self._comes_in(edge, arrived):
                    continue
                found.add(target)
                queue.append(target)
        return found

    def _comes_in(self, edge: PathEdge, arrived: dict[int, set[int]]) -> bool:
        fork = self.forks.get(edge.target)
        if fork is None or edge.kind in JUMPS:
            return True
        ends = arrived.setdefault(fork, set())
        ends.add(self.branch_of(edge, fork))
        return len(ends) == len(self.after[fork])

    def inside(self, fork: int) -> Iterator[tuple[PathNode, int]]:
        """The nodes within the branches of `fork`, each with the number of its branch."""
        for node in self.nodes:
            yield from ((node, place.branch) for place in node.places if place.fork == fork)

    def branch_of(self, edge: PathEdge, fork: int) -> int:
        """The number of the branch of `fork` that this edge ends."""
        depth = len(self.nodes[fork].places)
        if edge.source == fork:
            return edge.number or 0
        return self.nodes[edge.source].places[depth].branch

    def leading_to(self, targets: set[int]) -> set[int]:
        """All nodes from which one of `targets` can be reached, themselves included."""
        found: set[int] = set()
        for target in targets:
            if target not in found:
                found |= self._closure(target)
        return found

    def _closure(self, target: int) -> set[int]:
        found = {target}
        queue = deque((target,))
        while queue:
            for edge in self.before[queue.popleft()]:
                if edge.source not in found:
                    found.add(edge.source)
                    queue.append(edge.source)
        return found

    def crosses(self, edge: PathEdge) -> bool:
        """Whether this jump leads into or out of a branch done side by side with others."""
        return edge.kind in JUMPS and self.nodes[edge.source].places != self.nodes[edge.target].places

    def back(self, edge: PathEdge) -> bool:
        """Whether this jump leads to an earlier place in the text, or to itself."""
        return edge.kind in JUMPS and edge.target <= edge.source


@dataclass(frozen=True, slots=True)
class _Loose:
    """An edge whose target is not known yet."""

    source: int
    kind: EdgeKind
    label: str = ""
    completes: Step | None = None
    fails: Check | None = None
    number: int | None = None


@dataclass(slots=True)
class _Weaver:
    procedure: Procedure
    nodes: list[PathNode] = field(default_factory=list)
    edges: list[PathEdge] = field(default_factory=list)
    jumps: list[tuple[_Loose, str]] = field(default_factory=list)
    entries: dict[str, int] = field(default_factory=dict)
    joins: dict[int, int] = field(default_factory=dict)
    places: tuple[Place, ...] = ()

    def node(
        self,
        kind: NodeKind,
        text: str,
        span: Span,
        step: Step | None = None,
        check: Check | None = None,
        performs: str = "",
        at_most: int | None = None,
    ) -> int:
        index = len(self.nodes)
        self.nodes.append(PathNode(index, kind, text, span, step, check, performs, at_most, self.places))
        return index

    def edge(self, loose: _Loose, target: int, kind: EdgeKind) -> None:
        self.edges.append(PathEdge(loose.source, target, kind, loose.label, loose.completes, loose.fails, loose.number))

    def tie(self, loose: list[_Loose], target: int) -> None:
        for edge in loose:
            self.edge(edge, target, edge.kind)

    def weave(self) -> Paths:
        span = self.procedure.span
        start = self.node(NodeKind.START, self.procedure.title, span)
        loose = self.parts(self.procedure.parts, [_Loose(start, EdgeKind.NEXT)])
        self.tie(loose, self.node(NodeKind.END, self.procedure.title, span))
        for edge, name in self.jumps:
            if name in self.entries:
                self.tie([edge], self.entries[name])
        after: list[list[PathEdge]] = [[] for _ in self.nodes]
        before: list[list[PathEdge]] = [[] for _ in self.nodes]
        for tied in self.edges:
            after[tied.source].append(tied)
            before[tied.target].append(tied)
        for ways in after:
            # An empty way is tied only where it ends; its place among the others is that of the text.
            ways.sort(key=lambda way: way.number or 0)
        return Paths(
            tuple(self.nodes),
            tuple(self.edges),
            tuple(map(tuple, after)),
            tuple(map(tuple, before)),
            self.entries,
            self.joins,
            {join: fork for fork, join in self.joins.items()},
        )

    def parts(self, parts: tuple[Part, ...], loose: list[_Loose]) -> list[_Loose]:
        for part in parts:
            if isinstance(part, Step):
                loose = self.step(part, loose)
            elif isinstance(part, Choice):
                loose = self.choice(part, loose)
            else:
                loose = self.together(part, loose)
        return loose

    def step(self, step: Step, loose: list[_Loose]) -> list[_Loose]:
        skipped: list[_Loose] = []
        if step.when:
            asked = self.node(NodeKind.WHEN, step.when, step.span, step)
            self.tie(loose, asked)
            loose = [_Loose(asked, EdgeKind.DO)]
            skipped = [_Loose(asked, EdgeKind.SKIP)]
        place = self.node(NodeKind.STEP, step.title, step.span, step)
        self.tie(loose, place)
        self.entries.setdefault(step.name, place - len(skipped))
        onward: list[_Loose] = [_Loose(place, EdgeKind.NEXT, completes=None if step.checks else step)]
        elsewhere: list[_Loose] = []
        for check in step.checks:
            asked = self.node(NodeKind.CHECK, check.question, check.span, step, check)
            self.tie(onward, asked)
            last = check is step.checks[-1]
            onward = [_Loose(asked, EdgeKind.YES, completes=step if last else None)]
            if check.otherwise is not None:
                no = [_Loose(asked, EdgeKind.NO, fails=check)]
                elsewhere += self.outcome(check.otherwise, no, step)
        if step.onward is not None:
            onward = self.outcome(step.onward, onward, step)
        return onward + elsewhere + skipped

    def outcome(self, outcome: Outcome, loose: list[_Loose], step: Step) -> list[_Loose]:
        """Follow an outcome; what is returned goes on to the next part."""
        while True:
            if isinstance(outcome, Proceed):
                return loose
            if isinstance(outcome, Stop):
                self.tie(loose, self.node(NodeKind.STOP, outcome.text, outcome.span, step))
                return []
            if isinstance(outcome, GoTo):
                self.jump(loose, EdgeKind.GO_TO, outcome.step)
                return []
            if isinstance(outcome, PerformThen):
                place = self.node(NodeKind.PERFORM, outcome.procedure, outcome.span, step, performs=outcome.procedure)
                self.tie(loose, place)
                loose = [_Loose(place, EdgeKind.NEXT)]
                outcome = outcome.afterwards
                continue
            place = self.node(NodeKind.REPEAT, outcome.step, outcome.span, step, at_most=outcome.at_most)
            self.tie(loose, place)
            self.jump([_Loose(place, EdgeKind.AGAIN)], EdgeKind.AGAIN, outcome.step)
            if outcome.afterwards is None or outcome.at_most is None:
                return []
            loose = [_Loose(place, EdgeKind.USED_UP)]
            outcome = outcome.afterwards

    def jump(self, loose: list[_Loose], kind: EdgeKind, name: str) -> None:
        for edge in loose:
            # A jump out of a check is still the answer no: what it does to the item must not be forgotten.
            self.jumps.append((_Loose(edge.source, kind, edge.label, edge.completes, edge.fails), name))

    def choice(self, choice: Choice, loose: list[_Loose]) -> list[_Loose]:
        place = self.node(NodeKind.CHOICE, choice.question, choice.span)
        self.tie(loose, place)
        out: list[_Loose] = []
        for number, way in enumerate(choice.ways):
            out += self.parts(way.parts, [_Loose(place, EdgeKind.WAY, way.title, number=number)])
        return out

    def together(self, together: Together, loose: list[_Loose]) -> list[_Loose]:
        fork = self.node(NodeKind.FORK, "Side by side", together.span)
        self.tie(loose, fork)
        around = self.places
        ends: list[_Loose] = []
        for number, branch in enumerate(together.branches):
            self.places = (*around, Place(fork, number))
            # An empty branch would go straight from fork to join; it is kept as an edge of its own.
            ends += self.parts(branch.parts, [_Loose(fork, EdgeKind.BRANCH, branch.title, number=number)])
        self.places = around
        join = self.node(NodeKind.JOIN, "Wait for all", together.span)
        self.joins[fork] = join
        for end in ends:
            kind = EdgeKind.JOIN if end.kind is EdgeKind.NEXT else end.kind
            self.edge(end, join, kind)
        return [_Loose(join, EdgeKind.NEXT)]


@lru_cache(maxsize=4096)
def _by_identity(key: _Key) -> Paths:
    return _Weaver(key.procedure).weave()


@dataclass(frozen=True, slots=True, eq=False)
class _Key:
    procedure: Procedure

    def __hash__(self) -> int:
        return id(self.procedure)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.procedure is self.procedure


def paths_of(procedure: Procedure) -> Paths:
    """Return the control-flow graph of a procedure; linear in its steps, woven once for each record."""
    return _by_identity(_Key(procedure))


@lru_cache(maxsize=4096)
def _performed_by_identity(key: _Key) -> tuple[str, ...]:
    return tuple(name for step in key.procedure.steps() for name in performed_in(step))


def performed_by(procedure: Procedure) -> tuple[str, ...]:
    """The procedures that this one performs, in the order of the text, as often as they stand there."""
    return _performed_by_identity(_Key(procedure))


def performed_in(step: Step) -> Iterator[str]:
    """The procedures a step performs, those in what follows an answer included."""
    for performing in step.performs:
        yield performing.procedure
    for _, outcome in outcomes_of(step):
        if isinstance(outcome, PerformThen):
            yield outcome.procedure


def outcomes_of(step: Step) -> list[tuple[Check | None, Outcome]]:
    """Every outcome a step can have, nested ones after those they follow, with the check they answer."""
    found: list[tuple[Check | None, Outcome]] = []
    stated = [(check, check.otherwise) for check in step.checks]
    for check, outcome in [*stated, (None, step.onward)]:
        current = outcome
        while current is not None:
            found.append((check, current))
            current = current.afterwards if isinstance(current, Repeat | PerformThen) else None
    return found
