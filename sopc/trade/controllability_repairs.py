"""The smallest change that lets staff keep every limit whatever the machines take."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from fractions import Fraction

from sopc.trade.controllability import NotControllable, is_controllable
from sopc.trade.network import Bound, Link, Network, meaningful
from sopc.trade.semireducible import Role


@dataclass(frozen=True, slots=True)
class DynamicRepair:
    """Changing one bound, or one end of a link, by `delta` seconds makes the whole network controllable.

    A line that stands in several bounds or links (a pass that is repeated) is changed in all of them.
    A bound's weight rises by delta. A link's fastest time rises or its slowest falls: that is another
    machine, or the same one validated to a narrower range.
    """

    role: Role
    of: Bound | Link
    delta: int
    share: Fraction

    @property
    def clause(self) -> Hashable:
        return self.of.clause


def dynamic_repairs(network: Network, conflict: NotControllable) -> list[DynamicRepair]:
    """Return every use in the conflict that alone can give way, the least change in proportion first.

    Ends of links that would have to widen are no repair and are left out.
    """
    found: list[DynamicRepair] = []
    told: list[tuple[Role, Bound | Link]] = []
    for use in conflict.uses:
        known = network.bounds if isinstance(use.of, Bound) else network.links
        if use.clause is None or use.of not in known:
            continue
        if any(role is use.role and _same(of, use.of) for role, of in told):
            continue
        told.append((use.role, use.of))
        delta = _smallest(network, tuple(each for each in known if _same(each, use.of)), use.role)
        if delta and (isinstance(use.of, Link) or meaningful(use.of.weight, delta)):
            found.append(DynamicRepair(use.role, use.of, delta, Fraction(delta, max(1, abs(use.seconds or 0)))))
    return sorted(found, key=lambda repair: (repair.share, repair.delta))


def smallest_change(network: Network, of: Bound | Link, role: Role = Role.BOUND) -> int | None:
    """Return the fewest seconds by which a bound or an end of a link must give way; None when it cannot help alone.

    0 when the network is controllable already. Giving way never does harm, so the least is found by
    halving: one decision for each doubling of the answer, twice.
    """
    return _smallest(network, (of,), role)


def _smallest(network: Network, chosen: tuple[Bound | Link, ...], role: Role) -> int | None:
    if is_controllable(network):
        return 0
    first = chosen[0]
    if isinstance(first, Link):
        most = 0 if first.high is None else first.high - first.low
        helps = is_controllable(_changed(network, chosen, role, most))
    else:
        most = None
        # Without the bound altogether: as far as it can ever be relaxed.
        helps = is_controllable(_without(network, chosen))
    if not helps:
        return None
    low, high = 0, 1
    while (most is None or high < most) and not is_controllable(_changed(network, chosen, role, high)):
        low, high = high, high * 2
    high = high if most is None else min(high, most)
    while high - low > 1:
        middle = (low + high) // 2
        if is_controllable(_changed(network, chosen, role, middle)):
            high = middle
        else:
            low = middle
    return high


def _changed(network: Network, chosen: tuple[Bound | Link, ...], role: Role, delta: int) -> Network:
    bounds = tuple(
        replace(bound, weight=bound.weight + delta) if bound in chosen else bound for bound in network.bounds
    )
    links = tuple(_narrowed(link, role, delta) if link in chosen else link for link in network.links)
    return Network(network.points, bounds, links)


def _narrowed(link: Link, role: Role, delta: int) -> Link:
    low = link.low + delta if role is Role.FASTEST else link.low
    high = link.high - delta if role is Role.SLOWEST and link.high is not None else link.high
    return replace(link, low=low, high=high)


def _without(network: Network, dropped: tuple[Bound | Link, ...]) -> Network:
    bounds = tuple(bound for bound in network.bounds if bound not in dropped)
    return Network(network.points, bounds, network.links)


def _same(one: Bound | Link, other: Bound | Link) -> bool:
    """Whether two are one line of the text: the same clause binding by the same amount."""
    if one == other:
        return True
    if one.clause is None or one.clause != other.clause:
        return False
    if isinstance(one, Bound) and isinstance(other, Bound):
        return one.weight == other.weight
    if isinstance(one, Link) and isinstance(other, Link):
        return (one.low, one.high) == (other.low, other.high)
    return False
