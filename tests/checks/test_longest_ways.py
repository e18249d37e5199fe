"""The longest way between two moments is that found by going every way there is, and playing it takes as long."""

from __future__ import annotations

from collections.abc import Iterator

import networkx
import pytest

from sopc.checks.durations import Lengths
from sopc.checks.longest_ways import LongestWay, longest_way
from sopc.checks.paths import EdgeKind, NodeKind, PathNode, paths_of
from sopc.checks.scenarios import ClauseKind, Scenario, Simulator, TimeClause
from sopc.library import load_text
from sopc.model.nouns import Decider, Limit, Point, Procedure, Step, Together
from tests.playthrough.small_works import drawn

MOST_WAYS = 6_000


class _TooManyError(Exception):
    pass


def _ways(procedure: Procedure) -> Iterator[list[PathNode]]:
    """Every way through a procedure to an end, as the nodes it passes; nothing is kept of what was seen before."""
    paths = paths_of(procedure)
    stack: list[tuple[list[PathNode], dict[int, int]]] = [([paths.nodes[0]], {})]
    count = 0
    while stack:
        gone, used = stack.pop()
        node = gone[-1]
        if node.kind in (NodeKind.END, NodeKind.STOP):
            yield gone
            continue
        count += 1
        if count > MOST_WAYS:
            raise _TooManyError
        times = used.get(node.index, 0)
        for edge in paths.after[node.index]:
            if node.kind is NodeKind.REPEAT and (edge.kind is EdgeKind.AGAIN) != (times < (node.at_most or 0)):
                continue
            stack.append(([*gone, paths.nodes[edge.target]], used | {node.index: times + 1}))


def _weight(simulator: Simulator, node: PathNode) -> int:
    if node.kind is NodeKind.STEP and node.step is not None:
        return simulator.hardest.step(node.step)
    return simulator.hardest.procedure(node.performs) if node.kind is NodeKind.PERFORM else 0


def _spans(simulator: Simulator, way: list[PathNode], limit: Limit) -> Iterator[int]:
    """Seconds from each time the earlier moment comes to the next time the later does, unless it comes anew before."""
    clock, counting, machine = 0, None, False
    names = {node.step.name for node in way if node.kind is NodeKind.STEP and node.step is not None}
    if names & set(limit.unless):
        return
    for node in way:
        done = node.kind in (NodeKind.STEP, NodeKind.PERFORM)
        clock += simulator.reaction if done and machine else 0
        for edge in ("starts", "ends"):
            if _is(limit.later, node, edge) and counting is not None:
                yield clock - counting
                counting = None
            if _is(limit.earlier, node, edge):
                counting = clock
            if edge == "starts":
                clock += _weight(simulator, node)
        if done:
            takes = node.step.takes if node.kind is NodeKind.STEP and node.step is not None else None
            machine = takes is not None and takes.decider is Decider.MACHINE


def _is(point: Point, node: PathNode, edge: str) -> bool:
    if point.step is None:
        return edge == point.edge and node.kind is (NodeKind.START if edge == "starts" else NodeKind.END)
    step: Step | None = node.step if node.kind is NodeKind.STEP else None
    return step is not None and step.name == point.step and point.edge == edge


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
                spans = [span for way in _ways(procedure) for span in _spans(simulator, way, limit)]
            except _TooManyError:
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
