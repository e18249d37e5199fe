"""Simple temporal networks: whether a set of time limits can be met at all, and which lines clash if not.

Points are moments (a step starts, a step ends); times are whole seconds. A bound says t(target) - t(source)
<= weight, so "v at least 5 min after u" is Bound(v, u, -300, clause). Dechter, Meiri and Pearl, "Temporal
constraint networks", Artificial Intelligence 49 (1991).

A clause is whatever the caller uses to find the line of text again. Bounds with clause None are laws of the
model itself (time does not run backwards): they never take the blame and are never offered for repair.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from sopc.trade.shortest_paths import Edge, distances, negative_cycle_of_fewest_edges, potentials

# How much plain searching a nicer message may cost: well under half a second.
_SHORTENING_WORK = 1_500_000
_FILTER_WORK = 300_000
_FEWEST_EDGES_POINTS = 300


@dataclass(frozen=True, slots=True)
class Bound:
    """t(target) - t(source) <= weight, in whole seconds, because `clause` says so."""

    source: int
    target: int
    weight: int
    clause: Hashable


@dataclass(frozen=True, slots=True)
class Link:
    """A duration the staff do not choose: `contingent_end` comes `low` to `high` seconds after `activation`.

    `high` is None when nothing ends the wait for sure ("until dry").
    """

    activation: int
    low: int
    high: int | None
    contingent_end: int
    clause: Hashable

    def as_bounds(self) -> tuple[Bound, ...]:
        """The bounds this link would be if the staff could choose."""
        least = Bound(self.contingent_end, self.activation, -self.low, self.clause)
        if self.high is None:
            return (least,)
        return (Bound(self.activation, self.contingent_end, self.high, self.clause), least)


@dataclass(frozen=True, slots=True)
class Network:
    """Points (names in text order, or only how many), bounds between them, and links no one can choose."""

    points: tuple[str, ...] | int
    bounds: tuple[Bound, ...]
    links: tuple[Link, ...] = ()

    @property
    def size(self) -> int:
        return self.points if isinstance(self.points, int) else len(self.points)

    def name(self, point: int) -> str:
        """The point's name, or its number when points have no names."""
        return str(point) if isinstance(self.points, int) else self.points[point]

    def unnamed(self) -> Network:
        """The same network as numbers only: what is asked of it does not depend on the lines it comes from."""
        bounds = tuple(Bound(each.source, each.target, each.weight, None) for each in self.bounds)
        links = tuple(Link(each.activation, each.low, each.high, each.contingent_end, None) for each in self.links)
        return Network(self.size, bounds, links)

    def as_bounds(self) -> tuple[Bound, ...]:
        """All bounds, with every link taken as if the staff could choose."""
        return self.bounds + tuple(bound for link in self.links for bound in link.as_bounds())

    def pinned(self, longest: bool) -> Network:
        """The network with every link fixed at its longest, or else at its shortest, time."""
        bounds = list(self.bounds)
        for link in self.links:
            lasting = link.high if longest and link.high is not None else link.low
            bounds.append(Bound(link.activation, link.contingent_end, lasting, link.clause))
            bounds.append(Bound(link.contingent_end, link.activation, -lasting, link.clause))
        return Network(self.points, tuple(bounds))


@dataclass(frozen=True, slots=True)
class Schedule:
    """One way to meet all bounds: a time for each point in seconds, the earliest at zero."""

    times: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """Bounds that cannot all hold: a simple cycle in walk order, too long by `shortfall` seconds.

    Take any one bound away and the others can be met. No clause named is superfluous either.
    """

    bounds: tuple[Bound, ...]
    shortfall: int

    @property
    def clauses(self) -> tuple[Hashable, ...]:
        """Each clause once, in walk order, laws of the model left out."""
        return tuple(dict.fromkeys(bound.clause for bound in self.bounds if bound.clause is not None))


class Window(NamedTuple):
    """Earliest and latest time of a point in seconds after the origin; None where nothing holds it."""

    earliest: int | None
    latest: int | None


@dataclass(frozen=True, slots=True)
class Repair:
    """Relaxing these bounds of one clause by `delta` seconds removes the conflict and every other one."""

    clause: Hashable
    delta: int
    bounds: tuple[Bound, ...]

    @property
    def share(self) -> Fraction:
        """How large the change is compared with the limit itself."""
        return Fraction(self.delta, max(1, min(abs(bound.weight) for bound in self.bounds)))


def consistency(network: Network) -> Schedule | Conflict:
    """Return a schedule that meets every bound, or a conflict, the same one for the same network.

    Links count as if the staff could choose. Below 300 points the conflict has the fewest bounds there can
    be, as far as that is found in reasonable time. Clauses that are not needed for a conflict are left out.
    """
    bounds = network.as_bounds()
    solution, cycle = potentials(network.size, _edges(bounds))
    if not cycle:
        first = min(solution, default=0)
        return Schedule(tuple(time - first for time in solution))
    found = _fewest(network.size, bounds, cycle)
    found = _needed_clauses_only(network.size, bounds, found)
    return Conflict(_from_first_point(found), -sum(bound.weight for bound in found))


