"""A smaller network that staff can keep exactly if they can keep the whole one: points that only follow are left out.

A point from which nothing else is bound to come in time waits for others and holds nobody up by coming early. Staff
lose nothing by letting it come the moment its last wait is over; they need to know no machine's time for that. Its own
latest times then bind what it waits for, and it is no longer needed: one step of Fourier's and Motzkin's elimination.
A point that waits for nothing, or has no latest time, binds nobody at all.
"""

from __future__ import annotations

from collections.abc import Collection

from sopc.trade.network import Bound, Network

_Edges = list[dict[int, int]]
_MORE = 2  # so many bounds may be put in for a point that are more than those taken out


def without_followers(network: Network, keep: Collection[int] = ()) -> Network:
    """Return a network over the same points that is dynamically controllable exactly if the given one is.

    Starts and ends of links stay, and the points to `keep`. A point whose leaving would make many more bounds stays
    too. The bounds left name no clause, and links that always last the same are bounds.
    """
    links = tuple(link for link in network.links if link.high != link.low)
    fixed = [bound for link in network.links if link.high == link.low for bound in link.as_bounds()]
    onward: _Edges = [{} for _ in range(network.size)]  # by the source of a bound: its targets and weights
    inward: _Edges = [{} for _ in range(network.size)]
    for bound in (*network.bounds, *fixed):
        _tighten(onward, inward, bound.source, bound.target, bound.weight)
    kept = {*keep, *(link.activation for link in links), *(link.contingent_end for link in links)}
    todo = [point for point in range(network.size - 1, -1, -1) if point not in kept]
    waiting = set(todo)
    while todo:
        point = todo.pop()
        waiting.discard(point)
        if _needed(onward[point], inward[point], point):
            continue
        touched = [*inward[point], *onward[point]]
        _leave_out(onward, inward, point)
        again = [each for each in dict.fromkeys(touched) if each not in kept and each not in waiting]
        todo += again
        waiting.update(again)
    bounds = tuple(
        Bound(source, target, weight, None) for source, each in enumerate(onward) for target, weight in each.items()
    )
    return Network(network.points, bounds, links)


def _needed(onward: dict[int, int], inward: dict[int, int], point: int) -> bool:
    """Whether a point has to stay; one that touches nothing does not count."""
    if not inward or not onward:
        return not inward and not onward
    if point in onward or max(onward.values()) > 0:
        return True
    return len(onward) * len(inward) > len(onward) + len(inward) + _MORE


def _leave_out(onward: _Edges, inward: _Edges, point: int) -> None:
    sources, targets = inward[point], onward[point]
    inward[point], onward[point] = {}, {}
    for source in sources:
        del onward[source][point]
    for target in targets:
        del inward[target][point]
    for source, latest in sources.items():
        for target, earliest in targets.items():
            _tighten(onward, inward, source, target, latest + earliest)


def _tighten(onward: _Edges, inward: _Edges, source: int, target: int, weight: int) -> None:
    """Put a bound in unless one at least as tight is there; one from a point to itself only where it cannot hold."""
    if source == target and weight >= 0:
        return
    known = onward[source].get(target)
    if known is None or weight < known:
        onward[source][target] = inward[target][source] = weight
