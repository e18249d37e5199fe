"""The search for semi-reducible negative cycles: the engine that decides dynamic controllability.

Morris, "Dynamic controllability and dispatchability relationships", CPAIOR 2014. A network is dynamically
controllable exactly if no cycle that semi-reduces is negative. For every point that a negative edge enters,
a search backward from it replaces the negative edges by ordinary ones that are not; a point met again while
its own search is still open closes such a cycle.

Normal form: a link (A, x, y, C) becomes A to P fixed at x, a lower-case edge P to C of 0 and an upper-case
edge C to P of x - y, with P a fresh point.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, field
from enum import StrEnum
from heapq import heappush
from typing import NamedTuple

from sopc.trade.network import Bound, Link, Network
from sopc.trade.shortest_paths import Edge, tightest


class Role(StrEnum):
    """What a part of a cycle contributes to its sum."""

    BOUND = "bound"
    FASTEST = "fastest"  # the world may be as quick as the link's low end
    SLOWEST = "slowest"  # the world may take as long as the link's high end


class Part(NamedTuple):
    """One original edge of a cycle: a bound, or an end of a link."""

    role: Role
    of: Bound | Link


class Hold(NamedTuple):
    """`point` must not happen until `seconds` after the link's activation, or until its end is seen."""

    point: int
    link: Link
    seconds: int


class _Bypass(NamedTuple):
    """An edge the search added: it stands for the path from `start` in the search tree of its target."""

    tree: dict[int, int]
    start: int


@dataclass(slots=True)
class _Frame:
    """One backward search: how far each point lies from `target`, and by which edge it leaves towards it."""

    target: int
    distance: dict[int, int] = field(default_factory=dict)
    tree: dict[int, int] = field(default_factory=dict)
    heap: list[tuple[int, int]] = field(default_factory=list)
    settled: set[int] = field(default_factory=set)
    resume: int = -1  # a point whose own search had to come first

    def reach(self, point: int, length: int, edge: int) -> None:
        known = self.distance.get(point)
        if known is None or length < known:
            self.distance[point] = length
            self.tree[point] = edge
            heappush(self.heap, (length, point))

    def next_point(self) -> int:
        """Settle and return the nearest open point, or -1."""
        while self.heap:
            _, point = heapq.heappop(self.heap)
            if point not in self.settled:
                self.settled.add(point)
                return point
        return -1


