"""Time networks against published answers, general-purpose solvers, and the game played outright."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
import z3
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import NegativeCycleError, johnson

from sopc.trade.controllability import Kind, NotControllable, controllable, is_controllable, weakly_unworkable
from sopc.trade.controllability_repairs import smallest_change
from sopc.trade.network import (
    Bound,
    Conflict,
    Link,
    Network,
    Schedule,
    consistency,
    minimal_interval,
    smallest_relaxation,
    windows,
)
from tests.standards.time_game import staff_can_win

QUICK = settings(deadline=None, max_examples=100)


def network(links: str, edges: str) -> Network:
    """Build a network from the notation of the papers: links "(A,2,9,C)", edges "B->C 5; C->B -3"."""
    names: dict[str, int] = {}

    def point(name: str) -> int:
        return names.setdefault(name, len(names))

    found_links: list[Link] = []
    for number, text in enumerate(links.split()):
        start, low, high, end = text.strip("()").split(",")
        found_links.append(Link(point(start), int(low), int(high), point(end), ("link", number)))
    bounds: list[Bound] = []
    for text in edges.split("; "):
        pair, weight = text.rsplit(" ", 1)
        source, target = pair.split("->")
        bounds.append(Bound(point(source), point(target), int(weight), text))
    return Network(tuple(names), tuple(bounds), tuple(found_links))


COMMUTERS = (
    "x0->x1 20; x1->x0 -10; x1->x2 40; x2->x1 -30; x3->x2 20; x2->x3 -10; x3->x4 50; x4->x3 -40; x0->x4 70; x4->x0 -60"
)


class TestTwoCommuters:
    """Dechter, Meiri and Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991), figure 2."""

    def test_the_minimal_network(self) -> None:
        net = network("", COMMUTERS)
        at = {name: place for place, name in enumerate(net.points if isinstance(net.points, tuple) else ())}
        expected = [
            [0, 20, 50, 30, 70],
            [-10, 0, 40, 20, 60],
            [-40, -30, 0, -10, 30],
            [-20, -10, 20, 0, 50],
            [-60, -50, -20, -40, 0],
        ]
        order = [at[f"x{number}"] for number in range(5)]
        found = [[minimal_interval(net, row, column)[1] for column in order] for row in order]
        assert found == expected

    def test_when_each_leaves_and_arrives(self) -> None:
        net = network("", COMMUTERS)
        times = dict(zip(net.points if isinstance(net.points, tuple) else (), windows(net, 0), strict=True))
        assert times == {"x0": (0, 0), "x1": (10, 20), "x2": (40, 50), "x3": (20, 30), "x4": (60, 70)}

    def test_by_bus_and_carpool_they_cannot_meet(self) -> None:
        bus = COMMUTERS.replace("x1->x2 40", "x1->x2 999").replace("x2->x1 -30", "x2->x1 -60")
        verdict = consistency(network("", bus))
        assert isinstance(verdict, Conflict)
        assert verdict.shortfall == 20
        assert set(verdict.clauses) == {"x1->x0 -10", "x0->x4 70", "x4->x3 -40", "x3->x2 20", "x2->x1 -60"}

    def test_by_bus_and_car_they_can(self) -> None:
        bus = COMMUTERS.replace("x1->x2 40", "x1->x2 999").replace("x2->x1 -30", "x2->x1 -60")
        car = bus.replace("x3->x4 50", "x3->x4 30").replace("x4->x3 -40", "x4->x3 -20")
        assert isinstance(consistency(network("", car)), Schedule)


E8 = "B->A 0; C->A 0; D->A 0; D->C 0; "
E11 = "A->B 10; B->A -5; B->C 10; C->B -5; C->D 10; D->C -5; E->A 7; A->E -5; U->D -15"
DINNER = "(WS,30,60,SD) (SD,35,40,WH) (SC,25,30,DR)"
KNOWN = {
    "Hunsberger, slides p. 118": ("(A,2,9,C)", "B->C 5", "y y"),
    "Hunsberger 2023, figure 7a": ("(A,1,10,C)", "X->C 3; X->Y -2; Y->C 1; C->W -7", "y y"),
    "Morris 2014": ("(A,0,2,B) (C,0,3,D)", "B->E -2; E->B 4; B->D 1; D->B 3", "y n"),
    "Morris 2014, loosened": ("(A,0,2,B) (C,0,3,D)", "E->B 4; B->D 1", "y y"),
    "Nilsson et al., cooking dinner": (DINNER, "WH->DR 5; DR->WH 5", "y y"),
    "cooking dinner, tolerance 4": (DINNER, "WH->DR 4; DR->WH 4", "y n"),
    "course network dc-2": ("(A0,1,3,C0) (A1,1,10,C1)", "X->C0 12; C0->X -7; C0->C1 -1; C1->C0 11", "y y"),
    "FAPE test, width 10": ("(s,50,60,e)", "v->e 15; e->v -5", "y y"),
    "FAPE test, width 9": ("(s,50,60,e)", "v->e 15; e->v -6", "y n"),
    "FAPE test, 16": ("(B,10,15,C)", E8 + "A->D 16; D->A -16", "y y"),
    "FAPE test, 12": ("(B,10,15,C)", E8 + "A->D 12; D->A -12", "n n"),
    "FAPE test, six points": (
        "(a,5,10,b) (e,10,15,f)",
        "a->s 0; s->h 22; h->s -22; e->b -1; h->f -1",
        "n n",
    ),
    "Incremental DC revisited, figure 2": ("(A,5,50,U)", E11, "n n"),
}


@pytest.mark.parametrize("source", KNOWN)
def test_published_networks_get_their_published_verdicts(source: str) -> None:
    """Weak and dynamic controllability as published; sources in the keys (FAPE: a planner's public tests)."""
    links, edges, verdicts = KNOWN[source]
    net = network(links, edges)
    assert isinstance(consistency(net), Schedule)
    found = f"{'y' if weakly_unworkable(net) is None else 'n'} {'y' if is_controllable(net) else 'n'}"
    assert found == verdicts


def test_the_published_cycle_uses_one_link_twice() -> None:
    """Morris 2014: the cycle 4 - 2 + 0 + 1 - 3 + 0 + 3 - 2 + 0 - 2 = -1 passes the first link twice."""
    verdict = controllable(network(*KNOWN["Morris 2014"][:2]))
    assert isinstance(verdict, NotControllable)
    assert (verdict.kind, verdict.shortfall, len(verdict.walk)) == (Kind.WEAKLY_ONLY, 1, 10)
    times = {(use.clause, use.role.value): use.times for use in verdict.uses}
    assert times[("link", 0), "slowest"] == 2


@pytest.mark.parametrize(("gap", "works"), [(9, False), (10, True), (11, False)])
def test_cooking_dinner_has_one_right_start(gap: int, works: bool) -> None:
    """Nilsson, Kvarnström and Doherty, the dinner example: cooking starts exactly 10 after shopping is done."""
    net = network(DINNER, f"WH->DR 5; DR->WH 5; SD->SC {gap}; SC->SD {-gap}")
    assert is_controllable(net) is works


@pytest.mark.parametrize(("edge", "least"), [("A->D 12", 3), ("B->A 0", 3), ("D->C 0", 3), ("C->A 0", None)])
def test_published_network_needs_three_seconds_more(edge: str, least: int | None) -> None:
    """FAPE's test of 12 against 15: every single bound that can mend it needs 3."""
    net = network(*KNOWN["FAPE test, 12"][:2])
    (bound,) = [bound for bound in net.bounds if bound.clause == edge]
    assert smallest_change(net, bound) == least


@st.composite
def simple(draw: st.DrawFn) -> Network:
    size = draw(st.integers(2, 8))
    point = st.integers(0, size - 1)
    bound = st.builds(Bound, point, point, st.integers(-9, 14), st.integers(1, 5))
    return Network(size, tuple(b for b in draw(st.lists(bound, max_size=18)) if b.source != b.target))


def graph_of(net: Network) -> nx.DiGraph:
    graph = nx.DiGraph()
    graph.add_nodes_from(range(net.size))
    for bound in net.bounds:
        known = graph.get_edge_data(bound.source, bound.target, {"weight": bound.weight})["weight"]
        graph.add_edge(bound.source, bound.target, weight=min(known, bound.weight))
    return graph


@given(simple())
@QUICK
def test_consistency_agrees_with_networkx_and_scipy(net: Network) -> None:
    """A simple temporal network is consistent if and only if its distance graph has no negative cycle."""
    graph = graph_of(net)
    ours = isinstance(consistency(net), Schedule)
    assert ours is not nx.negative_edge_cycle(graph)
    edges = list(graph.edges(data="weight"))
    rows, columns, weights = ([edge[part] for edge in edges] for part in range(3))
    try:
        johnson(csr_array((np.array(weights, dtype=float), (rows, columns)), shape=(net.size, net.size)))
        theirs = True
    except NegativeCycleError:
        theirs = False
    assert ours is theirs


@given(simple())
@QUICK
def test_windows_agree_with_networkx(net: Network) -> None:
    """The minimal network is all shortest paths (Floyd and Warshall)."""
    assume(isinstance(consistency(net), Schedule))
    lengths = nx.floyd_warshall(graph_of(net))
    for point, window in enumerate(windows(net, 0)):
        latest, back = lengths[0].get(point, float("inf")), lengths[point].get(0, float("inf"))
        assert window.latest == (None if latest == float("inf") else latest)
        assert window.earliest == (None if back == float("inf") else -back)


@given(simple(), st.integers(1, 5))
@settings(deadline=None, max_examples=60)
def test_smallest_relaxations_agree_with_z3(net: Network, clause: int) -> None:
    """z3's optimizer on the same inequalities, with one unknown added to every bound of the clause."""
    times = [z3.Int(f"t{point}") for point in range(net.size)]
    delta = z3.Int("delta")
    solver = z3.Optimize()
    solver.add(delta >= 0)
    for bound in net.bounds:
        extra = delta if bound.clause == clause else 0
        solver.add(times[bound.target] - times[bound.source] <= bound.weight + extra)
    least = solver.minimize(delta)
    expected = solver.lower(least).as_long() if solver.check() == z3.sat else None
    assert smallest_relaxation(net, clause) == expected


@st.composite
def games(draw: st.DrawFn) -> Network:
    """Networks small enough to be played out: up to five points, one or two links."""
    size = draw(st.integers(3, 5))
    order = draw(st.permutations(range(size)))
    low, spread = st.integers(1, 3), st.integers(1, 4)
    first = draw(low)
    links = [Link(order[0], first, first + draw(spread), order[1], "first")]
    if size > 3 and draw(st.booleans()):
        second = draw(low)
        start = order[1] if draw(st.booleans()) else order[2]
        links.append(Link(start, second, second + draw(spread), order[3], "second"))
    pairs = draw(st.lists(st.permutations(range(size)), min_size=2, max_size=4))
    bounds: list[Bound] = []
    for number, (source, target, *_) in enumerate(pairs):
        least = draw(st.integers(-3, 5))
        bounds.append(Bound(source, target, least + draw(st.integers(0, 6)), number))
        bounds.append(Bound(target, source, -least, number))
    return Network(size, tuple(bounds), tuple(links))


@given(games())
@settings(deadline=None, max_examples=40)
def test_controllable_is_what_staff_can_win_against_the_machine(net: Network) -> None:
    """Vidal and Fargier 1999: dynamic controllability is a winning strategy; here the game is played out."""
    assert is_controllable(net) is staff_can_win(net, horizon=30)


@pytest.mark.long
@given(games())
@settings(deadline=None, max_examples=2_500)
def test_controllable_is_what_staff_can_win_in_thousands_of_games(net: Network) -> None:
    """The same claim as above over thousands of networks."""
    assert is_controllable(net) is staff_can_win(net, horizon=30)


@given(games())
@settings(deadline=None, max_examples=300)
def test_a_conflict_fails_by_itself_and_no_clause_of_it_is_superfluous(net: Network) -> None:
    """The lines named fail by themselves, in the way that is said; without any one of them they do not."""
    verdict = controllable(net)
    if not isinstance(verdict, NotControllable):
        return

    def only(clauses: set[object]) -> Network:
        bounds = tuple(bound for bound in net.bounds if bound.clause in clauses)
        return Network(net.size, bounds, tuple(link for link in net.links if link.clause in clauses))

    def works(part: Network) -> bool:
        if verdict.kind is Kind.INCONSISTENT:
            return isinstance(consistency(part), Schedule)
        return is_controllable(part)

    named = set(verdict.clauses)
    assert not works(only(named))
    assert all(works(only(named - {clause})) for clause in named)
    assert verdict.shortfall is not None
    assert sum(use.seconds or 0 for use in verdict.walk) == -verdict.shortfall < 0


@given(games())
@settings(deadline=None, max_examples=40)
def test_smallest_changes_are_what_a_search_second_by_second_finds(net: Network) -> None:
    """Relaxing is monotone, so the first second that helps is the least."""
    for bound in net.bounds[:3]:
        found = smallest_change(net, bound)
        helps = [delta for delta in range(30) if is_controllable(widened(net, bound, delta))]
        assert found == (helps[0] if helps else None)


def widened(net: Network, chosen: Bound, delta: int) -> Network:
    bounds = tuple(Bound(b.source, b.target, b.weight + (delta if b == chosen else 0), b.clause) for b in net.bounds)
    return Network(net.points, bounds, net.links)
