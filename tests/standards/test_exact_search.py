"""Our own search over orders and OR-Tools CP-SAT, side by side, and against published answers."""

from __future__ import annotations

from importlib.util import find_spec

import pytest
from hypothesis import given, settings

from sopc.trade import resources
from sopc.trade.controllability import is_controllable
from sopc.trade.exact_search import ExactSearch, exact_search
from sopc.trade.network import Bound, Conflict, Link, Network, Schedule, consistency
from sopc.trade.resources import Demand, Fits, TooMuch, Undecided, fit
from tests.standards.test_scheduling import fixed, job_shop, patterson, shops

pytestmark = pytest.mark.skipif(find_spec("ortools") is None, reason="the extra `schedule` is not installed")

# Fisher and Thompson, 6 × 6, in Muth and Thompson, "Industrial Scheduling" (1963); shortest makespan 55.
# Typed in as it stands in the OR-Library (jobshop1.txt, instance ft06): machine, time, machine, time …
FT06 = """
2 1 0 3 1 6 3 7 5 3 4 6
1 8 2 5 4 10 5 10 0 10 3 4
2 5 3 4 5 8 0 9 1 1 4 7
1 5 0 5 2 5 3 3 4 8 5 9
2 9 1 3 4 5 5 4 0 3 3 1
1 3 3 3 5 9 0 10 4 4 2 1
"""
SOLVER = ExactSearch()
# PSPLIB, RCPSP/max, UBO10_01: activities 7 and 8 on one resource of 10, 5 and 6 on another.
PAIRS = {"a": ((5, 7), (-4, -2), (9, 10)), "b": ((9, 10), (-5, -4), (8, 9))}


