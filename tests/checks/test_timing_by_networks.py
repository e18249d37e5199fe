"""Time checks of random procedures against every combination of ways, each decided by networkx."""

from __future__ import annotations

from itertools import product

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.time import timing
from tests.checks.small_offices import found

Timed = tuple[str, int, int]  # step, least and most minutes
Place = tuple[str, list[list[Timed]]]  # "step", "when" or "choose", and the steps of each way


@st.composite
def timed(draw: st.DrawFn, name: str) -> Timed:
    least = draw(st.integers(0, 20))
    return name, least, least + draw(st.integers(0, 10))


@st.composite
def places(draw: st.DrawFn) -> list[Place]:
    found_places: list[Place] = []
    for place in range(draw(st.integers(2, 5))):
        kind = draw(st.sampled_from(["step", "step", "when", "choose"]))
        if kind != "choose":
            way = [draw(timed(f"s{place}"))]
            found_places.append((kind, [way] if kind == "step" else [way, []]))
            continue
        ways = [[draw(timed(f"s{place}{side}{number}")) for number in range(draw(st.integers(0, 2)))] for side in "xy"]
        found_places.append((kind, ways))
    return found_places


Limit = tuple[str, str, str, str, int | None, int | None]  # later, edge, earlier, edge, least, most


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[Place], list[Limit]]:
    layout = draw(places())
    names = [name for _, ways in layout for way in ways for name, _, _ in way]
    limits: list[Limit] = []
    for _ in range(draw(st.integers(1, 3)) if len(names) > 1 else 0):
        first, second = sorted(draw(st.lists(st.sampled_from(range(len(names))), min_size=2, max_size=2, unique=True)))
        most = draw(st.integers(0, 60))
        least = draw(st.one_of(st.none(), st.integers(0, most)))
        edges = draw(st.sampled_from(["starts", "ends"])), draw(st.sampled_from(["starts", "ends"]))
        limits.append((names[second], edges[0], names[first], edges[1], least, most))
    return layout, limits


def text_of(layout: list[Place], limits: list[Limit]) -> str:
    def steps(way: list[Timed], more: str = "") -> str:
        return "".join(
            f'step {name} "{name}" {{ takes {least} min to {most} min {more} }}\n' for name, least, most in way
        )

    body = ""
    for kind, ways in layout:
        if kind == "choose":
            inside = " ".join(f'way "{number}" {{ {steps(way)} }}' for number, way in enumerate(ways))
            body += f'choose "Which?" {{ {inside} }}\n'
        else:
            body += steps(ways[0], 'when "so"' if kind == "when" else "")
    for later, one, earlier, other, least, most in limits:
        bound = f"within {most} min" if least is None else f"at least {least} min and within {most} min"
        body += f"limit {later} {one} {bound} after {earlier} {other}\n"
    return f'procedure work "Work" {{ by assistant\n{body} }}\n'


def possible(way: list[Timed], limits: list[Limit]) -> bool:
    """Whether one sequence of steps can be timed so that every limit between two of them is kept."""
    graph = networkx.MultiDiGraph()
    before = None
    for name, least, most in way:
        start, end = (name, "starts"), (name, "ends")
        graph.add_edge(start, end, weight=most)
        graph.add_edge(end, start, weight=-least)
        if before is not None:
            graph.add_edge(start, before, weight=0)
        before = end
    done = {name for name, _, _ in way}
    for later, one, earlier, other, least, most in limits:
        if {later, earlier} <= done:
            graph.add_edge((earlier, other), (later, one), weight=most)
            graph.add_edge((later, one), (earlier, other), weight=-(least or 0))
    return not networkx.negative_edge_cycle(graph)


@settings(max_examples=150, deadline=None)
@given(cases())
def test_a_fault_is_told_exactly_when_some_way_cannot_be_timed(case: tuple[list[Place], list[Limit]]) -> None:
    layout, limits = case
    sequences = [[step for way in ways for step in way] for ways in product(*(ways for _, ways in layout))]
    fine = all(possible(sequence, limits) for sequence in sequences)
    told = [finding for finding in found(timing.check, text_of(layout, limits)) if finding.code in ("T01", "T02")]
    assert (not told) == fine
