"""Windows and waits: whoever keeps them keeps every limit, whatever the machines take, and they ask for no more."""

from __future__ import annotations

from itertools import product
from math import inf
from random import Random

import networkx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sopc.trade.controllability import is_controllable
from sopc.trade.dispatch import Dispatch, dispatch
from sopc.trade.network import Bound, Link, Network
from tests.standards.test_time_networks import DINNER, KNOWN, network
from tests.trade.game_of_dispatch import broken, network_from, played

MINUTE = 60


def rules_of(net: Network) -> Dispatch:
    found = dispatch(net)
    assert found is not None
    return found


def holds_in_play(seed: int, plays: int) -> bool:
    """Play a random network; return whether it could be kept at all."""
    net = network_from(Random(seed))
    rules = dispatch(net)
    assert (rules is not None) == is_controllable(net)
    for number in range(plays if rules is not None else 0):
        times = played(net, rules, Random(1000 * seed + number)) if rules is not None else []
        assert not isinstance(times, str), (seed, number, times)
        assert broken(net, times) == [], (seed, number, times)
    return rules is not None


def test_whoever_keeps_windows_and_waits_keeps_every_limit() -> None:
    assert sum(holds_in_play(seed, 6) for seed in range(1200)) > 350


@pytest.mark.long
def test_whoever_keeps_windows_and_waits_keeps_every_limit_in_many_networks() -> None:
    assert sum(holds_in_play(seed, 20) for seed in range(1200, 20_000)) > 5_000


def test_without_the_waits_limits_are_broken() -> None:
    """So that the player is known to notice."""
    failed = 0
    for seed in range(1200):
        net = network_from(Random(seed))
        rules = dispatch(net)
        if rules is None or not rules.waits:
            continue
        rules.waits = ()
        for number in range(20):
            times = played(net, rules, Random(number))
            failed += isinstance(times, str) or bool(broken(net, times))
    assert failed > 20


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_without_machines_windows_are_those_of_the_minimal_network(data: st.DataObject) -> None:
    """Against networkx, all pairs of points, by Floyd and Warshall."""
    size = data.draw(st.integers(2, 7))
    points = st.integers(0, size - 1)
    drawn = data.draw(st.dictionaries(st.tuples(points, points), st.integers(-20, 30), min_size=1, max_size=14))
    bounds = [Bound(u, v, w, (u, v)) for (u, v), w in drawn.items() if u != v]
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(size))
    graph.add_weighted_edges_from((bound.source, bound.target, bound.weight) for bound in bounds)
    shortest = networkx.floyd_warshall(graph)
    rules = dispatch(Network(size, tuple(bounds)))
    assert (rules is None) == any(shortest[u][u] < 0 for u in range(size))
    for u, v in product(range(size), repeat=2) if rules is not None else ():
        expected = tuple(None if abs(value) == inf else value for value in (-shortest[v][u], shortest[u][v]))
        assert rules is not None
        assert tuple(rules.between(u, v)) == expected


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_with_machines_no_window_is_wider_than_can_be_kept(seed: int) -> None:
    """A point beyond its window, by one second, cannot be kept by anyone."""
    net = network_from(Random(seed))
    rules = dispatch(net)
    assume(rules is not None and net.links)
    ends = {link.contingent_end for link in net.links}
    for point in (each for each in range(1, net.size) if each not in ends and rules is not None and 0 not in ends):
        earliest, latest = rules.between(0, point) if rules is not None else (None, None)
        if latest is not None:
            beyond = Bound(point, 0, -latest - 1, None)
            assert not is_controllable(Network(net.size, (*net.bounds, beyond), net.links))
        if earliest is not None:
            before = Bound(0, point, earliest - 1, None)
            assert not is_controllable(Network(net.size, (*net.bounds, before), net.links))


@pytest.mark.parametrize("source", [name for name, (_, _, verdicts) in KNOWN.items() if verdicts == "y y"])
def test_published_networks_are_kept_in_play(source: str) -> None:
    net = network(*KNOWN[source][:2])
    rules = rules_of(net)
    for number in range(40):
        times = played(net, rules, Random(number))
        assert not isinstance(times, str), (source, number, times)
        assert broken(net, times) == []


@pytest.mark.parametrize("source", [name for name, (_, _, verdicts) in KNOWN.items() if verdicts != "y y"])
def test_published_networks_that_cannot_be_kept_have_no_rules(source: str) -> None:
    assert dispatch(network(*KNOWN[source][:2])) is None


def test_dinner_starts_to_cook_exactly_ten_after_shopping() -> None:
    """Nilsson, Kvarnström and Doherty: the one start that works, found without looking ahead."""
    net = network(DINNER, "WH->DR 5; DR->WH 5")
    names = net.points if isinstance(net.points, tuple) else ()
    rules = rules_of(net)
    assert tuple(rules.between(names.index("SD"), names.index("SC"))) == (10, 10)


def test_the_machine_starts_early_enough_for_its_slowest_run() -> None:
    """Soak, then a washer of 35 to 50 min, then rinse within 55 min of the soak's start: it leaves 5 min."""
    soak, limit = Bound(1, 0, -5 * MINUTE, "soak"), Bound(0, 4, 55 * MINUTE, "limit")
    bounds = (soak, Bound(2, 1, 0, None), Bound(4, 3, 0, None), limit)
    rules = rules_of(Network(5, bounds, (Link(2, 35 * MINUTE, 50 * MINUTE, 3, "wash"),)))
    assert rules.window(2).latest == 5 * MINUTE
    assert rules.window(4).latest == 55 * MINUTE


@pytest.mark.parametrize(("least", "most"), [(1, 16), (0, 15)])
def test_being_ready_just_in_time_waits_for_the_machine(least: int, most: int) -> None:
    """Ready `least` to `most` min before a machine of 35 to 50 min is done: not before 50 - `most` min have passed."""
    bounds = (Bound(1, 2, most * MINUTE, "limit"), Bound(2, 1, -least * MINUTE, "limit"))
    rules = rules_of(Network(3, bounds, (Link(0, 35 * MINUTE, 50 * MINUTE, 2, "machine"),)))
    after = rules.between(0, 1)
    (hold,) = [wait.seconds for wait in rules.waits] or [after.earliest]
    assert hold == (50 - most) * MINUTE
