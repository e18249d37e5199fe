"""Plays a network through as staff would: they see what has happened, keep windows and waits, and know no more."""

from __future__ import annotations

from random import Random

from sopc.trade.dispatch import Dispatch
from sopc.trade.network import Bound, Link, Network

LONGEST = 500


def network_from(chance: Random) -> Network:
    """A small random network with one to three links that the world decides."""
    size = chance.randint(3, 7)
    links: list[Link] = []
    for number in range(chance.randint(1, 3)):
        activation, end = chance.sample(range(size), 2)
        starts = {link.contingent_end: link.activation for link in links}
        before = activation
        while before in starts and before != end:
            before = starts[before]
        if end not in starts and before != end:
            low = chance.randint(0, 6)
            links.append(Link(activation, low, low + chance.randint(1, 8), end, ("link", number)))
    bounds = []
    for number in range(chance.randint(2, 10)):
        source, target = chance.sample(range(size), 2)
        bounds.append(Bound(source, target, chance.randint(-12, 18), ("bound", number)))
    return Network(size, tuple(bounds), tuple(links))


def played(network: Network, rules: Dispatch, chance: Random) -> list[int] | str:
    """Return the time of each point, or what went wrong. Staff dawdle or hurry within the rules; the world does as it
    likes."""
    ends = {link.contingent_end: link for link in network.links}
    lasting = {end: chance.choice((link.low, link.high or link.low)) for end, link in ends.items()}
    windows = [[rules.between(x, y) for y in range(network.size)] for x in range(network.size)]
    times: list[int | None] = [None] * network.size
    eager = max(0.05, chance.random())

    def allowed(point: int) -> tuple[int, int] | None:
        """From when to when a point may come; None while something must come first."""
        opens, closes = 0, LONGEST
        for other, time in enumerate(times):
            least, most = windows[other][point]
            together = windows[other][point] == (0, 0) and other not in ends  # either of the two may be first
            if time is None and other != point and least is not None and least >= 0 and not together:
                return None
            if time is not None:
                opens = opens if least is None else max(opens, time + least)
                closes = closes if most is None else min(closes, time + most)
        for wait in rules.waits:
            begun = times[wait.activation]
            if wait.point == point and times[wait.contingent_end] is None:
                if begun is None:
                    return None
                opens = max(opens, begun + wait.seconds)
        return opens, closes

    for now in range(LONGEST):
        moved = True
        while moved:
            moved = False
            for end, link in ends.items():
                begun = times[link.activation]
                if times[end] is None and begun is not None and begun + lasting[end] == now:
                    times[end], moved = now, True
            for point in (each for each in range(network.size) if times[each] is None and each not in ends):
                window = allowed(point)
                if window is None or now < window[0]:
                    continue
                if now > window[1]:
                    return f"point {point} is late"
                if now == window[1] or chance.random() < eager:
                    times[point], moved = now, True
        done = [time for time in times if time is not None]
        if len(done) == network.size:
            return done
    return "it never ends"


def broken(network: Network, times: list[int]) -> list[object]:
    """The clauses that these times do not keep."""
    return [each.clause for each in network.bounds if times[each.target] - times[each.source] > each.weight]
