"""Is it enough to begin everything as soon as what stands before it is done? And if not, what must wait for what?

Lower limits alone make a network of activities in which each moment comes as early as the longest way to it lets it
(critical path method: Kelley and Walker 1959). How late the later of two moments can come after the earlier one,
whatever the links take, is then read off the ways to the later one: each counts from where it leaves all ways to the
earlier one, with the links behind that place at their longest, and the earlier one held up as little as it can be. This
is never too short, so what is kept by it is kept on every day.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from sopc.trade.network import Bound, Network

MOST_WAITS = 60
MINUTE = 60
ADDED = "wait"
"""The clause of every bound that is added."""

Way = tuple[int, float, float]
"""From which moment, and how long at least and at most, in seconds."""


@dataclass(frozen=True, slots=True)
class EarlyStart:
    """`added`: lower limits to heed beside those of the network; `missed`: upper limits that still can be missed, and
    by how many seconds."""

    added: tuple[Bound, ...]
    missed: Mapping[Bound, float]


def early_start(network: Network, starts: Sequence[int]) -> EarlyStart:
    """Find what must wait so that beginning all as soon as allowed keeps every upper limit.

    `starts`: for each point the point that staff may hold up so that it comes later: a start itself, or the start of
    what ends there. A wait is for another point, or for an hour (source 0), in whole minutes.
    """
    added: list[Bound] = []
    given_up: set[Bound] = set()
    work = Ways(network, added)
    missed = work.missed()
    while len(added) < MOST_WAITS and (open_ones := [bound for bound in missed if bound not in given_up]):
        worst = min(open_ones, key=lambda bound: (work.place[bound.source], -missed[bound]))
        found = _held_up(network, work, added, missed, worst, starts)
        if found is None:
            given_up.add(worst)
            continue
        wait, work, missed = found
        added.append(wait)
    return EarlyStart(tuple(added), missed)


def _held_up(
    network: Network, work: Ways, added: list[Bound], missed: Mapping[Bound, float], worst: Bound, starts: Sequence[int]
) -> tuple[Bound, Ways, dict[Bound, float]] | None:
    """The first wait that lets the limit be kept and makes no other worse."""
    before = sum(missed.values())
    for wait in work.waits_for(worst, starts[worst.source]):
        tried = Ways(network, [*added, wait])
        if not tried.sound or tried.misses(worst) > 0:
            continue
        left = tried.missed()
        if worst not in left and sum(left.values()) <= before - missed[worst]:
            return wait, tried, left
    return None


class Ways:
    """The network with its lower limits as ways, in an order in which each point stands behind those before it."""

    def __init__(self, network: Network, added: Sequence[Bound]) -> None:
        self._size = network.size
        self._gaps: dict[int, tuple[list[float], list[int]]] = {}
        lower = [bound for bound in network.bounds if bound.weight <= 0 and bound.source != bound.target]
        self._upper = [bound for bound in network.bounds if bound.weight > 0]
        self._links = network.links
        self._lay([*lower, *added])
        if not self.sound:
            # "At most nothing after" looks like a lower limit the other way round: only the model's laws are sure.
            stuck = set(range(self._size)) - set(self._order)
            turned = [b for b in lower if not b.weight and b.clause is not None and {b.source, b.target} <= stuck]
            self._upper += turned
            self._lay([bound for bound in [*lower, *added] if bound not in turned])
        self.place = {point: number for number, point in enumerate(self._order)}

    def _lay(self, lower: Sequence[Bound]) -> None:
        self._ways: list[list[Way]] = [[] for _ in range(self._size)]
        for bound in lower:
            self._ways[bound.source].append((bound.target, -bound.weight, -bound.weight))
        for link in self._links:
            self._ways[link.contingent_end].append((link.activation, link.low, inf if link.high is None else link.high))
        for point in range(1, self._size):
            self._ways[point].append((0, 0, 0))
        self._order = self._in_order()
        self.sound = len(self._order) == self._size

    def _in_order(self) -> list[int]:
        followers: dict[int, list[int]] = defaultdict(list)
        open_ways = [len(ways) for ways in self._ways]
        for point, ways in enumerate(self._ways):
            for earlier, _, _ in ways:
                followers[earlier].append(point)
        order = [0]
        for point in order:
            for follower in followers[point]:
                open_ways[follower] -= 1
                if not open_ways[follower]:
                    order.append(follower)
        return order

    def missed(self) -> dict[Bound, float]:
        """Upper limits that can be missed, and by how much."""
        if not self.sound:
            return dict.fromkeys(self._upper, inf)
        over = {bound: self.misses(bound) for bound in self._upper}
        return {bound: seconds for bound, seconds in over.items() if seconds > 0}

    def misses(self, limit: Bound) -> float:
        """By how much an upper limit can be missed; not at all when this is not above 0."""
        return self._gap(limit.source, limit.target)[0] - limit.weight

    def into(self, point: int) -> Sequence[Way]:
        """What a point waits for: other points, and how long after each."""
        return self._ways[point]

    def least_to(self, point: int) -> dict[int, float]:
        """From each point that surely comes before: how long it is at least."""
        most: list[float] = [-1] * self._size
        most[point] = 0
        for at in reversed(self._order[: self.place[point] + 1]):
            if (after := most[at]) >= 0:
                for earlier, least, _ in self._ways[at]:
                    if after + least > most[earlier]:
                        most[earlier] = after + least
        return {earlier: seconds for earlier, seconds in enumerate(most) if seconds >= 0}

    def _gap(self, earlier: int, later: int) -> tuple[float, list[int]]:
        """How late `later` can come after `earlier`, and the way that makes it so, backward."""
        if earlier not in self._gaps:
            self._gaps[earlier] = self._gaps_after(earlier)
        gap, via = self._gaps[earlier]
        way = [later]
        while via[way[-1]] >= 0:
            way.append(via[way[-1]])
        return gap[later], way

    def _gaps_after(self, earlier: int) -> tuple[list[float], list[int]]:
        """How late each point can come after `earlier`, and what before it makes it so; -1: nothing, it counts anew."""
        least = self.least_to(earlier)
        gap: list[float] = [0] * self._size
        via = [-1] * self._size
        for point in self._order:
            best = -inf
            for before, _, most in self._ways[point]:
                if gap[before] + most > best:
                    best, via[point] = gap[before] + most, before
            if point in least and (point == 0 or -least[point] < best):
                best, via[point] = -least[point], -1
            gap[point] = best
        return gap, via

    def waits_for(self, limit: Bound, start: int) -> Iterator[Bound]:
        """Waits of `start` that would let the limit be kept, those that hold up least first: for what comes on the
        longest way to its later point, then for an hour."""
        _, way = self._gap(limit.source, limit.target)
        ahead = self.least_to(limit.source)[start]
        left = self._most_along(way)
        for point in reversed(way):
            if point and point != start and left[point] - ahead <= limit.weight and start not in self.least_to(point):
                yield Bound(start, point, 0, ADDED)
        hour = self._latest(limit.target) - limit.weight - ahead
        if start and 0 < hour < inf:
            yield Bound(start, 0, -int(-(-hour // MINUTE) * MINUTE), ADDED)

    def _most_along(self, way: Sequence[int]) -> dict[int, float]:
        """From each point of a way, given backward, to its end: how long at most."""
        left: dict[int, float] = {way[0]: 0}
        for later, earlier in pairwise(way):
            left[earlier] = left[later] + max(most for before, _, most in self._ways[later] if before == earlier)
        return left

    def _latest(self, point: int) -> float:
        times: list[float] = [0] * self._size
        for at in self._order[: self.place[point] + 1]:
            times[at] = max((times[earlier] + most for earlier, _, most in self._ways[at]), default=0)
        return times[point]
