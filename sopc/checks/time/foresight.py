"""Limits beside questions: can they be kept without knowing an answer before it is given?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, islice, product

from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, Paths
from sopc.checks.report import finding, line
from sopc.checks.time.clashes import clash_of, without
from sopc.checks.time.scenarios import QUESTIONS, Answer, Asked, Scenario, Simulator, TimeClause, side_by_side
from sopc.findings import Finding, Note
from sopc.trade.controllability import is_controllable
from sopc.trade.early_start import Ways
from sopc.trade.network import Bound, Link, Network

MOST_HISTORIES = 64  # ways the answers can fall that are looked at together
MOST_WAITS = 200  # manners of waiting for answers that are tried
MOST_POINTS = 20_000  # of all networks tried together
MOST_LIMITS = 4

Question = tuple[int, int]  # a node, and which time it is come to
Point = tuple[Hashable, ...]  # a moment, whatever is answered beside it
Beside = tuple[Question, Point]  # a question, and a moment of another branch

# ── The answers as they fall ────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class History:
    """One way with what is asked on it, and for each point what it is and which branches it is in."""

    scenario: Scenario
    points: tuple[Point, ...]
    places: tuple[tuple[tuple[int, int], ...], ...]
    begins: tuple[int, ...]  # for the end of what lasts as it likes the point at which it begins; else the point itself

    @staticmethod
    def of(scenario: Scenario) -> History:
        """Name the points of a scenario, so that the same moment of another way has the same name."""
        named: dict[int, tuple[Hashable, ...]] = {0: ("start",)}
        places: dict[int, tuple[tuple[int, int], ...]] = {0: ()}
        counted: Counter[tuple[str, str]] = Counter()
        done = [(each.start, (each.step.name, ""), each.places) for each in scenario.occurrences]
        done += [(each.start, (each.step.name, each.performs), each.places) for each in scenario.interludes]
        for start, what, around in sorted(done):
            counted[what] += 1
            named[start], places[start] = (*what, counted[what]), around
        if scenario.end is not None:
            named[scenario.end], places[scenario.end] = ("end",), ()
        points: list[Point] = []
        inside: list[tuple[tuple[int, int], ...]] = []
        first = 0
        for point in range(scenario.points):
            first = point if point in named else first
            points.append((*named[first], point - first))
            inside.append(places[first])
        begun = {link.contingent_end: link.activation for link in scenario.links}
        begins = tuple(begun.get(point, point) for point in range(scenario.points))
        return History(scenario, tuple(points), tuple(inside), begins)

    def beside(self) -> Iterator[tuple[Asked, int]]:
        """Each question with the points of other branches that are gone through while it is open."""
        for asked in self.scenario.asked:
            for point, around in enumerate(self.places):
                if side_by_side(asked.places, around):
                    yield asked, point


def histories(simulator: Simulator) -> tuple[list[History], bool]:
    """Every way the answers can fall that leads on, and whether these are all."""
    found: list[History] = []
    todo: list[list[tuple[Question, int]]] = [[]]
    while todo:
        if len(found) >= MOST_HISTORIES or len(todo) > 2 * MOST_HISTORIES:
            return found, False
        fixed = todo.pop()
        scenario = simulator.play(_answers(fixed))
        if scenario.broken_off:
            return found, False
        said = [(question_of(asked), _value(simulator.paths, asked.edge)) for asked in scenario.asked]
        if not scenario.stopped:
            found.append(History.of(scenario))
        for place in range(len(fixed), len(said)):
            question, answer = said[place]
            others = (value for value in _values(simulator.paths, question[0]) if value != answer)
            todo += [[*said[:place], (question, value)] for value in others]
    return found, True


def question_of(asked: Asked) -> Question:
    """What was asked, and which time."""
    return asked.node, asked.visit


def _answers(fixed: Sequence[tuple[Question, int]]) -> Mapping[int, Answer]:
    """These answers in their order, and the plain one from then on."""
    given: dict[int, list[int]] = {}
    for (node, _), value in fixed:
        given.setdefault(node, []).append(value)
    return {node: (*values, 0) for node, values in given.items()}


def _value(paths: Paths, edge: PathEdge) -> int:
    if paths.nodes[edge.source].kind is NodeKind.CHOICE:
        return edge.number or 0
    return int(edge.kind is EdgeKind.SKIP or edge.fails is not None)


def _values(paths: Paths, node: int) -> list[int]:
    """The answers that lead on; an answer that stops all leaves no limit to keep."""
    ways = [edge for edge in paths.after[node] if paths.nodes[edge.target].kind is not NodeKind.STOP]
    return [_value(paths, edge) for edge in ways]


# ── One way of working for all of them ──────────────────────────────────────────────────────────


def as_one(found: Sequence[History], waiting: frozenset[Beside]) -> Network:
    """All histories in one network, in which moments are the same until an answer that they wait for parts them.

    What is beside a question waits for the answer if it is `waiting`, else it goes on whatever the answer. Who can
    keep this network keeps every history: what belongs to others is only imagined, and nothing comes before the
    answers that its moment depends on.
    """
    numbers: dict[Hashable, int] = {}
    bounds: dict[Bound, None] = {}
    links: dict[tuple[int, int], Link] = {}
    for history in found:
        scenario = history.scenario
        at = [
            numbers.setdefault((history.points[point], _known(history, point, waiting)), len(numbers))
            for point in range(scenario.points)
        ]
        for bound in scenario.bounds:
            bounds[Bound(at[bound.source], at[bound.target], bound.weight, bound.clause)] = None
        for link in scenario.links:
            ends = at[link.activation], at[link.contingent_end]
            links[ends] = Link(ends[0], link.low, link.high, ends[1], link.clause)
        for asked, point in history.beside():
            if point == history.begins[point] and (question_of(asked), history.points[point]) in waiting:
                bounds.update((Bound(at[point], at[earlier], 0, None), None) for earlier in asked.after)
    return Network(len(numbers), tuple(bounds), tuple(links.values()))


def _known(history: History, point: int, waiting: frozenset[Beside]) -> tuple[Hashable, ...]:
    """The answers that are known at a moment and may change when it comes."""
    begin = history.begins[point]
    found: list[Hashable] = []
    for asked in history.scenario.asked:
        beside = side_by_side(asked.places, history.places[begin])
        waits = (question_of(asked), history.points[begin]) in waiting
        if waits if beside else asked.points <= begin:
            found.append((question_of(asked), asked.edge))
    return tuple(found)


def manners(found: Sequence[History]) -> Iterator[frozenset[Beside]]:
    """What may wait for which answers: of each question, what lies beside it from some moment on.

    First nothing waits, then all, then what is beside one branch, then everything from the same moment on; then all
    manners there are.
    """
    rows: dict[Question, dict[Point, None]] = {}
    branches: dict[Question, Hashable] = {}
    for history in sorted(found, key=lambda each: -each.scenario.points):
        for asked, point in history.beside():
            rows.setdefault(question_of(asked), {})[history.points[point]] = None
            branches[question_of(asked)] = asked.places
    moments = {question: tuple(row) for question, row in rows.items()}
    most = max(map(len, moments.values()), default=0)
    plain = [dict.fromkeys(moments, cut) for cut in (most, 0)]
    plain += [
        {question: 0 if branches[question] == branch else most for question in moments}
        for branch in dict.fromkeys(branches.values())
    ]
    plain += [dict.fromkeys(moments, cut) for cut in range(1, most)]
    every = product(*(range(len(row), -1, -1) for row in moments.values()))
    for cuts in chain(plain, (dict(zip(moments, each, strict=True)) for each in every)):
        yield frozenset((question, point) for question, row in moments.items() for point in row[cuts[question] :])


# ── The check ───────────────────────────────────────────────────────────────────────────────────


@dataclass(slots=True)
class Foresight:
    """Gathers over all ways of a procedure whether somebody must wait, or hurry, for the sake of an answer."""

    simulator: Simulator
    _parted: bool = field(init=False)
    _ahead: TimeClause | None = None  # a line that may need an answer beforehand

    def __post_init__(self) -> None:
        nodes = self.simulator.paths.nodes
        asks = any(len(_values(self.simulator.paths, node.index)) > 1 for node in nodes if node.kind in QUESTIONS)
        self._parted = asks and any(node.kind is NodeKind.FORK for node in nodes)

    def look(self, scenario: Scenario, network: Network) -> None:
        """Look at one way; where all is done as soon as may be and nothing is missed, no answer need be known."""
        if self._parted and self._ahead is None:
            self._ahead = _looking_ahead(scenario, network)

    def findings(self, dropped: set[TimeClause]) -> Iterator[Finding]:
        """One finding for each limit that is not shown to be kept without foresight."""
        if self._ahead is None:
            return
        found, complete = histories(self.simulator)
        left_out = set(dropped)
        for _ in range(MOST_LIMITS if complete else 0):
            blamed = _blamed(found, left_out)
            if blamed is None:
                return
            left_out.add(blamed)
            yield self._told(blamed, found)
        if not complete:
            yield self._told(self._ahead, found)

    def _told(self, limit: TimeClause, found: Sequence[History]) -> Finding:
        beside = {asked.node: None for history in found for asked, _ in history.beside()}
        open_ones = beside or {asked.node: None for history in found for asked in history.scenario.asked}
        asked = [self.simulator.paths.nodes[node] for node in open_ones][:3]
        named = " and ".join(f"“{node.text}”" for node in asked)
        return finding(
            "T12",
            limit.span,
            f"Whether this limit can be kept is undecided: how long the work takes depends on the answer to {named}, "
            "and what goes on beside it would have to be begun at the right moment before that is known.",
            floor="Staff would have to guess how the answer will fall.",
            fix="Let what must wait for the answer come after the branches, or count from what is seen then.",
            notes=[Note(f"asked at {line(node.span)}", node.span) for node in asked],
            asked_by=limit.asked_by,
        )


def _looking_ahead(scenario: Scenario, network: Network) -> TimeClause | None:
    """A line that is not kept by whoever begins and ends all as soon as may be, and heeds nothing beside it."""
    lines = [bound for bound in network.bounds if isinstance(bound.clause, TimeClause)]
    ends = {link.contingent_end for link in network.links}
    places: dict[int, tuple[tuple[int, int], ...]] = {}
    for done in scenario.occurrences:
        places |= dict.fromkeys((done.start, done.end), done.places)
    for performed in scenario.interludes:
        places |= dict.fromkeys((performed.start, performed.end), performed.places)
    for bound in lines:
        ends_it = bound.source in ends and bound.weight <= 0  # what a machine ends must be begun late enough
        if ends_it or side_by_side(places.get(bound.source, ()), places.get(bound.target, ())):
            return _line(bound)
    ways = Ways(network, [])
    missed = ways.missed()
    open_ones = [bound for bound in lines if bound in missed] or (lines if missed or not ways.sound else [])
    return _line(open_ones[0]) if open_ones else None


def _line(bound: Bound) -> TimeClause | None:
    return bound.clause if isinstance(bound.clause, TimeClause) else None


def _blamed(found: Sequence[History], left_out: set[TimeClause]) -> TimeClause | None:
    """The limit that stands in the way of every manner of waiting; None when one of them keeps all."""
    first: TimeClause | None = None
    tries = MOST_WAITS
    for waiting in islice(manners(found), MOST_WAITS):
        network = without(as_one(found, waiting), left_out)
        if is_controllable(network):
            return None
        if first is None:
            clash = clash_of(network)
            first = clash.blamed if clash is not None else None
        tries = min(tries, MOST_POINTS // network.size) - 1
        if tries <= 0:
            break
    return first
