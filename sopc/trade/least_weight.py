"""The least that some bounds together can promise: the smallest weight at which staff can still keep all."""

from __future__ import annotations

from collections.abc import Collection

from sopc.trade.controllability import check_links
from sopc.trade.followers import without_followers
from sopc.trade.network import Bound, Network
from sopc.trade.semireducible import Role, Search

_ASKED = "asked"
_LEAPS = 16  # so often what a conflict lacks is believed; then the rest is halved


def least_weight(network: Network, pairs: Collection[tuple[int, int]], low: int, high: int) -> int | None:
    """Return the least weight from `low` to `high` that bounds between all these pairs of points can have.

    With it the network, which has other bounds beside, is dynamically controllable, and one second below it is not
    (or `low` is reached). None when it is not even with `high`. A wider bound never does harm, so the least can be
    closed in on. What a conflict lacks is only a guess at how far that is: both sides of the answer are tried.
    Raise ValueError for malformed links.
    """
    check_links(network)
    small = without_followers(network, {point for pair in pairs for point in pair})
    low = min(low, high)
    end, guess, leaps = high + 1, low, 0  # `end`: the least known to do; below `low` nothing does
    while low < end:
        lack = _lack(small, pairs, guess)
        if lack == 0:
            end, guess = guess, guess - 1
        else:
            low, guess = guess + 1, high if lack is None else guess + lack
        leaps += 1
        guess = min(max(guess, low), end - 1) if leaps < _LEAPS else (low + end) // 2
    return end if end <= high else None


def _lack(network: Network, pairs: Collection[tuple[int, int]], weight: int) -> int | None:
    """Seconds by which a conflict falls short, shared among the bounds asked for in it; 0 when there is no conflict.

    None when it has none of these bounds.
    """
    asked = tuple(Bound(source, target, weight, _ASKED) for source, target in pairs)
    search = Search(Network(network.points, (*network.bounds, *asked), network.links))
    if search.run():
        return 0
    length = uses = 0
    for (role, of), times in search.parts().items():
        if isinstance(of, Bound):
            length += of.weight * times
            uses += times * (of.clause == _ASKED)
        else:
            length += (of.low if role is Role.FASTEST else -(of.high or 0)) * times
    return max(1, -(length // uses)) if uses else None