class Search:
    """One run over one network. After `run`: `holds` when controllable, else `parts` and `walk` of a cycle."""

    def __init__(self, network: Network) -> None:
        self.holds: list[Hold] = []
        self._before: list[Edge] = []  # what must come so long before a point, as far as a search has met it
        self._cycle: list[int] = []
        self._target: list[int] = []
        self._origin: list[Part | _Bypass | None] = []
        links = [link for link in network.links if link.high != link.low]
        self._links = links
        self._points = network.size
        total = network.size + len(links)
        self._inward: list[dict[int, tuple[int, int]]] = [{} for _ in range(total)]  # weight >= 0
        self._negative: list[list[tuple[int, int, int]]] = [[] for _ in range(total)]
        self._lower: dict[int, tuple[int, int]] = {}  # end of a link: its P and the lower-case edge
        self._finished = [False] * total
        self._open = [False] * total
        fixed = [bound for link in network.links if link.high == link.low for bound in link.as_bounds()]
        self._add_bounds([*network.bounds, *fixed])
        # A wait without end is one longer than everything else together, however often that is passed.
        weights = sum(abs(bound.weight) for bound in network.bounds)
        weights += sum(link.low + (link.high or 0) for link in network.links)
        endless = (weights + 1) << min(len(links), 30)
        for number, link in enumerate(links):
            self._add_link(link, network.size + number, endless)

    def run(self) -> bool:
        """Return whether the network is dynamically controllable."""
        if self._cycle:
            return False
        order = [point for point, edges in enumerate(self._negative) if edges]
        return all(self._search_from(point) for point in sorted(order, key=self._place_in_text))

    def binding(self) -> list[Edge]:
        """Return what binds staff whatever the world does, after a run that found no cycle: the bounds, those the
        search has added, and that a link lasts from its fastest to its slowest time."""
        shift = [0] * self._points + [link.low for link in self._links]
        place = [*range(self._points), *(link.activation for link in self._links)]
        found: list[Edge] = []
        for target, inward in enumerate(self._inward):
            for source, (weight, _) in inward.items():
                found.append((place[source], place[target], weight + shift[source] - shift[target]))
        for target in range(self._points):
            for source, weight, _ in self._negative[target]:
                found.append((place[source], target, weight + shift[source]))
        found += [(place[source], target, weight + shift[source]) for source, target, weight in self._before]
        for link in self._links:
            found.append((link.contingent_end, link.activation, -link.low))
            if link.high is not None:
                found.append((link.activation, link.contingent_end, link.high))
        return [edge for edge in found if edge[0] != edge[1]]

    def parts(self) -> dict[Part, int]:
        """Return how often each original edge occurs in the cycle found."""
        counts: dict[int, int] = {}
        for edge in self._cycle:
            counts[edge] = counts.get(edge, 0) + 1
        found: dict[Part, int] = {}
        # A bypass is made of older edges only, so the youngest edge is never met again.
        todo = [-edge for edge in counts]
        heapq.heapify(todo)
        while todo:
            edge = -heapq.heappop(todo)
            times, origin = counts.pop(edge), self._origin[edge]
            if isinstance(origin, Part):
                found[origin] = found.get(origin, 0) + times
            if isinstance(origin, _Bypass):
                for inner in self._path(origin.tree, origin.start, self._target[edge]):
                    if inner not in counts:
                        counts[inner] = 0
                        heappush(todo, -inner)
                    counts[inner] += times
        return found

    def walk(self, longest: int) -> list[Part]:
        """Return the cycle's original edges in walk order, or nothing when there are more than `longest`."""
        walk: list[Part] = []
        todo = self._cycle[::-1]
        while todo:
            edge = todo.pop()
            origin = self._origin[edge]
            if isinstance(origin, Part):
                walk.append(origin)
            if isinstance(origin, _Bypass):
                todo.extend(self._path(origin.tree, origin.start, self._target[edge])[::-1])
            if len(walk) > longest:
                return []
        return walk

    def _add_bounds(self, bounds: list[Bound]) -> None:
        edges = [(bound.source, bound.target, bound.weight) for bound in bounds]
        for source, target, weight, place in tightest(edges):
            edge = self._new_edge(target, Part(Role.BOUND, bounds[place]))
            if source == target and weight < 0:
                self._cycle = [edge]
            elif source != target:
                self._place(source, target, weight, edge)

    def _add_link(self, link: Link, middle: int, endless: int) -> None:
        high = endless if link.high is None else link.high
        self._place(link.activation, middle, link.low, self._new_edge(middle, None))
        self._place(middle, link.activation, -link.low, self._new_edge(link.activation, None))
        self._lower[link.contingent_end] = (
            middle,
            self._new_edge(link.contingent_end, Part(Role.FASTEST, link)),
        )
        slowest = self._new_edge(middle, Part(Role.SLOWEST, link))
        self._negative[middle].append((link.contingent_end, link.low - high, slowest))

    def _new_edge(self, target: int, origin: Part | _Bypass | None) -> int:
        self._target.append(target)
        self._origin.append(origin)
        return len(self._origin) - 1

    def _place(self, source: int, target: int, weight: int, edge: int) -> None:
        if weight < 0:
            self._negative[target].append((source, weight, edge))
        else:
            self._inward[target][source] = (weight, edge)

    def _place_in_text(self, point: int) -> tuple[int, int]:
        own = point < self._points
        return (point if own else self._links[point - self._points].activation, point)

    def _search_from(self, start: int) -> bool:
        """Finish the search of one point and of all it depends on, on a stack of its own (nesting can be deep)."""
        stack: list[_Frame] = []
        point = start
        while point >= 0 or stack:
            if point < 0:
                finished = stack.pop().target
                self._finished[finished], self._open[finished] = True, False
            elif self._open[point]:
                self._close(point, stack)
                return False
            elif not self._finished[point]:
                stack.append(self._opened(point))
            point = self._advance(stack[-1]) if stack else -1
        return True

    def _opened(self, target: int) -> _Frame:
        self._open[target] = True
        frame = _Frame(target)
        for source, weight, edge in self._negative[target]:
            frame.reach(source, weight, edge)
        return frame

    def _advance(self, frame: _Frame) -> int:
        """Go on with one search; return a point whose own search must come first, or -1 when done."""
        while True:
            point, frame.resume = frame.resume, -1
            if point < 0:
                point = frame.next_point()
                if point < 0:
                    return -1
                if frame.distance[point] >= 0:
                    self._bypass(frame, point)
                    continue
                self._note_hold(frame, point)
                if self._negative[point] and not self._finished[point]:
                    frame.resume = point
                    return point
            if self._relax(frame, point):
                return frame.target

    def _relax(self, frame: _Frame, point: int) -> bool:
        """Reach back over the edges into `point`; return whether that closes a negative cycle."""
        distance, tree, heap, target = frame.distance, frame.tree, frame.heap, frame.target
        length = distance[point]
        # Read the table now: searches that ran in between have added edges to it.
        inward = self._inward[point]
        closing = inward.get(target)
        if closing is not None and length + closing[0] < 0:
            tree[target] = closing[1]
            return True
        # As `reach`, written out: this loop is most of the work, and most edges lower nothing.
        for source, (weight, edge) in inward.items():
            known = distance.get(source)
            if (known is None or length + weight < known) and source != target:
                distance[source] = length + weight
                tree[source] = edge
                heappush(heap, (length + weight, source))
        lower = self._lower.get(point)
        # A link's lower-case edge may not undo its own upper-case edge: that is where the search of P began.
        if lower is not None and lower[0] != frame.target:
            frame.reach(lower[0], length, lower[1])
        return False

    def _bypass(self, frame: _Frame, point: int) -> None:
        length = frame.distance[point]
        known = self._inward[frame.target].get(point)
        if known is None or length < known[0]:
            edge = self._new_edge(frame.target, _Bypass(frame.tree, point))
            self._inward[frame.target][point] = (length, edge)

    def _note_hold(self, frame: _Frame, point: int) -> None:
        if frame.target < self._points:
            self._before.append((point, frame.target, frame.distance[point]))
            return
        if point >= self._points:
            return
        link = self._links[frame.target - self._points]
        if point != link.contingent_end:
            self.holds.append(Hold(point, link, link.low - frame.distance[point]))

    def _close(self, point: int, stack: list[_Frame]) -> None:
        """Join the open searches from the top of the stack down to the one of `point` into a cycle."""
        start = point
        for frame in reversed(stack):
            self._cycle += self._path(frame.tree, start, frame.target)
            start = frame.target
            if start == point:
                return

    def _path(self, tree: dict[int, int], start: int, target: int) -> list[int]:
        path = [tree[start]]
        while self._target[path[-1]] != target:
            path.append(tree[self._target[path[-1]]])
        return path
