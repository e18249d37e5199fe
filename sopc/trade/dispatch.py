"""How to keep limits while the machines run: windows and waits that staff can follow, knowing only what has happened.

A network that can be kept whatever the machines take is brought into a form in which no one needs to look ahead: a
point may come as soon as all that must come before it has come, its windows from those are open and its waits are
over; and it must come before a window closes (dispatchable form: Muscettola, Morris and Tsamardinos 1998; with waits:
Morris 2014). The end of a link has windows too, but only as what may happen: staff cannot aim for it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from sopc.trade.controllability import check_links
from sopc.trade.network import Network, Window
from sopc.trade.semireducible import Hold, Search
from sopc.trade.shortest_paths import Distances


@dataclass(frozen=True, slots=True)
class Wait:
    """`point` waits until the end of a link is seen, or until `seconds` after its activation, whichever is first."""

    point: int
    activation: int
    contingent_end: int
    seconds: int


@dataclass(slots=True)
class Dispatch:
    """What staff must heed. Seconds throughout."""

    waits: tuple[Wait, ...]
    _onward: Distances
    _backward: Distances
    _most: dict[int, list[int | None]] = field(default_factory=dict)  # from each point asked for, to every other
    _least: dict[int, list[int | None]] = field(default_factory=dict)

    def between(self, earlier: int, later: int) -> Window:
        """The least and most by which `later` comes after `earlier`, so that all can be kept whatever the world does.

        Negative when it comes before. None where nothing holds it.
        """
        if earlier not in self._most:
            self._most[earlier] = self._onward.from_point(earlier)
        return Window(self.least(earlier, later), self._most[earlier][later])

    def least(self, earlier: int, later: int) -> int | None:
        """The least alone, which takes half the time."""
        if earlier not in self._least:
            self._least[earlier] = self._backward.from_point(earlier)
        known = self._least[earlier][later]
        return None if known is None else -known

    def window(self, point: int, origin: int = 0) -> Window:
        """The earliest and latest of a point after the origin."""
        return self.between(origin, point)


def dispatch(network: Network) -> Dispatch | None:
    """Return the windows and waits of a network; None when it cannot be kept whatever the world does.

    Windows are never narrower than some timing needs: without links they are those of the minimal network. Raise
    ValueError for malformed links.
    """
    check_links(network)
    search = Search(network)
    if not search.run():
        return None
    edges = search.binding()
    backward = Distances(network.size, [(v, u, w) for u, v, w in edges])
    found = Dispatch((), Distances(network.size, edges), backward)
    found.waits = tuple(_needed(found, search.holds))
    return found


def _needed(found: Dispatch, holds: list[Hold]) -> list[Wait]:
    """The longest wait of each point for each link, without those that its windows include."""
    longest: dict[tuple[int, int], Wait] = {}
    for hold in holds:
        link = hold.link
        key = (hold.point, link.contingent_end)
        known = longest.get(key)
        if known is None or known.seconds < hold.seconds:
            longest[key] = Wait(hold.point, link.activation, link.contingent_end, hold.seconds)
    return [wait for wait in longest.values() if not _implied(found, wait)]


def _implied(found: Dispatch, wait: Wait) -> bool:
    after_end = found.least(wait.contingent_end, wait.point)
    after_start = found.least(wait.activation, wait.point)
    return (after_end is not None and after_end >= 0) or (after_start is not None and after_start >= wait.seconds)