def fisher_thompson(within: int) -> tuple[Network, tuple[Demand, ...]]:
    rows = [[int(word) for word in line.split()] for line in FT06.split("\n") if line]
    origin = 2 * sum(len(row) // 2 for row in rows)
    bounds: list[Bound] = []
    demands: list[Demand] = []
    job = 0
    for row in rows:
        for place, (machine, length) in enumerate(zip(row[::2], row[1::2], strict=True)):
            bounds += fixed(job, length)
            bounds += [Bound(2 * job, origin, 0, None), Bound(origin, 2 * job + 1, within, "within")]
            if place:
                bounds.append(Bound(2 * job, 2 * job - 1, 0, "next"))
            demands.append(Demand(2 * job, 2 * job + 1, machine, 1, job))
            job += 1
    return Network(origin + 1, tuple(bounds)), tuple(demands)


def overlaps(schedule: Schedule, demands: tuple[Demand, ...], capacities: dict[str, int] | dict[int, int]) -> bool:
    """Whether somewhere more is held than there is, counted at each start."""
    times = schedule.times
    return any(
        sum(
            each.amount
            for each in demands
            if each.resource == one.resource and times[each.start] <= times[one.start] < times[each.end]
        )
        > capacities[one.resource]  # type: ignore[index]
        for one in demands
    )


@pytest.mark.parametrize(
    ("made", "capacities", "best"),
    [
        (job_shop, {0: 1, 1: 1, 2: 1}, 11),
        (patterson, {0: 2, 1: 1, 2: 2}, 19),
        (fisher_thompson, dict.fromkeys(range(6), 1), 55),
    ],
)
def test_published_makespans(made, capacities: dict[int, int], best: int) -> None:  # type: ignore[no-untyped-def]
    """OR-Tools job shop 11, Patterson 1 19, Fisher and Thompson 6 × 6 55: that long, and not a unit less."""
    network, demands = made(best)
    schedule = SOLVER(network, demands, capacities)
    assert isinstance(schedule, Schedule)
    assert not overlaps(schedule, demands, capacities)
    assert all(schedule.times[b.target] - schedule.times[b.source] <= b.weight for b in network.bounds)
    network, demands = made(best - 1)
    assert SOLVER(network, demands, capacities) is False


def test_what_our_search_gives_up_the_solver_decides() -> None:
    """Fisher and Thompson in 55: too many orders for a few tries; the solver's schedule is proven by our own search."""
    capacities = dict.fromkeys(range(6), 1)
    network, demands = fisher_thompson(55)
    assert isinstance(fit(network, demands, capacities, 3), Undecided)
    verdict = fit(network, demands, capacities, 3, SOLVER)
    assert isinstance(verdict, Fits)
    posted = Network(network.size, (*network.bounds, *(before.bound for before in verdict.order)))
    schedule = consistency(posted)
    assert isinstance(schedule, Schedule)
    assert not overlaps(schedule, demands, capacities)


def test_two_pairs_each_impossible_by_itself_are_named_one_at_a_time() -> None:
    """UBO10_01 is infeasible for two reasons that do not need each other; a deletion filter must end at one pair."""
    bounds: list[Bound] = []
    demands: list[Demand] = []
    for number, (lengths, lags, amounts) in enumerate(PAIRS.values()):
        first, second = 2 * number, 2 * number + 1
        bounds += [*fixed(first, lengths[0]), *fixed(second, lengths[1])]
        bounds.append(Bound(2 * second, 2 * first, -lags[0], ("lag", number, 0)))
        bounds.append(Bound(2 * first, 2 * second, -lags[1], ("lag", number, 1)))
        demands += [
            Demand(2 * job, 2 * job + 1, number, amount, job)
            for job, amount in zip((first, second), amounts, strict=True)
        ]
    network, capacities = Network(8, tuple(bounds)), {0: 10, 1: 10}
    assert SOLVER(network, tuple(demands), capacities) is False
    found = [
        fit(network, tuple(demands), capacities),
        resources._asked(resources._Search(network, tuple(demands), capacities, 0), SOLVER),
    ]
    for verdict in found:
        assert isinstance(verdict, TooMuch)
        assert {demand.clause for demand in verdict.demands} in ({0, 1}, {2, 3})
        pair = min(demand.clause for demand in verdict.demands) // 2  # type: ignore[operator, type-var]
        lags = {bound.clause for bound in verdict.bounds if isinstance(bound.clause, tuple)}
        assert lags == {("lag", pair, 0), ("lag", pair, 1)}


@given(shops())
@settings(deadline=None, max_examples=150)
def test_both_searches_agree_on_small_shops(shop: tuple[Network, tuple[Demand, ...], dict[str, int]]) -> None:
    network, demands, capacities = shop
    if isinstance(consistency(network), Conflict):
        return
    own, other = fit(network, demands, capacities), SOLVER(network, demands, capacities)
    assert isinstance(own, Fits) is isinstance(other, Schedule)
    assert isinstance(own, TooMuch) is (other is False)
    # Asked at once, without our own search first, the answer and the proof are the same.
    asked = fit(network, demands, capacities, 0, SOLVER)
    assert type(asked) is type(own)
    if isinstance(asked, TooMuch):
        rest = [tuple(demand for demand in asked.demands if demand is not one) for one in asked.demands]
        assert all(isinstance(SOLVER(network, each, capacities), Schedule) for each in rest)


def test_what_suits_only_some_machine_times_stays_undecided_with_the_solver_too() -> None:
    """A machine of 20 to 40, unloaded within 9 of its end; the same hands are needed elsewhere for 30."""
    network = Network(
        6,
        (
            Bound(2, 1, 0, None),
            Bound(1, 2, 9, "unload soon"),
            Bound(2, 3, 5, "unload"),
            Bound(3, 2, -5, "unload"),
            Bound(4, 5, 30, "other job"),
            Bound(5, 4, -30, "other job"),
            Bound(0, 4, 10, "other job soon"),
            Bound(4, 0, 0, None),
        ),
        (Link(0, 20, 40, 1, "machine"),),
    )
    demands = (Demand(2, 3, "assistant", 1, "unload"), Demand(4, 5, "assistant", 1, "other job"))
    assert is_controllable(network)
    assert isinstance(fit(network, demands, {"assistant": 1}, 0, SOLVER), Undecided)


def test_without_the_extra_there_is_no_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    assert exact_search() is not None
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    assert exact_search() is None
