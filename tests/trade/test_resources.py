"""One sterilizer and two pairs of hands: what fits is given an order, what does not is named."""

from __future__ import annotations

import pytest

from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Link, Network
from sopc.trade.resources import Demand, Fits, TooMuch, Undecided, fit


def jobs(lengths: list[int], within: int) -> Network:
    """Jobs of fixed lengths, points 2i and 2i + 1, all started and done between a first and a last point."""
    first, last = 2 * len(lengths), 2 * len(lengths) + 1
    bounds = [Bound(first, last, within, "within")]
    for job, length in enumerate(lengths):
        start, end = 2 * job, 2 * job + 1
        bounds += [Bound(start, end, length, ("job", job)), Bound(end, start, -length, ("job", job))]
        bounds += [Bound(start, first, 0, None), Bound(last, end, 0, None)]
    return Network(last + 1, tuple(bounds))


def uses(count: int, resource: str = "sterilizer", amount: int = 1) -> tuple[Demand, ...]:
    return tuple(Demand(2 * job, 2 * job + 1, resource, amount, ("job", job)) for job in range(count))


def test_two_loads_fit_one_sterilizer_one_after_the_other() -> None:
    network = jobs([30, 40], within=70)
    verdict = fit(network, uses(2), {"sterilizer": 1})
    assert isinstance(verdict, Fits)
    assert len(verdict.order) == 1


def test_two_loads_do_not_fit_when_a_second_is_missing() -> None:
    verdict = fit(jobs([30, 40], within=69), uses(2), {"sterilizer": 1})
    assert isinstance(verdict, TooMuch)
    assert verdict.demands == uses(2)
    assert {bound.clause for bound in verdict.bounds} == {None, "within", ("job", 0), ("job", 1)}


def test_with_a_second_sterilizer_they_do() -> None:
    verdict = fit(jobs([30, 40], within=40), uses(2), {"sterilizer": 2})
    assert verdict == Fits(())


def test_three_loads_two_sterilizers() -> None:
    assert isinstance(fit(jobs([30, 30, 30], within=60), uses(3), {"sterilizer": 2}), Fits)
    assert isinstance(fit(jobs([30, 30, 30], within=59), uses(3), {"sterilizer": 2}), TooMuch)


def test_a_demand_beyond_capacity_is_named_alone() -> None:
    (demand,) = uses(1, "assistant", 3)
    assert fit(jobs([10], within=100), (demand,), {"assistant": 2}) == TooMuch(("assistant",), (demand,), ())


def test_a_demand_that_is_not_needed_for_the_clash_is_not_named() -> None:
    demands = (*uses(3), Demand(0, 1, "assistant", 1, "hands"))
    verdict = fit(jobs([30, 30, 30], within=80), demands, {"sterilizer": 1, "assistant": 1})
    assert isinstance(verdict, TooMuch)
    assert verdict.resources == ("sterilizer",)
    assert verdict.demands == uses(3)


def test_what_takes_no_time_holds_nothing() -> None:
    assert isinstance(fit(jobs([0, 30], within=30), uses(2), {"sterilizer": 1}), Fits)


def test_a_machine_may_be_handed_over_at_the_very_moment_it_is_free() -> None:
    network = Network(
        4, (Bound(0, 1, 5, "a"), Bound(1, 0, -5, "a"), Bound(1, 2, 0, "b"), Bound(2, 1, 0, "b"), Bound(3, 2, -5, "c"))
    )
    assert isinstance(fit(network, uses(2), {"sterilizer": 1}), Fits)


def machine_then_hands(limit: int) -> tuple[Network, tuple[Demand, ...]]:
    """A machine of 20 to 40 to be unloaded (5) within `limit` of its end; another job of 30 for the same hands."""
    network = Network(
        6,
        (
            Bound(2, 1, 0, None),
            Bound(1, 2, limit, "unload soon"),
            Bound(2, 3, 5, "unload"),
            Bound(3, 2, -5, "unload"),
            Bound(4, 5, 30, "other job"),
            Bound(5, 4, -30, "other job"),
            Bound(0, 4, 10, "other job soon"),
            Bound(4, 0, 0, None),
        ),
        (Link(0, 20, 40, 1, "machine"),),
    )
    return network, (Demand(2, 3, "assistant", 1, "unload"), Demand(4, 5, "assistant", 1, "other job"))


def test_an_order_is_proven_against_every_machine_time() -> None:
    network, demands = machine_then_hands(limit=10)
    verdict = fit(network, demands, {"assistant": 1})
    assert isinstance(verdict, Fits)
    posted = Network(network.points, (*network.bounds, *(before.bound for before in verdict.order)), network.links)
    assert is_controllable(posted)


def test_what_fits_only_for_some_machine_times_is_left_undecided() -> None:
    network, demands = machine_then_hands(limit=9)
    assert isinstance(fit(network, demands, {"assistant": 1}), Undecided)


def test_too_many_orders_are_left_undecided() -> None:
    verdict = fit(jobs([7] * 9, within=7 * 9 - 1), uses(9), {"sterilizer": 1}, most_tries=50)
    assert isinstance(verdict, Undecided)


def test_limits_that_fail_anyway_are_not_blamed_on_machines() -> None:
    with pytest.raises(ValueError):
        fit(jobs([30], within=20), uses(1), {"sterilizer": 1})
