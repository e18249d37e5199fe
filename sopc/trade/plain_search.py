"""The search of `sopc.trade.semireducible` for its answer alone: numbers, no reasons, about twice as quick."""

from __future__ import annotations

from heapq import heappop, heappush

from sopc.trade.network import Network
from sopc.trade.shortest_paths import tightest

MOST_HELD = 100_000
"""So many distances are held in rows, one for each search that is open: beyond, memory costs more than looking up."""


class _ByPoint(dict[int, int]):
    """Distances of the points that are reached; all others are far."""

    __slots__ = ("far",)

    def __init__(self, far: int) -> None:
        self.far = far

    def __missing__(self, point: int) -> int:
        return self.far


class _Frame:
    """One backward search: how far each point that is reached lies from `target`; the heap holds the negative ones."""

    __slots__ = ("distance", "heap", "reached", "resume", "target")

    def __init__(self, target: int, distance: list[int] | _ByPoint) -> None:
        self.target = target
        self.distance = distance
        self.reached: list[int] = [target]
        self.heap: list[tuple[int, int]] = []
        self.resume = -1  # a point whose own search had to come first


class PlainSearch:
    """One run over one network. Points, edges and their order are those of `Search`."""

    def __init__(self, network: Network) -> None:
        links = [link for link in network.links if link.high != link.low]
        fixed = [bound for link in network.links if link.high == link.low for bound in link.as_bounds()]
        total = network.size + len(links)
        weights = sum(abs(bound.weight) for bound in network.bounds)
        weights += sum(link.low + (link.high or 0) for link in network.links)
        endless = (weights + 1) << min(len(links), 30)
        self._far = (endless + weights + 1) << 2  # further than any way
        self._spare: list[list[int] | _ByPoint] = []  # distances of searches that are over, all far again
        self._total = total
        self._inward: list[dict[int, int]] = [{} for _ in range(total)]  # weight >= 0
        self._negative: list[list[tuple[int, int]]] = [[] for _ in range(total)]
        self._lower: dict[int, int] = {}  # end of a link: its P
        self._finished, self._open = [False] * total, [False] * total
        self._fails = False
        for source, target, weight, _ in tightest([(b.source, b.target, b.weight) for b in (*network.bounds, *fixed)]):
            self._place(source, target, weight)
        for middle, link in enumerate(links, network.size):
            self._place(link.activation, middle, link.low)
            self._place(middle, link.activation, -link.low)
            self._lower[link.contingent_end] = middle
            high = endless if link.high is None else link.high
            self._negative[middle].append((link.contingent_end, link.low - high))
        places = [*range(network.size), *(link.activation for link in links)]
        self._order = sorted(
            (point for point, edges in enumerate(self._negative) if edges), key=lambda each: (places[each], each)
        )

    def run(self) -> bool:
        """Return whether the network is dynamically controllable."""
        return not self._fails and all(self._search_from(point) for point in self._order)

    def _place(self, source: int, target: int, weight: int) -> None:
        if source == target:
            self._fails |= weight < 0
        elif weight < 0:
            self._negative[target].append((source, weight))
        else:
            self._inward[target][source] = weight

    def _search_from(self, start: int) -> bool:
        """Finish the search of one point and of all it depends on, on a stack of its own (nesting can be deep)."""
        stack: list[_Frame] = []
        point = start
        while point >= 0 or stack:
            if point < 0:
                frame = stack.pop()
                self._shorten(frame)
                self._finished[frame.target], self._open[frame.target] = True, False
            elif self._open[point]:
                return False
            elif not self._finished[point]:
                self._open[point] = True
                stack.append(self._opened(point, len(stack)))
            point = self._advance(stack[-1]) if stack else -1
        return True

    def _opened(self, target: int, depth: int) -> _Frame:
        frame = _Frame(target, self._spare.pop() if self._spare else self._row(depth))
        frame.distance[target] = -self._far  # no way back to where it began
        for source, weight in self._negative[target]:
            frame.distance[source] = weight
            frame.reached.append(source)
            heappush(frame.heap, (weight, source))
        return frame

    def _row(self, depth: int) -> list[int] | _ByPoint:
        return _ByPoint(self._far) if depth * self._total > MOST_HELD else [self._far] * self._total

    def _advance(self, frame: _Frame) -> int:
        """Go on with one search; return a point whose own search must come first, or -1 when done."""
        distance, heap = frame.distance, frame.heap
        while True:
            point, frame.resume = frame.resume, -1
            if point < 0:
                while heap:
                    length, point = heappop(heap)
                    if length == distance[point]:
                        break
                else:
                    return -1
                if self._negative[point] and not self._finished[point]:
                    frame.resume = point
                    return point
            if self._relax(frame, point):
                return frame.target

    def _relax(self, frame: _Frame, point: int) -> bool:
        """Reach back over the edges into `point`; return whether that closes a negative cycle."""
        distance, reached, heap, target = frame.distance, frame.reached, frame.heap, frame.target
        length, far = distance[point], self._far
        inward = self._inward[point]
        closing = inward.get(target)
        if closing is not None and length + closing < 0:
            return True
        for source, weight in inward.items():
            away = length + weight
            if away < distance[source]:
                if distance[source] == far:
                    reached.append(source)
                distance[source] = away
                if away < 0:  # from elsewhere the way is not followed further back
                    heappush(heap, (away, source))
        middle = self._lower.get(point)
        # A link's lower-case edge may not undo its own upper-case edge: that is where the search of P began.
        if middle is not None and middle != target and length < distance[middle]:
            if distance[middle] == far:
                reached.append(middle)
            distance[middle] = length
            heappush(heap, (length, middle))
        return False

    def _shorten(self, frame: _Frame) -> None:
        """Keep what was found as edges into the target, in place of the negative ones."""
        inward, distance, far = self._inward[frame.target], frame.distance, self._far
        for point in frame.reached:
            length, distance[point] = distance[point], far
            if 0 <= length < inward.get(point, far):
                inward[point] = length
        self._spare.append(distance)
