"""Shortest paths and negative cycles in small integer graphs: the arithmetic under the time networks.

Edges are (source, target, weight) with whole weights; results name edges by their place in the sequence
given. Bellman and Ford's method with Yen's ordering (Yen 1970): edges that go forward in point order are
relaxed in ascending order, then those that go backward in descending order. Points numbered in text order
make procedures settle in few sweeps.
"""

from __future__ import annotations

from collections.abc import Sequence

Edge = tuple[int, int, int]
_Indexed = tuple[int, int, int, int]


def tightest(edges: Sequence[Edge]) -> list[_Indexed]:
    """Keep the tightest edge of each ordered pair, with its place; the first given wins a tie."""
    best: dict[tuple[int, int], _Indexed] = {}
    for place, (source, target, weight) in enumerate(edges):
        known = best.get((source, target))
        if known is None or weight < known[2]:
            best[source, target] = (source, target, weight, place)
    return list(best.values())


def potentials(size: int, edges: Sequence[Edge]) -> tuple[list[int], list[int]]:
    """Return (d, cycle): d solves d[target] <= d[source] + weight, or cycle is negative and simple.

    A cycle is the places of its edges in walk order, empty when d holds. At worst O(points × edges).
    """
    loop = next((place for place, (u, v, w) in enumerate(edges) if u == v and w < 0), None)
    if loop is not None:
        return [], [loop]
    forward, backward = _yen(tightest(edges))
    distance = [0] * size
    parent = [-1] * size
    while True:
        changed = _sweep(forward, distance, parent)
        changed = _sweep(backward, distance, parent) or changed
        if not changed:
            return distance, []
        cycle = _parent_cycle(parent, edges)
        if cycle:
            return [], cycle


def distances(size: int, edges: Sequence[Edge], origin: int) -> list[int | None]:
    """Return the shortest distance from `origin` to every point, None where no path leads.

    The graph must have no negative cycle.
    """
    return Distances(size, edges).from_point(origin)


class Distances:
    """A graph without a negative cycle, made ready for being asked about more than one point."""

    def __init__(self, size: int, edges: Sequence[Edge]) -> None:
        self._size = size
        self._longest = sum(abs(weight) for _, _, weight in edges)
        self._forward, self._backward = _yen(tightest(edges))

    def from_point(self, origin: int) -> list[int | None]:
        """The shortest distance from `origin` to every point, None where no path leads."""
        longest = self._longest
        # Far enough that no path from an unreached point can be taken for a real distance.
        distance = [4 * longest + 4] * self._size
        distance[origin] = 0
        parent = [-1] * self._size
        changed = True
        while changed:
            changed = _sweep(self._forward, distance, parent)
            changed = _sweep(self._backward, distance, parent) or changed
        return [found if found <= longest else None for found in distance]


def negative_cycle_of_fewest_edges(size: int, edges: Sequence[Edge], below: int, work: int) -> list[int] | None:
    """Return a negative cycle of fewer than `below` edges, the fewest there are, or None.

    None too when more than `work` relaxations would be needed. Every negative cycle has a point from which
    all its partial sums are negative, so walks that reach zero need not be followed. A cycle of fewest
    edges is simple.
    """
    outgoing: list[list[_Indexed]] = [[] for _ in range(size)]
    for edge in tightest(edges):
        outgoing[edge[0]].append(edge)
    layers: list[dict[int, int]] = [{start: 0} for start in range(size)]
    steps: list[list[dict[int, _Indexed]]] = [[] for _ in range(size)]
    for _ in range(1, below):
        for start in range(size):
            reached: dict[int, int] = {}
            came: dict[int, _Indexed] = {}
            for point, length in layers[start].items():
                work -= len(outgoing[point])
                _extend(outgoing[point], length, reached, came)
            if work < 0:
                return None
            steps[start].append(came)
            if start in reached:
                return _walk_back(start, steps[start])
            layers[start] = reached
    return None


def _extend(outgoing: list[_Indexed], length: int, reached: dict[int, int], came: dict[int, _Indexed]) -> None:
    for edge in outgoing:
        total = length + edge[2]
        if total < 0 and total < reached.get(edge[1], 0):
            reached[edge[1]] = total
            came[edge[1]] = edge


def _walk_back(start: int, steps: list[dict[int, _Indexed]]) -> list[int]:
    walk: list[int] = []
    point = start
    for came in reversed(steps):
        edge = came[point]
        walk.append(edge[3])
        point = edge[0]
    return walk[::-1]


def _yen(edges: list[_Indexed]) -> tuple[list[_Indexed], list[_Indexed]]:
    forward = sorted(edge for edge in edges if edge[0] < edge[1])
    backward = sorted((edge for edge in edges if edge[0] > edge[1]), reverse=True)
    return forward, backward


def _sweep(edges: list[_Indexed], distance: list[int], parent: list[int]) -> bool:
    changed = False
    for source, target, weight, place in edges:
        length = distance[source] + weight
        if length < distance[target]:
            distance[target] = length
            parent[target] = place
            changed = True
    return changed


def _parent_cycle(parent: list[int], edges: Sequence[Edge]) -> list[int]:
    """Return the first cycle among the edges that last lowered each point, in walk order, or nothing."""
    seen = [-1] * len(parent)
    for start in range(len(parent)):
        point = start
        while seen[point] < 0 and parent[point] >= 0:
            seen[point] = start
            point = edges[parent[point]][0]
        if parent[point] >= 0 and seen[point] == start:
            return _collect(point, parent, edges)
    return []


def _collect(point: int, parent: list[int], edges: Sequence[Edge]) -> list[int]:
    walk = [parent[point]]
    while edges[walk[-1]][0] != point:
        walk.append(parent[edges[walk[-1]][0]])
    return walk[::-1]
