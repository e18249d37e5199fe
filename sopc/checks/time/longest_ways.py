"""The way that takes longest from one moment of a procedure to another, whatever is answered on each pass."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, PathNode, Paths
from sopc.checks.time.durations import rounded_down, stated
from sopc.checks.time.hardest import Hardest
from sopc.checks.time.scenarios import Answer, Simulator
from sopc.checks.time.states import Move, States
from sopc.model.nouns import Decider, Limit, Point, Step

NONE = -1  # seconds of a way that there is not


def longest_ways(simulator: Simulator) -> tuple[list[dict[int, Answer]], bool]:
    """For each upper limit the way that takes longest between its moments, if that is too long.

    Seconds are those that must be allowed for (`Hardest`), in a hurry and not; lower limits are not counted, and of
    branches side by side one is gone through as asked and the others with every answer yes. Returns the ways as
    answers, and whether all states of the procedure could be looked at; their number grows with the passes of
    repeats within repeats.
    """
    limits = [limit for limit in simulator.procedure.limits if limit.most is not None]
    if not limits:
        return [], True
    states = States.of(simulator.paths)
    if states is None:
        return [], False
    found: list[dict[int, Answer]] = []
    for hardest in (simulator.hardest, simulator.unhurried):
        weights = _Weights.of(simulator, hardest)
        for limit in limits:
            longest = _Search(states, weights, limit).longest()
            if longest is not None and limit.most is not None and longest.seconds > rounded_down(limit.most):
                found.append(longest.answers)
    return [answers for place, answers in enumerate(found) if answers not in found[:place]], True


@dataclass(frozen=True, slots=True)
class LongestWay:
    """Seconds from the earlier moment of a limit to the later, and the answers that lead there and on to an end."""

    seconds: int
    answers: dict[int, Answer]


def longest_way(simulator: Simulator, limit: Limit) -> LongestWay | None:
    """The way on which a limit is hardest to keep; None if it binds on none, or if there are too many states."""
    states = States.of(simulator.paths)
    return None if states is None else _Search(states, _Weights.of(simulator, simulator.hardest), limit).longest()


def longest_rests(simulator: Simulator, steps: Iterable[str]) -> list[dict[int, Answer]]:
    """For each upper limit and each of these steps, the way on which most is to come when it begins within it."""
    states = States.of(simulator.paths)
    limits = [limit for limit in simulator.procedure.limits if limit.most is not None]
    if states is None or not limits:
        return []
    weights = _Weights.of(simulator, simulator.hardest)
    ways = (_Search(states, weights, limit, step).longest() for limit in limits for step in steps)
    return [way.answers for way in ways if way is not None]


@dataclass(frozen=True, slots=True)
class _Weights:
    """Seconds at each node, whether something is done there, and whether a machine ends it; the reaction to that."""

    seconds: list[int]
    done: list[bool]
    machine: list[bool]
    reaction: int

    @staticmethod
    def of(simulator: Simulator, hardest: Hardest) -> _Weights:
        nodes = simulator.paths.nodes
        done = [node.kind in (NodeKind.STEP, NodeKind.PERFORM) for node in nodes]
        machine = [node.kind is NodeKind.STEP and _machine(node.step) for node in nodes]
        return _Weights([_seconds(hardest, node) for node in nodes], done, machine, simulator.reaction)


def _seconds(hardest: Hardest, node: PathNode) -> int:
    if node.kind is NodeKind.STEP and node.step is not None:
        return hardest.step(node.step)
    return hardest.procedure(node.performs) if node.kind is NodeKind.PERFORM else 0


def _machine(step: Step | None) -> bool:
    """Whether a machine ends this step at a moment of its own choosing."""
    takes = None if step is None else step.takes
    if takes is None or not takes.contingent or takes.decider is not Decider.MACHINE:
        return False
    length = stated(takes)
    return length.most is not None and length.least < length.most


class _Come(NamedTuple):
    place: int  # the state come to
    running: bool  # whether the limit runs by then


class _Best(NamedTuple):
    seconds: int
    move: Move | None


_Onward = tuple[list[_Best], list[_Best]]


@dataclass(slots=True)
class _Search:
    """Counts from the earlier moment of the limit; if a step `within` is named, from its start while the limit runs."""

    states: States
    weights: _Weights
    limit: Limit
    within: str = ""

    def longest(self) -> LongestWay | None:
        """The longest way, with one to its first moment and one on to an end by which nothing lifts the limit."""
        before, ends = self._from_start(), self._to_an_end()
        onward = self._onward(ends)
        best, seconds = None, NONE
        for come in before:
            if self._counts_from(come):
                total = self._after(come.place, onward, ends)
                if total > seconds:
                    best, seconds = come, total
        if best is None:
            return None
        walk, place, machine = self._back(best, before), best.place, False
        move = None if self._same_pass() else self._leaving(place, onward).move
        while move is not None:
            machine = self._ended_by_machine(place, machine)
            walk.append(move[0])
            place = move[1]
            come_to = self._is(self.limit.later, self.states.states[place][0])
            move = None if come_to else onward[machine][place].move
        while (last := ends[place]) is not None:
            walk.append(last[0])
            place = last[1]
        return LongestWay(seconds, _answers(self.states.paths, walk))

    def _counts_from(self, come: _Come) -> bool:
        index = self.states.states[come.place][0]
        if not self.within:
            return self._is(self.limit.earlier, index)
        return come.running and self._is_step(self.within, index) and not self._is(self.limit.earlier, index)

    def _is(self, point: Point, index: int) -> bool:
        """Whether this moment is at this node."""
        if point.step is not None:
            return self._is_step(point.step, index)
        return self.states.paths.nodes[index].kind is (NodeKind.START if point.edge == "starts" else NodeKind.END)

    def _is_step(self, name: str, index: int) -> bool:
        node = self.states.paths.nodes[index]
        return node.kind is NodeKind.STEP and node.step is not None and node.step.name == name

    def _same_pass(self) -> bool:
        """Whether the limit runs from the start of a step to its end."""
        earlier, later = self.limit.earlier, self.limit.later
        if self.within or earlier.step is None:
            return False
        return (earlier.step, earlier.edge, later.edge) == (later.step, "starts", "ends")

    def _lifts(self, index: int) -> bool:
        node = self.states.paths.nodes[index]
        return node.kind is NodeKind.STEP and node.step is not None and node.step.name in self.limit.unless

    def _after(self, place: int, onward: _Onward, ends: list[Move | None]) -> int:
        """Seconds from the earlier moment, at this state, to the later one."""
        whole = self.within or self.limit.earlier.edge == "starts"
        own = self.weights.seconds[self.states.states[place][0]] if whole else 0
        if self._same_pass():
            return NONE if ends[place] is None else own
        left = self._leaving(place, onward)
        return NONE if left.seconds == NONE else own + left.seconds

    def _leaving(self, place: int, onward: _Onward, machine: bool = False) -> _Best:
        """The best move on from a state; `machine`: what was done last was ended by one."""
        ended = self._ended_by_machine(place, machine)
        found = _Best(NONE, None)
        for move in self.states.moves[place]:
            seconds = onward[ended][move[1]].seconds
            if seconds > found.seconds:
                found = _Best(seconds, move)
        return found

    def _ended_by_machine(self, place: int, machine: bool) -> bool:
        """Whether, leaving this state, what was done last was ended by a machine."""
        index = self.states.states[place][0]
        return self.weights.machine[index] if self.weights.done[index] else machine

    def _onward(self, ends: list[Move | None]) -> _Onward:
        """From coming to each state to the later moment, after staff and after a machine: seconds, and the best move.

        There is none where the earlier moment comes anew, where something lifts the limit, and where no end is.
        """
        found: _Onward = ([], [])
        for place, (index, _) in enumerate(self.states.states):
            for machine in (False, True):
                reaction = self.weights.reaction if machine and self.weights.done[index] else 0
                own = self.weights.seconds[index]
                best = self._leaving(place, found, machine)
                seconds = NONE
                if self._is(self.limit.later, index):
                    ended = ends[place] is not None or index == self.states.paths.end
                    seconds = reaction + (own if self.limit.later.edge == "ends" else 0) if ended else NONE
                elif not self._is(self.limit.earlier, index) and best.move is not None:
                    seconds = reaction + own + best.seconds
                found[machine].append(_Best(NONE if self._lifts(index) else seconds, best.move))
        return found

    def _to_an_end(self) -> list[Move | None]:
        """From each state the move toward an end by which nothing lifts the limit; None at an end, or where none is."""
        open_: list[bool] = []
        moves: list[Move | None] = []
        for place, (index, _) in enumerate(self.states.states):
            onward = next((move for move in self.states.moves[place] if open_[move[1]]), None)
            kind = self.states.paths.nodes[index].kind
            open_.append(not self._lifts(index) and (onward is not None or kind in (NodeKind.END, NodeKind.STOP)))
            moves.append(onward)
        return moves

    def _from_start(self) -> dict[_Come, tuple[PathEdge, _Come] | None]:
        """How each state is come to while nothing lifts the limit: the edge, and where one was before."""
        start = _Come(len(self.states.states) - 1, False)
        found: dict[_Come, tuple[PathEdge, _Come] | None] = {start: None}
        for place in range(start.place, -1, -1):
            index = self.states.states[place][0]
            for running in (False, True):
                come = _Come(place, running)
                if come not in found:
                    continue
                if self._lifts(index):
                    del found[come]
                    continue
                runs = self._is(self.limit.earlier, index) or (running and not self._is(self.limit.later, index))
                for edge, to in self.states.moves[place]:
                    found.setdefault(_Come(to, runs), (edge, come))
        return found

    def _back(self, come: _Come, before: dict[_Come, tuple[PathEdge, _Come] | None]) -> list[PathEdge]:
        walk: list[PathEdge] = []
        while (how := before[come]) is not None:
            walk.append(how[0])
            come = how[1]
        return walk[::-1]


def _answers(paths: Paths, walk: list[PathEdge]) -> dict[int, Answer]:
    """What is answered at each question, pass by pass, by one who goes this way."""
    found: dict[int, list[int]] = {}
    for edge in walk:
        node = paths.nodes[edge.source]
        if node.kind is NodeKind.FORK:
            for other in paths.after[node.index]:
                if other is not edge:
                    _beside(paths, other, found)
        _note(paths, edge, found)
    return {index: tuple(answers) for index, answers in found.items()}


def _note(paths: Paths, edge: PathEdge, found: dict[int, list[int]]) -> None:
    node = paths.nodes[edge.source]
    if node.kind is NodeKind.CHECK:
        found.setdefault(node.index, []).append(int(edge.fails is not None))
    elif node.kind is NodeKind.WHEN:
        found.setdefault(node.index, []).append(int(edge.kind is EdgeKind.SKIP))
    elif node.kind is NodeKind.CHOICE:
        found.setdefault(node.index, []).append(paths.after[node.index].index(edge))


def _beside(paths: Paths, edge: PathEdge, found: dict[int, list[int]]) -> None:
    """Note the answers of a branch gone through beside the way: yes, and the first way of every choice."""
    join = paths.joins[edge.source]
    gone: set[int] = set()
    while edge.target != join and edge.target not in gone:
        gone.add(edge.target)
        node = paths.nodes[edge.target]
        if node.kind is NodeKind.FORK:
            for each in paths.after[node.index]:
                _beside(paths, each, found)
            edge = next(iter(paths.after[paths.joins[node.index]]))
            continue
        plain = [each for each in paths.after[node.index] if each.fails is None and each.kind is not EdgeKind.SKIP]
        if not plain:
            return
        edge = plain[0]
        _note(paths, edge, found)
