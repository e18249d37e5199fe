"""Points that only follow can be left out: who can keep the smaller network can keep the whole, and the reverse."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from sopc.trade import plain_search
from sopc.trade.controllability import check_links, is_controllable
from sopc.trade.followers import without_followers
from sopc.trade.least_weight import least_weight
from sopc.trade.network import Bound, Link, Network
from sopc.trade.plain_search import PlainSearch
from sopc.trade.semireducible import Search
from tests.bench.networks import procedure_shaped
from tests.standards.time_game import staff_can_win


def bounds_left(net: Network) -> set[tuple[int, int, int]]:
    return {(bound.source, bound.target, bound.weight) for bound in without_followers(net).bounds}


WASHER = Link(0, 35, 50, 1, "washer")


def test_an_end_that_follows_the_machine_hands_its_hour_on_to_it() -> None:
    """Emptying takes 2 from when the machine is done, and must be over 60 after it began."""
    net = Network(3, (Bound(2, 1, -2, "empty"), Bound(0, 2, 60, "hour")), (WASHER,))
    assert bounds_left(net) == {(0, 1, 58)}


def test_a_row_of_followers_is_one_bound() -> None:
    row = tuple(Bound(point + 1, point, -point, "next") for point in range(1, 6))
    net = Network(7, (*row, Bound(0, 6, 90, "hour")), (WASHER,))
    assert bounds_left(net) == {(0, 1, 90 - (1 + 2 + 3 + 4 + 5))}


def test_who_must_come_not_long_before_something_stays() -> None:
    """To come early would be too early: the machine may end only so soon after it."""
    for soon, kept in ((1, False), (15, False), (16, True)):
        net = Network(3, (Bound(2, 1, soon, "not long before"), Bound(1, 2, -1, "before")), (WASHER,))
        assert bounds_left(net) == {(2, 1, soon), (1, 2, -1)}
        assert is_controllable(net) is kept


def test_what_waits_for_nothing_and_what_has_no_hour_binds_nobody() -> None:
    net = Network(4, (Bound(0, 2, -5, "before"), Bound(3, 1, 4, "at most 4 before, as late as you like")), (WASHER,))
    assert bounds_left(net) == set()


def test_points_that_wait_for_each_other_for_ever_stay_impossible() -> None:
    net = Network(5, (Bound(2, 3, -1, "a"), Bound(3, 4, 0, "b"), Bound(4, 2, 0, "c")), (WASHER,))
    assert not is_controllable(net)
    assert is_controllable(Network(5, (Bound(2, 3, 0, "a"), Bound(3, 4, 0, "b"), Bound(4, 2, 0, "c")), (WASHER,)))


def test_a_point_to_keep_is_kept() -> None:
    net = Network(3, (Bound(2, 1, -2, "empty"), Bound(0, 2, 60, "hour")), (WASHER,))
    left = without_followers(net, [2])
    assert {(bound.source, bound.target, bound.weight) for bound in left.bounds} == {(2, 1, -2), (0, 2, 60)}


def test_a_link_that_always_lasts_the_same_is_no_machine() -> None:
    net = Network(4, (Bound(3, 2, 0, "after"), Bound(0, 3, 60, "hour")), (WASHER, Link(1, 10, 10, 2, "rest")))
    assert bounds_left(net) == {(0, 1, 50)}
    assert is_controllable(net)
    assert not is_controllable(Network(4, (Bound(3, 2, 0, "after"), Bound(0, 3, 59, "hour")), net.links))


@st.composite
def crowds(draw: st.DrawFn, most_points: int = 12) -> Network:
    """Up to four links, also endless, instant and fixed ones, and points of which many only follow."""
    size = draw(st.integers(4, most_points))
    order = draw(st.permutations(range(size)))
    links = []
    for number in range(draw(st.integers(1, min(4, size // 2)))):
        low = draw(st.integers(0, 3))
        high = draw(st.sampled_from([low, low + 1, low + 4, None])) if size > 5 else low + draw(st.integers(0, 3))
        start = order[draw(st.integers(0, 2 * number))] if draw(st.booleans()) else order[2 * number]
        if start != order[2 * number + 1]:
            links.append(Link(start, low, high, order[2 * number + 1], number))
    point = st.integers(0, size - 1)
    waits = st.builds(Bound, point, point, st.integers(-3, 0), st.just("wait"))
    hours = st.builds(Bound, point, point, st.integers(0, 12), st.just("hour"))
    any_bound = st.builds(Bound, point, point, st.integers(-4, 9), st.just("any"))
    ends = st.sampled_from([link.contingent_end for link in links] or [0])
    shortly = st.builds(Bound, point, ends, st.integers(1, 3), st.just("not long before"))
    found = draw(st.lists(waits, max_size=2 * size)) + draw(st.lists(hours, max_size=size))
    # From a point to itself seldom: it makes all else pointless.
    found = [
        b for b in (*found, *draw(st.lists(any_bound | shortly, max_size=3))) if b.source != b.target or b.weight >= 0
    ]
    if draw(st.booleans()):
        # Every wait is for what stands earlier in one order, so that no two wait for each other.
        rank = {each: place for place, each in enumerate(order)}
        ahead = [b.weight < 0 and rank[b.source] < rank[b.target] for b in found]
        found = [
            Bound(b.target, b.source, b.weight, b.clause) if turn else b for b, turn in zip(found, ahead, strict=True)
        ]
    return Network(size, tuple(found), tuple(links))


def agree(net: Network) -> None:
    check_links(net)
    whole, left = Search(net).run(), without_followers(net)
    assert Search(left).run() is whole
    kept = without_followers(net, range(0, net.size, 2))
    assert Search(kept).run() is whole
    assert [PlainSearch(each).run() for each in (net, left, kept)] == [whole] * 3


@given(crowds())
@settings(deadline=None, max_examples=300)
def test_the_smaller_network_has_the_same_answer(net: Network) -> None:
    agree(net)


@pytest.mark.long
@given(crowds())
@settings(deadline=None, max_examples=40_000)
def test_the_smaller_network_has_the_same_answer_tens_of_thousands_of_times(net: Network) -> None:
    agree(net)


def play(net: Network) -> None:
    """The game has no third move in one step: a link begun by the end of another must last at least a second."""
    ends = {link.contingent_end for link in net.links}
    assume(all(link.low > 0 or link.activation not in ends for link in net.links))
    assert Search(without_followers(net)).run() is staff_can_win(net, horizon=26)


@given(crowds(most_points=5))
@settings(deadline=None, max_examples=40)
def test_the_smaller_network_is_won_where_the_whole_one_is(net: Network) -> None:
    """Played outright on the whole network, decided on the smaller one."""
    play(net)


@pytest.mark.long
@given(crowds(most_points=6))
@settings(deadline=None, max_examples=3_000)
def test_the_smaller_network_is_won_in_thousands_of_games(net: Network) -> None:
    assume(all(link.high is not None for link in net.links))
    play(net)


@given(crowds(), st.data())
@settings(deadline=None, max_examples=60)
def test_the_least_weight_is_what_going_second_by_second_finds(net: Network, data: st.DataObject) -> None:
    point = st.integers(0, net.size - 1)
    pairs = data.draw(st.lists(st.tuples(point, point).filter(lambda pair: pair[0] != pair[1]), min_size=1, max_size=3))

    def kept(weight: int) -> bool:
        asked = tuple(Bound(*pair, weight, "asked") for pair in pairs)
        return Search(Network(net.size, (*net.bounds, *asked), net.links)).run()

    fits = [weight for weight in range(2, 41) if kept(weight)]
    assert least_weight(net, pairs, 2, 40) == (fits[0] if fits else None)


def shaken(seed: str) -> Network:
    """Some dozens of steps in a row with machines, limits from one to another near to what can be kept."""
    chance = Random(seed)
    steps = chance.randint(5, 40)
    net = procedure_shaped(steps, steps // 3, chance.randrange(10**6))
    more = []
    for _ in range(chance.randint(1, 6)):
        one, other = sorted(chance.sample(range(2 * steps), 2))
        more.append(Bound(one, other, (other - one) * chance.randint(150, 600), "limit"))
        if chance.random() < 0.3:
            more.append(Bound(other, one, -chance.randint(1, (other - one) * 60), "wait"))
    return Network(net.size, (*net.bounds, *more), net.links)


def both_ways(seeds: range) -> None:
    found = Counter[bool]()
    for seed in seeds:
        net = shaken(f"shaken {seed}")
        answer = Search(net).run()
        assert PlainSearch(net).run() is answer
        assert is_controllable(net) is answer
        found[answer] += 1
    assert min(found[True], found[False]) > len(seeds) / 10


@pytest.mark.parametrize("most_held", [0, plain_search.MOST_HELD])
def test_the_search_in_numbers_answers_as_the_one_with_reasons(most_held: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plain_search, "MOST_HELD", most_held)
    both_ways(range(150))


@pytest.mark.long
def test_the_search_in_numbers_answers_as_the_one_with_reasons_ten_thousand_times() -> None:
    both_ways(range(10_000))
