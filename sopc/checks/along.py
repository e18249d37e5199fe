"""Goes along a procedure one node after the other: branches side by side are walked in the order of the text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from heapq import heappop, heappush
from typing import TypeVar

from sopc.checks.paths import JUMPS, EdgeKind, NodeKind, PathEdge, Paths

DEPARTURES = frozenset({EdgeKind.SKIP, EdgeKind.AGAIN, EdgeKind.USED_UP, EdgeKind.GO_TO})

State = TypeVar("State")
At = tuple[int, State]
"""A node and what one carries along there."""

Came = Mapping[At[State], tuple[At[State], PathEdge] | None]
"""For each place come to, the place before it and the edge between; None for the start."""


def departs(edge: PathEdge) -> bool:
    """Whether an edge leaves the plain way: a “no”, a skipped step, a repeat, a jump."""
    return edge.fails is not None or edge.kind in DEPARTURES


def onward(paths: Paths, index: int, goal: int | None = None) -> list[tuple[PathEdge, int]]:
    """The edges that lead on from a node, and the node each of them comes to.

    From a fork one goes into its first branch, or at once into the one that `goal` lies in; from the end of a
    branch into the next one. Jumps into or out of a branch are left out: they are findings of their own.
    """
    if paths.nodes[index].kind is NodeKind.FORK:
        return _into_branches(paths, index, goal)
    found: list[tuple[PathEdge, int]] = []
    for edge in paths.after[index]:
        if paths.crosses(edge):
            continue
        fork = paths.forks.get(edge.target)
        if fork is None or edge.kind in JUMPS:
            found.append((edge, edge.target))
        else:
            found.append((edge, _next_branch(paths, fork, paths.branch_of(edge, fork))))
    return found


def _into_branches(paths: Paths, fork: int, goal: int | None) -> list[tuple[PathEdge, int]]:
    join = paths.joins[fork]
    starts = [edge for edge in paths.after[fork] if edge.target != join]
    if not starts:
        return [(paths.after[fork][0], join)]
    around = paths.nodes[goal].places if goal is not None else ()
    inside = {place.branch for place in around if place.fork == fork}
    wanted = [edge for edge in starts if paths.nodes[edge.target].places[-1].branch in inside]
    return [(edge, edge.target) for edge in dict.fromkeys((starts[0], *wanted))]


def _next_branch(paths: Paths, fork: int, branch: int) -> int:
    join = paths.joins[fork]
    for edge in paths.after[fork][branch + 1 :]:
        if edge.target != join:
            return edge.target
    return join


def unwound(came: Came[State], at: At[State]) -> list[PathEdge]:
    """The edges that led to a place, from the start on."""
    path: list[PathEdge] = []
    step = came[at]
    while step is not None:
        at, edge = step
        path.append(edge)
        step = came[at]
    return path[::-1]


def walk(
    paths: Paths, start: State, pass_on: Callable[[PathEdge, State], State]
) -> Iterator[tuple[At[State], Came[State]]]:
    """Every node with every state that one can carry to it, each once, the plainest ways first.

    `pass_on` says what an edge makes of the state; there must be finitely many states. What is handed out beside
    the place leads back to the start (`unwound`).
    """
    yield from walk_all(paths, start, lambda edge, at: (pass_on(edge, at),))


def walk_all(
    paths: Paths, start: State, pass_on: Callable[[PathEdge, State], Iterable[State]]
) -> Iterator[tuple[At[State], Came[State]]]:
    """The same where an edge may make several states of one."""
    came: dict[At[State], tuple[At[State], PathEdge] | None] = {}
    queue: list[tuple[int, int, At[State], tuple[At[State], PathEdge] | None]] = [(0, 0, (0, start), None)]
    count = 0
    while queue:
        departures, _, at, how = heappop(queue)
        if at in came:
            continue
        came[at] = how
        yield at, came
        for edge, target in onward(paths, at[0]):
            for state in pass_on(edge, at[1]):
                count += 1
                heappush(queue, (departures + departs(edge), count, (target, state), (at, edge)))
