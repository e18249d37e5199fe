"""The longest way between two moments is that found by going every way there is, and playing it takes as long."""

from __future__ import annotations

from collections.abc import Iterator

import networkx
import pytest

from sopc.checks.paths import NodeKind, PathNode
from sopc.checks.time.durations import Lengths
from sopc.checks.time.longest_ways import LongestWay, longest_way
from sopc.checks.time.scenarios import ClauseKind, Scenario, Simulator, TimeClause
from sopc.library import load_text
from sopc.model.nouns import Limit, Together
from tests.checks.every_way import TooManyWaysError, done_at, is_at, ways
from tests.playthrough.small_works import drawn


def _spans(simulator: Simulator, way: list[PathNode], limit: Limit) -> Iterator[int]:
    """Seconds from each time the earlier moment comes to the next time the later does, unless it comes anew before."""
    counting = None
    names = {node.step.name for node in way if node.kind is NodeKind.STEP and node.step is not None}
    for node, start, end in () if names & set(limit.unless) else done_at(simulator, way):
        for edge, clock in (("starts", start), ("ends", end)):
            if is_at(limit.later, node, edge) and counting is not None:
                yield clock - counting
                counting = None
            if is_at(limit.earlier, node, edge):
                counting = clock


def _played(scenario: Scenario, limit: Limit) -> list[int]:
    """Seconds from the first point to each end of a step, by networkx, and of those what the limit spans."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(scenario.points))
    for bound in scenario.bounds:
        limits = isinstance(bound.clause, TimeClause) and bound.clause.kind is ClauseKind.LIMIT
        if bound.weight <= 0 and not limits:
            known = graph.get_edge_data(bound.target, bound.source, {"weight": 0})["weight"]
            graph.add_edge(bound.target, bound.source, weight=max(-bound.weight, known))
    for link in scenario.links:
        graph.add_edge(link.activation, link.contingent_end, weight=link.high)
    moments = {0: 0}
    for point in networkx.topological_sort(graph):
        before = (moments[one] + data["weight"] for one, _, data in graph.in_edges(point, data=True))
        moments[point] = max(before, default=0)
    return [
        moments[bound.target] - moments[bound.source]
        for bound in scenario.bounds
        if bound.weight > 0 and isinstance(bound.clause, TimeClause) and bound.clause.span == limit.span
    ]


def _looked_at(seed: int) -> Iterator[tuple[Simulator, Limit, int, LongestWay | None]]:
    office, _ = load_text(drawn(seed, timed=True))
    if office is None:
        return
    for procedure in office.procedures.values():
        if any(isinstance(part, Together) for part in procedure.parts):
            continue
        simulator = Simulator(Lengths(office), procedure)
        for limit in procedure.limits:
            if limit.most is None:
                continue
            try:
                spans = [span for way in ways(procedure) for span in _spans(simulator, way, limit)]
            except TooManyWaysError:
                continue
            yield simulator, limit, max(spans, default=-1), longest_way(simulator, limit)


def _agrees(simulator: Simulator, limit: Limit, expected: int, found: LongestWay | None) -> None:
    assert (found.seconds if found else -1) == expected
    if found is not None:
        scenario = simulator.play(found.answers)
        assert not scenario.broken_off
        assert expected in _played(scenario, limit)


@pytest.mark.parametrize("start", range(0, 100, 50))
def test_no_way_is_longer(start: int) -> None:
    looked_at = [each for seed in range(start, start + 50) for each in _looked_at(seed)]
    for each in looked_at:
        _agrees(*each)
    assert len(looked_at) > 20
    assert any(each[3] is None for each in looked_at) or start


@pytest.mark.long
def test_no_way_is_longer_in_thousands() -> None:
    for seed in range(100, 3000):
        for each in _looked_at(seed):
            _agrees(*each)