def windows(network: Network, origin: int) -> list[Window]:
    """Return the earliest and latest time of every point after `origin`; raise ValueError when inconsistent.

    For the end of a link the window says what may happen, not what staff can aim for.
    """
    edges = _consistent_edges(network)
    latest = distances(network.size, edges, origin)
    back = distances(network.size, [(v, u, w) for u, v, w in edges], origin)
    return [Window(_minus(early), late) for early, late in zip(back, latest, strict=True)]


def minimal_interval(network: Network, source: int, target: int) -> Window:
    """Return the least and most that t(target) - t(source) can be; raise ValueError when inconsistent."""
    edges = _consistent_edges(network)
    most = distances(network.size, edges, source)[target]
    least = distances(network.size, edges, target)[source]
    return Window(_minus(least), most)


def slack(network: Network, bound: Bound) -> int | None:
    """Return by how many seconds `bound` can be tightened before nothing works; None when by any amount.

    Zero means rigid. Raise ValueError when the network is inconsistent.
    """
    edges = _consistent_edges(network)
    back = distances(network.size, edges, bound.target)[bound.source]
    return None if back is None else bound.weight + back


def smallest_relaxation(network: Network, what: Bound | Hashable) -> int | None:
    """Return the fewest seconds by which one bound, or all bounds of one clause together, must be relaxed.

    The network then is consistent; 0 when it already is; None when no relaxation of this alone helps.
    Exact: Newton's iteration over cycle ratios, rounded up to the second.
    """
    bounds = network.as_bounds()
    if isinstance(what, Bound):
        chosen = {place for place, bound in enumerate(bounds) if bound == what}
    else:
        chosen = {place for place, bound in enumerate(bounds) if bound.clause == what}
    return _relaxation(network.size, bounds, chosen)


def repairs(network: Network, conflict: Conflict) -> list[Repair]:
    """Return every clause of the conflict that alone can be relaxed to make the whole network consistent.

    Least change in proportion comes first. A clause that stands in several bounds of the same size (a pass
    that is repeated) is relaxed in all of them.
    """
    bounds = network.as_bounds()
    found: list[Repair] = []
    sides = dict.fromkeys((bound.clause, bound.weight) for bound in conflict.bounds)
    for clause, weight in sides:
        if clause is None:
            continue
        places = [at for at, bound in enumerate(bounds) if (bound.clause, bound.weight) == (clause, weight)]
        delta = _relaxation(network.size, bounds, set(places))
        if delta and meaningful(weight, delta):
            found.append(Repair(clause, delta, tuple(bounds[place] for place in places)))
    return sorted(found, key=lambda repair: (repair.share, repair.delta))


def meaningful(weight: int, delta: int) -> bool:
    """Whether a bound of this weight relaxed by `delta` still says something: "at least" gives way down to zero."""
    return weight >= 0 or weight + delta <= 0


def _relaxation(size: int, bounds: Sequence[Bound], chosen: set[int]) -> int | None:
    delta = 0
    while True:
        relaxed = [
            (bound.source, bound.target, bound.weight + delta if place in chosen else bound.weight)
            for place, bound in enumerate(bounds)
        ]
        _, cycle = potentials(size, relaxed)
        if not cycle:
            return delta
        uses = sum(place in chosen for place in cycle)
        if not uses:
            return None
        length = sum(bounds[place].weight for place in cycle)
        delta = -(length // uses)  # rounded up to the whole second


def _edges(bounds: Iterable[Bound]) -> list[Edge]:
    return [(bound.source, bound.target, bound.weight) for bound in bounds]


def _consistent_edges(network: Network) -> list[Edge]:
    edges = _edges(network.as_bounds())
    if potentials(network.size, edges)[1]:
        raise ValueError("an inconsistent network has no windows")
    return edges


def _minus(value: int | None) -> int | None:
    return None if value is None else -value


def _fewest(size: int, bounds: Sequence[Bound], cycle: list[int]) -> list[Bound]:
    """Return a negative cycle of fewest bounds if the network is small, else the one given."""
    shorter = None
    if size < _FEWEST_EDGES_POINTS:
        shorter = negative_cycle_of_fewest_edges(size, _edges(bounds), len(cycle), _SHORTENING_WORK)
    return [bounds[place] for place in shorter or cycle]


def _needed_clauses_only(size: int, bounds: Sequence[Bound], found: list[Bound]) -> list[Bound]:
    """Drop clauses one by one, the latest named first, as long as the rest still clash (deletion filter)."""
    candidates = list(dict.fromkeys(bound.clause for bound in found if bound.clause is not None))
    kept = set(candidates)
    pool = [bound for bound in bounds if bound.clause is None or bound.clause in kept]
    if len(candidates) * len(pool) > _FILTER_WORK:
        return found
    order = {clause: place for place, clause in enumerate(dict.fromkeys(bound.clause for bound in bounds))}
    for clause in sorted(candidates, key=order.__getitem__, reverse=True):
        if clause not in kept:
            continue
        rest = [bound for bound in pool if bound.clause != clause]
        _, cycle = potentials(size, _edges(rest))
        if cycle:
            found = _fewest(size, rest, cycle)
            kept = {bound.clause for bound in found}
            pool = [bound for bound in rest if bound.clause is None or bound.clause in kept]
    return found


def _from_first_point(cycle: list[Bound]) -> tuple[Bound, ...]:
    start = min(range(len(cycle)), key=lambda place: cycle[place].source)
    return tuple(cycle[start:] + cycle[:start])
