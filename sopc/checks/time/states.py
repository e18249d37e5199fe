"""Every state of a procedure that one can come to: a node, and the passes used of each repeat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, Paths

MOST_STATES = 20_000

Passes = tuple[tuple[int, int], ...]  # the passes used of each repeat that can still be met
State = tuple[int, Passes]  # a node, as one comes to it
Move = tuple[PathEdge, int]  # an edge, and the number of the state it leads to


@dataclass(frozen=True, slots=True)
class States:
    """The states that can be come to, each after all that it leads to, but for circles, which other checks tell."""

    paths: Paths
    states: list[State]
    moves: list[list[Move]]

    @staticmethod
    def of(paths: Paths) -> States | None:
        """All states, or None if there are too many."""
        met = {node.index: paths.leading_to({node.index}) for node in paths.nodes if node.kind is NodeKind.REPEAT}
        places: dict[State, int] = {}
        begun: set[State] = {(0, ())}
        states: list[State] = []
        moves: list[list[Move]] = []
        stack: list[tuple[State, Iterator[tuple[PathEdge, State]]]] = [((0, ()), _onward(paths, met, (0, ())))]
        ahead: list[list[tuple[PathEdge, State]]] = [[]]
        while stack:
            state, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                stack.pop()
                places[state] = len(states)
                states.append(state)
                moves.append([(edge, places[to]) for edge, to in ahead.pop() if to in places])
                continue
            ahead[-1].append(following)
            if following[1] not in begun:
                if len(begun) >= MOST_STATES:
                    return None
                begun.add(following[1])
                stack.append((following[1], _onward(paths, met, following[1])))
                ahead.append([])
        return States(paths, states, moves)


def _onward(paths: Paths, met: dict[int, set[int]], state: State) -> Iterator[tuple[PathEdge, State]]:
    index, passes = state
    node = paths.nodes[index]
    used = dict(passes)
    if node.kind is NodeKind.REPEAT:
        used[index] = used.get(index, 0) + 1
    for edge in paths.after[index]:
        if node.kind is NodeKind.REPEAT and (edge.kind is EdgeKind.AGAIN) != (used[index] <= (node.at_most or 0)):
            continue
        if not paths.crosses(edge):
            left = tuple((place, count) for place, count in sorted(used.items()) if edge.target in met[place])
            yield edge, (edge.target, left)
