"""Shared machines against published scheduling instances and an independent solver."""

from __future__ import annotations

import pytest
import z3
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.network import Bound, Conflict, Network, consistency
from sopc.trade.resources import Demand, Fits, TooMuch, fit

# activity: (duration, (three resource demands), successors)
PATTERSON = {
    1: (0, (0, 0, 0), (2, 3, 4)), 2: (6, (1, 0, 0), (9, 10)), 3: (4, (0, 0, 0), (5, 6, 7)),
    4: (3, (0, 0, 0), (8, 11)), 5: (1, (0, 0, 0), (10,)), 6: (6, (1, 0, 1), (12,)), 7: (2, (1, 0, 0), (8, 11)),
    8: (1, (0, 0, 0), (13,)), 9: (4, (0, 1, 1), (14,)), 10: (3, (0, 0, 1), (12,)), 11: (2, (0, 0, 1), (12,)),
    12: (3, (0, 1, 0), (13,)), 13: (5, (0, 0, 0), (14,)), 14: (0, (0, 0, 0), ()),
}  # fmt: skip
JOB_SHOP = [[(0, 3), (1, 2), (2, 2)], [(0, 2), (2, 1), (1, 4)], [(1, 4), (2, 3)]]


def fixed(job: int, length: int) -> list[Bound]:
    start, end = 2 * job, 2 * job + 1
    return [Bound(start, end, length, job), Bound(end, start, -length, job)]


def patterson(within: int) -> tuple[Network, tuple[Demand, ...]]:
    bounds = [Bound(0, 27, within, "within")]
    demands: list[Demand] = []
    for number, (length, needs, following) in PATTERSON.items():
        job = number - 1
        bounds += fixed(job, length)
        bounds += [Bound(2 * (later - 1), 2 * job + 1, 0, (number, later)) for later in following]
        demands += [Demand(2 * job, 2 * job + 1, at, need, number) for at, need in enumerate(needs) if need]
    return Network(28, tuple(bounds)), tuple(demands)


def job_shop(within: int) -> tuple[Network, tuple[Demand, ...]]:
    bounds: list[Bound] = []
    demands: list[Demand] = []
    job = 0
    for chain in JOB_SHOP:
        bounds.append(Bound(2 * job, 2 * (job + len(chain)) - 1, within, "within"))
        for place, (machine, length) in enumerate(chain):
            bounds += fixed(job, length)
            # All start no sooner than a common first point and end within the time from there.
            bounds += [Bound(2 * job, 16, 0, None), Bound(16, 2 * job + 1, within, "within")]
            if place:
                bounds.append(Bound(2 * job, 2 * job - 1, 0, "next"))
            demands.append(Demand(2 * job, 2 * job + 1, machine, 1, job))
            job += 1
    return Network(17, tuple(bounds)), tuple(demands)


@pytest.mark.parametrize(("within", "verdict"), [(11, Fits), (10, TooMuch)])
def test_three_jobs_on_three_machines_take_eleven(within: int, verdict: type) -> None:
    """The job shop of the OR-Tools documentation: shortest makespan 11."""
    network, demands = job_shop(within)
    assert isinstance(fit(network, demands, {0: 1, 1: 1, 2: 1}), verdict)


@pytest.mark.parametrize(("within", "verdict"), [(19, Fits), (18, TooMuch)])
def test_fourteen_activities_take_nineteen(within: int, verdict: type) -> None:
    """Patterson's instance 1 (RCPSP): shortest makespan 19, though the critical path is 18."""
    network, demands = patterson(within)
    assert isinstance(fit(network, demands, {0: 2, 1: 1, 2: 2}), verdict)


@pytest.mark.parametrize(
    ("lengths", "lags", "amounts", "short"),
    [((5, 7), (-4, -2), (9, 10), 3), ((9, 10), (-5, -4), (8, 9), 5)],
)
def test_pairs_that_can_neither_overlap_nor_follow_each_other(
    lengths: tuple[int, int], lags: tuple[int, int], amounts: tuple[int, int], short: int
) -> None:
    """PSPLIB, RCPSP/max, UBO10_01: activities 7 and 8, and 5 and 6, make it infeasible by 3 and by 5."""
    bounds = [*fixed(0, lengths[0]), *fixed(1, lengths[1])]
    bounds += [Bound(2, 0, -lags[0], "lag 0 to 1"), Bound(0, 2, -lags[1], "lag 1 to 0")]
    demands = tuple(Demand(2 * job, 2 * job + 1, "r", amount, job) for job, amount in enumerate(amounts))
    network = Network(4, tuple(bounds))
    assert not isinstance(consistency(network), Conflict)
    verdict = fit(network, demands, {"r": 10})
    assert isinstance(verdict, TooMuch)
    assert verdict.demands == demands
    looser = [Bound(b.source, b.target, b.weight + short * (b.clause == "lag 1 to 0"), b.clause) for b in bounds]
    assert isinstance(fit(Network(4, tuple(looser)), demands, {"r": 10}), Fits)


@st.composite
def shops(draw: st.DrawFn) -> tuple[Network, tuple[Demand, ...], dict[str, int]]:
    count = draw(st.integers(2, 4))
    bounds: list[Bound] = []
    for job in range(count):
        bounds += fixed(job, draw(st.integers(1, 5)))
    for number in range(draw(st.integers(1, 4))):
        one, other, *_ = draw(st.permutations(range(count)))
        bounds.append(Bound(2 * one, 2 * other, draw(st.integers(-3, 8)), ("lag", number)))
    amount = st.integers(0, 2)
    needs = [(job, name, draw(amount)) for job in range(count) for name in ("a", "b")]
    demands = tuple(Demand(2 * job, 2 * job + 1, name, need, (job, name)) for job, name, need in needs if need)
    return Network(2 * count, tuple(bounds)), demands, {"a": 2, "b": draw(st.integers(1, 3))}


@given(shops())
@settings(deadline=None, max_examples=120)
def test_small_shops_agree_with_z3(shop: tuple[Network, tuple[Demand, ...], dict[str, int]]) -> None:
    """z3 on the same shop: at each start the demands then under way must not exceed what there is."""
    network, demands, capacities = shop
    if isinstance(consistency(network), Conflict):
        return
    times = [z3.Int(f"t{point}") for point in range(network.size)]
    solver = z3.Solver()
    for bound in network.bounds:
        solver.add(times[bound.target] - times[bound.source] <= bound.weight)
    for one in demands:
        under_way = [
            z3.If(z3.And(times[d.start] <= times[one.start], times[one.start] < times[d.end]), d.amount, 0)
            for d in demands
            if d.resource == one.resource
        ]
        solver.add(z3.Sum(under_way) <= capacities[one.resource])
    verdict = fit(network, demands, capacities)
    assert isinstance(verdict, Fits) is (solver.check() == z3.sat)
    assert isinstance(verdict, Fits | TooMuch)
