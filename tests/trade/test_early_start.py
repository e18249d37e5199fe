"""Beginning everything as soon as allowed: what can be missed is what playing finds, and waits put it right."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from sopc.trade.early_start import early_start
from sopc.trade.network import Bound, Link, Network


def drawn(random: Random) -> Network:
    """A small network: activities in a few rows, some with links, some waiting for others, some limits between them."""
    count = random.randint(3, 6)
    bounds: list[Bound] = []
    links: list[Link] = []
    for each in range(count):
        start, end = 1 + 2 * each, 2 + 2 * each
        least = random.randint(1, 8)
        if random.random() < 0.6:
            links.append(Link(start, least, least + random.randint(1, 6), end, f"link {each}"))
        else:
            bounds.append(Bound(end, start, -least, f"work {each}"))
        if random.random() < 0.4:
            bounds.append(Bound(start, 0, -random.randint(1, 20), "booked"))
        for other in range(each):
            if random.random() < 0.35:
                bounds.append(Bound(start, 2 + 2 * other, 0, "order"))
    for _ in range(random.randint(1, 3)):
        one, other = sorted(random.sample(range(1, 2 * count + 1), 2))
        bounds.append(Bound(one, other, random.randint(3, 25), f"limit {one} {other}"))
    return Network(1 + 2 * count, tuple(bounds), tuple(links))


def begun_early(network: Network, lasts: tuple[int, ...]) -> list[int]:
    """Every moment as early as it may come, links lasting so long: by going round until nothing moves."""
    times = [0] * network.size
    ends = {link.contingent_end: (link.activation, low) for link, low in zip(network.links, lasts, strict=True)}
    lower = [bound for bound in network.bounds if bound.weight <= 0]
    for _ in range(network.size + 1):
        for point, (start, seconds) in ends.items():
            times[point] = times[start] + seconds
        for bound in lower:
            if bound.source not in ends:
                times[bound.source] = max(times[bound.source], times[bound.target] - bound.weight)
    return times


def worst(network: Network) -> dict[Bound, int]:
    """By how much each upper limit is missed at the worst, over all shortest and longest links."""
    found: dict[Bound, int] = {}
    upper = [bound for bound in network.bounds if bound.weight > 0]
    for lasts in product(*((link.low, link.high or link.low) for link in network.links)):
        times = begun_early(network, lasts)
        for bound in upper:
            over = times[bound.target] - times[bound.source] - bound.weight
            if over > 0:
                found[bound] = max(over, found.get(bound, 0))
    return found


def starts_of(network: Network) -> list[int]:
    return [point - 1 if point and point % 2 == 0 else point for point in range(network.size)]


@pytest.mark.parametrize("seed", range(150))
def test_what_waits_leave_kept_no_shortest_or_longest_times_break(seed: int) -> None:
    network = drawn(Random(seed))
    found = early_start(network, starts_of(network))
    heeded = Network(network.size, (*network.bounds, *found.added), network.links)
    assert worst(heeded).keys() <= found.missed.keys()


def test_what_is_missed_without_waits_is_what_playing_finds() -> None:
    """In most networks to the second; never less, and never a limit that is kept by chance called kept."""
    exact = 0
    for seed in range(300):
        network = drawn(Random(f"plain {seed}"))
        told = early_start(network, [0] * network.size)  # nothing may be held up
        played = worst(network)
        assert played.keys() <= told.missed.keys()
        assert all(told.missed[bound] >= over for bound, over in played.items())
        exact += told.missed == played
    assert exact >= 290


def test_a_limit_that_the_order_misses_gets_one_wait() -> None:
    """B must begin within 5 of A's end, but stands behind C as well, which may take 20: A is begun when C is over."""
    bounds = (
        Bound(2, 1, -3, "A lasts"),
        Bound(5, 2, 0, "B behind A"),
        Bound(5, 4, 0, "B behind C"),
        Bound(6, 5, -1, "B lasts"),
        Bound(2, 5, 5, "B soon after A"),
    )
    network = Network(7, bounds, (Link(3, 10, 20, 4, "C lasts"),))
    found = early_start(network, starts_of(network))
    assert found.missed == {}
    (wait,) = found.added
    assert (wait.source, wait.target, wait.weight) in ((1, 4, 0), (1, 0, -60))


def test_what_no_wait_can_mend_is_told() -> None:
    """A link that may take 10 where 5 are allowed: nothing to wait for."""
    limit = Bound(1, 2, 5, "too long")
    found = early_start(Network(3, (limit,), (Link(1, 3, 10, 2, "runs"),)), [0, 1, 1])
    assert found.added == ()
    assert found.missed == {limit: 5}
