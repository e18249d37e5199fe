"""Machines take the time they take: limits hold whatever that is, or the lines that forbid it are named."""

from __future__ import annotations

import pytest

from sopc.trade.controllability import (
    Controllable,
    Kind,
    NotControllable,
    Role,
    controllable,
    is_controllable,
)
from sopc.trade.controllability_repairs import dynamic_repairs, smallest_change
from sopc.trade.network import Bound, Link, Network

SOAK = ("soak starts", "soak ends", "washer starts", "washer ends", "rinse")


def soak_then_wash(limit: int) -> Network:
    """A soak of 5 to 15, a washer of 35 to 50 that nobody sets, and a rinse at most `limit` after the soak began."""
    return Network(
        SOAK,
        (
            Bound(0, 1, 15, "soak"),
            Bound(1, 0, -5, "soak"),
            Bound(2, 1, 0, None),
            Bound(4, 3, 0, None),
            Bound(0, 4, limit, "limit"),
        ),
        (Link(2, 35, 50, 3, "washer"),),
    )


def test_a_limit_that_holds_for_the_slowest_washer_can_be_kept() -> None:
    assert is_controllable(soak_then_wash(55))


def test_a_limit_one_second_short_names_limit_soak_and_washer() -> None:
    verdict = controllable(soak_then_wash(54))
    assert isinstance(verdict, NotControllable)
    assert set(verdict.clauses) == {"limit", "washer", "soak"}
    assert verdict.shortfall == 1
    slowest = [use for use in verdict.uses if use.role is Role.SLOWEST]
    assert [(use.seconds, use.times) for use in slowest] == [(-50, 1)]


def test_the_conflict_says_for_which_machine_time_no_timing_works() -> None:
    verdict = controllable(soak_then_wash(54))
    assert isinstance(verdict, NotControllable)
    assert verdict.kind is Kind.NOT_WEAKLY
    assert [(link.clause, time) for link, time in verdict.unworkable] == [("washer", 50)]


def test_a_line_that_only_one_of_two_explanations_needs_is_left_out() -> None:
    network = Network(
        3,
        (Bound(0, 1, 2, "window"), Bound(1, 0, -1, "window")),
        (Link(0, 1, 2, 2, "first"), Link(2, 1, 3, 1, "second")),
    )
    verdict = controllable(network)
    assert isinstance(verdict, NotControllable)
    assert set(verdict.clauses) == {"window", "second"}


def test_twenty_slow_machines_in_a_row_are_named_as_what_no_timing_suits() -> None:
    links = tuple(Link(i, 60, 90, i + 1, ("machine", i)) for i in range(20))
    verdict = controllable(Network(21, (Bound(0, 20, 1_799, "whole"),), links))
    assert isinstance(verdict, NotControllable)
    assert verdict.kind is Kind.NOT_WEAKLY
    assert [time for _, time in verdict.unworkable] == [90] * 20


def test_each_line_of_the_conflict_is_offered_with_its_least_change() -> None:
    network = soak_then_wash(54)
    verdict = controllable(network)
    assert isinstance(verdict, NotControllable)
    offered = [(repair.clause, repair.role, repair.delta) for repair in dynamic_repairs(network, verdict)]
    assert offered == [
        ("limit", Role.BOUND, 1),
        ("washer", Role.SLOWEST, 1),
        ("soak", Role.BOUND, 1),
    ]


def just_in_time(least: int, most: int) -> Network:
    """A machine of 35 to 50; preparation of 5 to 15 must be done `least` to `most` before the machine ends."""
    return Network(
        ("machine starts", "machine ends", "prepare starts", "prepare ends"),
        (
            Bound(2, 3, 15, "prepare"),
            Bound(3, 2, -5, "prepare"),
            Bound(3, 1, most, "most"),
            Bound(1, 3, -least, "least"),
        ),
        (Link(0, 35, 50, 1, "machine"),),
    )


@pytest.mark.parametrize(("least", "most", "works"), [(0, 15, True), (0, 14, True), (1, 15, False), (1, 16, True)])
def test_being_ready_just_in_time_needs_the_machine_s_own_spread(least: int, most: int, works: bool) -> None:
    assert is_controllable(just_in_time(least, most)) is works


