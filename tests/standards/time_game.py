"""The two-player game behind dynamic controllability, searched outright: an oracle without the engine's ideas.

Time goes in whole steps. In each, the world moves first and may end links whose time has come; then staff, who see
that, let any of their own points happen. A link that may last no time at all can end in the step that began it: then
the world moves once more. Staff win if every bound holds in the end whatever the world did. Small numbers only.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from itertools import chain, combinations

from sopc.trade.network import Network

Times = tuple[int | None, ...]


def staff_can_win(network: Network, horizon: int) -> bool:
    """Whether staff win, with everything done by `horizon`."""
    ends = {link.contingent_end: link for link in network.links}
    own = [point for point in range(network.size) if point not in ends]

    def broken(times: Times, now: int) -> bool:
        """Whether some bound can no longer hold: its source came, and its target did or must come too late."""
        for bound in network.bounds:
            begun, ended = times[bound.source], times[bound.target]
            if begun is not None and (now if ended is None else ended) - begun > bound.weight:
                return True
        return False

    @cache
    def survives_world(now: int, times: Times) -> bool:
        if broken(times, now) or now > horizon:
            return False
        must: list[int] = []
        may: list[int] = []
        for end, link in ends.items():
            begun = times[link.activation]
            if times[end] is None and begun is not None and now - begun >= link.low:
                (must if now - begun == link.high else may).append(end)
        return all(staff_win(now, happen(times, chain(must, also), now)) for also in choices(may))

    @cache
    def staff_win(now: int, times: Times) -> bool:
        for chosen in choices([point for point in own if times[point] is None]):
            after = happen(times, chosen, now)
            if broken(after, now) or not any(time is not None for time in after):
                continue
            if None not in after:
                return True
            again = any(link.low == 0 and link.activation in chosen for link in network.links)
            if survives_world(now if again else now + 1, after):
                return True
        return None not in times and not broken(times, now)

    return staff_win(0, (None,) * network.size)


def choices(points: list[int]) -> Iterator[tuple[int, ...]]:
    """All choices of some of the points, from none to all."""
    return chain.from_iterable(combinations(points, count) for count in range(len(points) + 1))


def happen(times: Times, points: Iterable[int], now: int) -> Times:
    """The same times with these points happening now."""
    chosen = set(points)
    return tuple(now if place in chosen else time for place, time in enumerate(times))
