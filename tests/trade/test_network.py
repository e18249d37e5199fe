"""Time limits are met by a schedule or blamed on as few lines as clash."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.network import (
    Bound,
    Conflict,
    Link,
    Network,
    Repair,
    Schedule,
    consistency,
    minimal_interval,
    repairs,
    slack,
    smallest_relaxation,
    windows,
)

QUICK = settings(deadline=None, max_examples=150)


@st.composite
def networks(draw: st.DrawFn) -> Network:
    size = draw(st.integers(2, 6))
    point = st.integers(0, size - 1)
    bound = st.builds(Bound, point, point, st.integers(-12, 15), st.integers(1, 6))
    return Network(size, tuple(draw(st.lists(bound, max_size=14))))


def without(network: Network, clause: object) -> Network:
    return Network(network.points, tuple(b for b in network.bounds if b.clause != clause))


def relaxed(network: Network, clause: object, delta: int) -> Network:
    return Network(
        network.points,
        tuple(
            Bound(b.source, b.target, b.weight + delta, b.clause) if b.clause == clause else b for b in network.bounds
        ),
    )


@given(networks())
@QUICK
def test_a_schedule_meets_every_limit(network: Network) -> None:
    verdict = consistency(network)
    if isinstance(verdict, Schedule):
        assert min(verdict.times) == 0
        assert all(verdict.times[b.target] - verdict.times[b.source] <= b.weight for b in network.bounds)


@given(networks())
@QUICK
def test_a_conflict_is_a_closed_walk_through_each_point_once_and_too_long(network: Network) -> None:
    verdict = consistency(network)
    if isinstance(verdict, Conflict):
        follow = verdict.bounds[1:] + verdict.bounds[:1]
        assert all(one.target == two.source for one, two in zip(verdict.bounds, follow, strict=True))
        assert len({bound.source for bound in verdict.bounds}) == len(verdict.bounds)
        assert sum(bound.weight for bound in verdict.bounds) == -verdict.shortfall < 0


@given(networks())
@QUICK
def test_no_clause_of_a_conflict_is_superfluous(network: Network) -> None:
    verdict = consistency(network)
    if isinstance(verdict, Conflict):
        only = Network(network.size, tuple(b for b in network.bounds if b.clause in verdict.clauses))
        assert isinstance(consistency(only), Conflict)
        for clause in verdict.clauses:
            assert isinstance(consistency(without(only, clause)), Schedule)


@given(networks())
@QUICK
def test_the_same_network_gives_the_same_conflict(network: Network) -> None:
    assert consistency(network) == consistency(network)


@given(networks(), st.integers(1, 6))
@settings(deadline=None, max_examples=80)
def test_the_smallest_relaxation_is_what_a_search_second_by_second_finds(network: Network, clause: int) -> None:
    found = smallest_relaxation(network, clause)
    if found is None:
        assert isinstance(consistency(without(network, clause)), Conflict)
        return
    assert isinstance(consistency(relaxed(network, clause, found)), Schedule)
    if found:
        assert isinstance(consistency(relaxed(network, clause, found - 1)), Conflict)


def test_a_limit_used_in_two_passes_needs_half_of_the_excess() -> None:
    passes = Network(3, (Bound(0, 1, 4, "pass"), Bound(1, 2, 4, "pass"), Bound(2, 0, -13, "dry")))
    assert smallest_relaxation(passes, "pass") == 3
    assert smallest_relaxation(passes, passes.bounds[0]) == 5
    verdict = consistency(passes)
    assert isinstance(verdict, Conflict)
    assert repairs(passes, verdict) == [
        Repair("dry", 5, (passes.bounds[2],)),
        Repair("pass", 3, passes.bounds[:2]),
    ]


def test_the_shorter_of_two_conflicts_is_told() -> None:
    long = (Bound(0, 1, 1, "a"), Bound(1, 2, 1, "b"), Bound(2, 3, 1, "c"), Bound(3, 0, -9, "d"))
    short = (Bound(3, 4, 2, "e"), Bound(4, 3, -3, "f"))
    verdict = consistency(Network(5, long + short))
    assert verdict == Conflict(short, 1)


def test_laws_of_the_model_are_never_blamed_or_relaxed() -> None:
    network = Network(2, (Bound(1, 0, 0, None), Bound(0, 1, -5, "line 7")))
    verdict = consistency(network)
    assert isinstance(verdict, Conflict)
    assert verdict.clauses == ("line 7",)
    assert [repair.clause for repair in repairs(network, verdict)] == ["line 7"]


def test_a_limit_on_one_moment_against_itself_is_a_conflict() -> None:
    assert consistency(Network(1, (Bound(0, 0, -1, "x"),))) == Conflict((Bound(0, 0, -1, "x"),), 1)


def test_a_link_counts_as_a_range_that_staff_could_choose() -> None:
    network = Network(2, (Bound(0, 1, 20, "limit"),), (Link(0, 30, None, 1, "machine"),))
    verdict = consistency(network)
    assert isinstance(verdict, Conflict)
    assert verdict.clauses == ("limit", "machine")
    assert verdict.shortfall == 10


def test_a_point_that_nothing_holds_has_no_window() -> None:
    network = Network(("start", "wash", "never"), (Bound(0, 1, 60, "a"), Bound(1, 0, -20, "a")))
    assert windows(network, 0) == [(0, 0), (20, 60), (None, None)]
    assert minimal_interval(network, 1, 0) == (-60, -20)
    assert slack(network, network.bounds[0]) == 40


def test_no_points_no_trouble() -> None:
    assert consistency(Network(0, ())) == Schedule(())


def test_ten_thousand_points_in_a_row_are_no_burden() -> None:
    steps = [Bound(i + 1, i, -60, ("least", i)) for i in range(9_999)]
    steps += [Bound(i, i + 1, 300, ("most", i)) for i in range(9_999)]
    network = Network(10_000, (*steps, Bound(0, 9_999, 60 * 9_999 - 1, "whole")))
    verdict = consistency(network)
    assert isinstance(verdict, Conflict)
    assert (len(verdict.bounds), verdict.shortfall) == (10_000, 1)
