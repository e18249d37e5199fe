"""Time networks of any size for the benchmarks: shaped like procedures, controllable by construction."""

from __future__ import annotations

import random

from sopc.trade.network import Bound, Link, Network


def procedure_shaped(steps: int, by_machine: int, seed: int) -> Network:
    """Steps in a row, some timed by machines, each start within a generous limit after an earlier end."""
    chance = random.Random(seed)
    machines = set(chance.sample(range(steps), by_machine))
    bounds: list[Bound] = []
    links: list[Link] = []
    for step in range(steps):
        start, end = 2 * step, 2 * step + 1
        low = chance.randint(30, 600)
        high = low + chance.randint(10, 600)
        if step in machines:
            links.append(Link(start, low, high, end, f"machine {step}"))
        else:
            bounds += [Bound(start, end, high, f"takes {step}"), Bound(end, start, -low, f"takes {step}")]
        if step:
            bounds.append(Bound(start, end - 2, 0, f"after {step}"))
            bounds.append(Bound(end - 2, start, chance.randint(300, 1200), f"limit {step}"))
    return Network(2 * steps, tuple(bounds), tuple(links))