def test_knowing_the_machine_s_time_in_advance_would_be_needed() -> None:
    verdict = controllable(just_in_time(1, 15))
    assert isinstance(verdict, NotControllable)
    assert verdict.kind is Kind.WEAKLY_ONLY


def test_the_least_change_may_be_smaller_than_the_shortfall() -> None:
    network = Network(
        3,
        (Bound(1, 2, -1, "before"), Bound(2, 1, 2, "not long before")),
        (Link(0, 1, 10, 1, "machine"),),
    )
    assert smallest_change(network, network.bounds[0]) == 1
    assert smallest_change(network, network.bounds[1]) == 8
    assert smallest_change(network, network.links[0], Role.SLOWEST) == 8
    assert smallest_change(network, network.links[0], Role.FASTEST) == 8


def test_a_wait_that_nothing_ends_breaks_any_later_limit() -> None:
    network = Network(3, (Bound(2, 1, 0, None), Bound(0, 2, 86_400, "limit")), (Link(0, 60, None, 1, "dry"),))
    verdict = controllable(network)
    assert isinstance(verdict, NotControllable)
    assert verdict.clauses == ("limit", "dry")
    assert verdict.shortfall is None


def test_a_wait_that_nothing_ends_is_fine_without_a_limit() -> None:
    assert is_controllable(Network(3, (Bound(2, 1, 0, "after"),), (Link(0, 60, None, 1, "dry"),)))


def test_limiting_the_machine_itself_is_refused() -> None:
    verdict = controllable(Network(2, (Bound(0, 1, 40, "limit"),), (Link(0, 35, 50, 1, "machine"),)))
    assert isinstance(verdict, NotControllable)
    assert set(verdict.clauses) == {"limit", "machine"}
    assert verdict.shortfall == 10


def test_a_machine_that_always_takes_the_same_time_is_no_risk() -> None:
    network = Network(2, (Bound(0, 1, 40, "limit"),), (Link(0, 40, 40, 1, "machine"),))
    assert isinstance(controllable(network), Controllable)


def test_a_fixed_time_is_not_forgotten() -> None:
    network = Network(3, (Bound(2, 1, 0, None), Bound(0, 2, 39, "limit")), (Link(0, 40, 40, 1, "machine"),))
    verdict = controllable(network)
    assert isinstance(verdict, NotControllable)
    assert verdict.kind is Kind.INCONSISTENT


def test_what_cannot_work_with_any_timing_is_told_first() -> None:
    network = Network(3, (Bound(2, 1, 0, None), Bound(0, 2, 30, "limit")), (Link(0, 35, 50, 1, "machine"),))
    verdict = controllable(network)
    assert isinstance(verdict, NotControllable)
    assert (verdict.kind, verdict.shortfall) == (Kind.INCONSISTENT, 5)


def test_staff_are_told_how_long_to_hold() -> None:
    network = Network(3, (Bound(2, 1, 10, "not long before"),), (Link(0, 35, 50, 1, "machine"),))
    verdict = controllable(network)
    assert isinstance(verdict, Controllable)
    assert [(hold.point, hold.seconds) for hold in verdict.holds] == [(2, 40)]


@pytest.mark.parametrize(
    "links",
    [
        (Link(0, 5, 4, 1, "x"),),
        (Link(0, -1, 4, 1, "x"),),
        (Link(0, 1, 4, 1, "x"), Link(2, 1, 4, 1, "y")),
        (Link(0, 1, 4, 1, "x"), Link(1, 1, 4, 0, "y")),
        (Link(0, 1, 4, 0, "x"),),
    ],
)
def test_malformed_links_are_the_caller_s_mistake(links: tuple[Link, ...]) -> None:
    with pytest.raises(ValueError):
        is_controllable(Network(3, (), links))


def test_thousands_of_machines_in_a_row_need_no_deep_stack() -> None:
    count = 3_000
    links = tuple(Link(i, 60, 90, i + 1, ("machine", i)) for i in range(count))
    assert is_controllable(Network(count + 1, (Bound(0, count, 90 * count, "whole"),), links))
    assert not is_controllable(Network(count + 1, (Bound(0, count, 90 * count - 1, "whole"),), links))
