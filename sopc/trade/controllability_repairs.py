"""The smallest change that lets staff keep every limit whatever the machines take."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from fractions import Fraction

from sopc.trade.controllability import NotControllable, is_controllable
from sopc.trade.network import Bound, Link, Network, meaningful
from sopc.trade.semireducible import Role


@dataclass(frozen=True, slots=True)
class DynamicRepair:
    """Changing one bound, or one end of a link, by `delta` seconds makes the whole network controllable.

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
    for use in conflict.uses:
        known = network.bounds if isinstance(use.of, Bound) else network.links
        if use.clause is None or use.of not in known:
            continue
        delta = smallest_change(network, use.of, use.role)
        if delta and (isinstance(use.of, Link) or meaningful(use.of.weight, delta)):
            found.append(DynamicRepair(use.role, use.of, delta, Fraction(delta, max(1, abs(use.seconds or 0)))))
    return sorted(found, key=lambda repair: (repair.share, repair.delta))


def smallest_change(network: Network, of: Bound | Link, role: Role = Role.BOUND) -> int | None:
    """Return the fewest seconds by which a bound or an end of a link must give way; None when it cannot help alone.

    0 when the network is controllable already. Giving way never does harm, so the least is found by
    halving: one decision for each doubling of the answer, twice.
    """
    if is_controllable(network):
        return 0
    if isinstance(of, Link):
        most = 0 if of.high is None else of.high - of.low
        helps = is_controllable(_changed(network, of, role, most))
    else:
        most = None
        # Without the bound altogether: as far as it can ever be relaxed.
        helps = is_controllable(_without(network, of))
    if not helps:
        return None
    low, high = 0, 1
    while (most is None or high < most) and not is_controllable(_changed(network, of, role, high)):
        low, high = high, high * 2
    high = high if most is None else min(high, most)
    while high - low > 1:
        middle = (low + high) // 2
        if is_controllable(_changed(network, of, role, middle)):
            high = middle
        else:
            low = middle
    return high


def _changed(network: Network, of: Bound | Link, role: Role, delta: int) -> Network:
    if isinstance(of, Bound):
        wider = Bound(of.source, of.target, of.weight + delta, of.clause)
        bounds = tuple(wider if bound == of else bound for bound in network.bounds)
        return Network(network.points, bounds, network.links)
    low = of.low + delta if role is Role.FASTEST else of.low
    high = of.high - delta if role is Role.SLOWEST and of.high is not None else of.high
    narrower = Link(of.activation, low, high, of.contingent_end, of.clause)
    links = tuple(narrower if link == of else link for link in network.links)
    return Network(network.points, network.bounds, links)


def _without(network: Network, dropped: Bound) -> Network:
    bounds = tuple(bound for bound in network.bounds if bound != dropped)
    return Network(network.points, bounds, network.links)
