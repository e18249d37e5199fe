"""Dynamic controllability: whether staff can keep every limit whatever the machines take, and why not.

Staff choose what bounds leave open; the world chooses the length of a link, and staff see it end. They may
act at that very moment; how soon they really act is a bound of its own (a reaction time), which the caller
adds. Vidal and Fargier 1999 for the three questions, Morris 2014 for the answer to the middle one.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import StrEnum
from itertools import product

from sopc.trade.followers import without_followers
from sopc.trade.network import Bound, Conflict, Link, Network, Schedule, consistency
from sopc.trade.plain_search import PlainSearch
from sopc.trade.semireducible import Hold, Part, Role, Search

__all__ = [
    "Controllable",
    "Hold",
    "Kind",
    "NotControllable",
    "Role",
    "Use",
    "controllable",
    "is_controllable",
    "weakly_unworkable",
]

_FILTER_WORK = 200_000
_LONGEST_WALK = 2_000
_PROJECTED_LINKS = 12


class Kind(StrEnum):
    """How badly a network fails, worst first."""

    INCONSISTENT = "no timing works"
    NOT_WEAKLY = "for some machine times no timing works"
    WEAKLY_ONLY = "staff would have to know the machine's time in advance"
    UNCONTROLLABLE = "staff cannot keep the limits"  # with too many links to say more


@dataclass(frozen=True, slots=True)
class Use:
    """One line's part in a conflict: it adds `seconds` to the sum, `times` times over.

    `seconds` is None for the slow end of a link that nothing ends for sure.
    """

    role: Role
    of: Bound | Link
    seconds: int | None
    times: int

    @property
    def clause(self) -> Hashable:
        return self.of.clause


@dataclass(frozen=True, slots=True)
class Controllable:
    """Staff can keep every limit. `holds` are what they must wait for while a machine runs."""

    holds: tuple[Hold, ...]


@dataclass(frozen=True, slots=True)
class NotControllable:
    """Staff cannot keep every limit: around a closed walk the uses fall short by `shortfall` seconds.

    `shortfall` is None when a link without a slowest time takes part. `walk` is the uses one at a time in
    walk order, empty when that has more than 2,000 parts. `unworkable` are link times (link, seconds) that
    leave no timing at all, given when `kind` is NOT_WEAKLY.
    """

    kind: Kind
    uses: tuple[Use, ...]
    shortfall: int | None
    walk: tuple[Use, ...] = ()
    unworkable: tuple[tuple[Link, int], ...] = ()

    @property
    def clauses(self) -> tuple[Hashable, ...]:
        """Each clause once, in walk order, laws of the model left out."""
        return tuple(dict.fromkeys(use.clause for use in self.uses if use.clause is not None))


def controllable(network: Network) -> Controllable | NotControllable:
    """Decide dynamic controllability; the same answer and the same conflict for the same network.

    The conflict names no clause that is superfluous for what its kind says, as far as that is found in reasonable
    time. Raise ValueError for malformed links: low below 0, high below low, two with one end, links in a circle.
    """
    check_links(network)
    verdict = consistency(network)
    if isinstance(verdict, Conflict):
        walk = tuple(Use(Role.BOUND, bound, bound.weight, 1) for bound in verdict.bounds)
        return NotControllable(Kind.INCONSISTENT, walk, verdict.shortfall, walk)
    search = Search(network)
    if search.run():
        return Controllable(tuple(search.holds))
    needed = _needed_clauses_only(network, {part.of.clause for part in search.parts()})
    search = Search(needed)
    search.run()
    return _explained(needed, search)


def is_controllable(network: Network) -> bool:
    """Decide dynamic controllability without looking for reasons; raise ValueError for malformed links."""
    check_links(network)
    return PlainSearch(without_followers(network)).run()


def weakly_unworkable(network: Network) -> tuple[tuple[Link, int], ...] | None:
    """Return link times for which no timing exists though they be known in advance, or None if there are none.

    Only the extreme times need trying: 2 to the power of the number of links with a slowest time, of which at
    most 12 are taken (ValueError). A link without a slowest time counts as one that staff could choose.
    """
    ranges = _ranges(network)
    if len(ranges) > _PROJECTED_LINKS:
        raise ValueError(f"{len(ranges)} links are too many to try one by one")
    for times in product(*((link.low, high) for link, high in ranges)):
        chosen = tuple((link, time) for (link, _), time in zip(ranges, times, strict=True))
        if not _works(network, chosen):
            return chosen
    return None


def _ranges(network: Network) -> list[tuple[Link, int]]:
    """The links the world has a choice in, each with its slowest time."""
    return [(link, link.high) for link in network.links if link.high is not None and link.high > link.low]


def _works(network: Network, chosen: tuple[tuple[Link, int], ...]) -> bool:
    """Whether some timing exists when these links take these times, and the others what staff choose."""
    taken = {link for link, _ in chosen}
    bounds = [b for link in network.links if link not in taken for b in link.as_bounds()]
    for link, time in chosen:
        bounds += Link(link.activation, time, time, link.contingent_end, link.clause).as_bounds()
    return isinstance(consistency(_compressed([*network.bounds, *bounds])), Schedule)


def _compressed(bounds: list[Bound]) -> Network:
    """The same bounds over only the points they touch, so that trying many costs little."""
    touched = sorted({point for bound in bounds for point in (bound.source, bound.target)})
    place = {point: number for number, point in enumerate(touched)}
    moved = (Bound(place[b.source], place[b.target], b.weight, b.clause) for b in bounds)
    return Network(len(touched), tuple(moved))


def _explained(network: Network, search: Search) -> NotControllable:
    counts = search.parts()
    walk = tuple(_use(part, 1) for part in search.walk(_LONGEST_WALK))
    # In walk order as far as the walk is written out.
    order = dict.fromkeys([Part(use.role, use.of) for use in walk])
    uses = tuple(_use(part, counts[part]) for part in order or counts)
    shortfall: int | None = 0
    for use in uses:
        shortfall = None if shortfall is None or use.seconds is None else shortfall - use.seconds * use.times
    unworkable = _unworkable(network, uses)
    if unworkable:
        return NotControllable(Kind.NOT_WEAKLY, uses, shortfall, walk, unworkable)
    few = len(_ranges(network)) <= _PROJECTED_LINKS
    return NotControllable(Kind.WEAKLY_ONLY if few else Kind.UNCONTROLLABLE, uses, shortfall, walk)


def _unworkable(network: Network, uses: tuple[Use, ...]) -> tuple[tuple[Link, int], ...] | None:
    """Return link times that leave no timing: those the conflict itself names if they do, else by trying all."""
    slow = {use.of for use in uses if use.role is Role.SLOWEST}
    ranges = _ranges(network)
    named = tuple((link, high if link in slow else link.low) for link, high in ranges)
    if named and not _works(network, named):
        return named
    return weakly_unworkable(network) if len(ranges) <= _PROJECTED_LINKS else None


def _use(part: Part, times: int) -> Use:
    if isinstance(part.of, Bound):
        return Use(part.role, part.of, part.of.weight, times)
    if part.role is Role.FASTEST:
        return Use(part.role, part.of, part.of.low, times)
    return Use(part.role, part.of, None if part.of.high is None else -part.of.high, times)


def _needed_clauses_only(network: Network, clauses: set[Hashable]) -> Network:
    """Drop clauses one by one, the latest first, as long as the rest stays uncontrollable (deletion filter).

    Links that must stay then become ones that staff could choose, where that too is uncontrollable.
    """
    kept = _only(network, clauses)
    named = [bound.clause for bound in network.bounds] + [link.clause for link in network.links]
    order = {clause: place for place, clause in enumerate(named)}
    if len(clauses) * (len(kept.bounds) + len(kept.links)) > _FILTER_WORK:
        return kept
    candidates = sorted(clauses - {None}, key=order.__getitem__, reverse=True)
    # First all that can go altogether: a link made choosable too early would hold on to lines it does not need.
    for weaken in (_without, _staff_choosing):
        for clause in candidates:
            weaker = weaken(kept, clause)
            if not Search(weaker).run():
                kept = weaker
    return kept


def _only(network: Network, clauses: set[Hashable]) -> Network:
    keep = clauses | {None}
    bounds = tuple(bound for bound in network.bounds if bound.clause in keep)
    return Network(network.points, bounds, tuple(link for link in network.links if link.clause in keep))


def _without(network: Network, clause: Hashable) -> Network:
    bounds = tuple(bound for bound in network.bounds if bound.clause != clause)
    return Network(network.points, bounds, tuple(link for link in network.links if link.clause != clause))


def _staff_choosing(network: Network, clause: Hashable) -> Network:
    chosen = [bound for link in network.links if link.clause == clause for bound in link.as_bounds()]
    links = tuple(link for link in network.links if link.clause != clause)
    return Network(network.points, (*network.bounds, *chosen), links)


def check_links(network: Network) -> None:
    ends: dict[int, int] = {}
    for link in network.links:
        if link.low < 0 or (link.high is not None and link.high < link.low):
            raise ValueError(f"a link cannot last from {link.low} to {link.high} s")
        if link.contingent_end in ends:
            raise ValueError(f"two links end at {network.name(link.contingent_end)}")
        ends[link.contingent_end] = link.activation
    cleared: set[int] = set()
    for end in ends:
        point, trail = end, set[int]()
        while point in ends and point not in cleared:
            if point in trail:
                raise ValueError(f"links run in a circle through {network.name(point)}")
            trail.add(point)
            point = ends[point]
        cleared |= trail
