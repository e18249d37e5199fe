"""Every way through a small procedure, one after the other, and when each thing on it is done at its slowest."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.paths import EdgeKind, NodeKind, PathNode, paths_of
from sopc.checks.time.scenarios import Simulator
from sopc.model.nouns import Decider, Point, Procedure, Step

MOST_WAYS = 6_000


class TooManyWaysError(Exception):
    """More ways than a test has time for."""


def ways(procedure: Procedure) -> Iterator[list[PathNode]]:
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
            raise TooManyWaysError
        times = used.get(node.index, 0)
        for edge in paths.after[node.index]:
            if node.kind is NodeKind.REPEAT and (edge.kind is EdgeKind.AGAIN) != (times < (node.at_most or 0)):
                continue
            stack.append(([*gone, paths.nodes[edge.target]], used | {node.index: times + 1}))


def _weight(simulator: Simulator, node: PathNode) -> int:
    if node.kind is NodeKind.STEP and node.step is not None:
        return simulator.hardest.step(node.step)
    return simulator.hardest.procedure(node.performs) if node.kind is NodeKind.PERFORM else 0


def done_at(simulator: Simulator, way: list[PathNode]) -> Iterator[tuple[PathNode, int, int]]:
    """Each node of a way with the seconds at which it starts and ends, in a row, machines being reacted to."""
    clock, machine = 0, False
    for node in way:
        done = node.kind in (NodeKind.STEP, NodeKind.PERFORM)
        clock += simulator.reaction if done and machine else 0
        start = clock
        clock += _weight(simulator, node)
        yield node, start, clock
        if done:
            takes = node.step.takes if node.kind is NodeKind.STEP and node.step is not None else None
            machine = takes is not None and takes.decider is Decider.MACHINE


def is_at(point: Point, node: PathNode, edge: str) -> bool:
    """Whether this moment is when the node, as `edge` says, starts or ends."""
    if point.step is None:
        return edge == point.edge and node.kind is (NodeKind.START if edge == "starts" else NodeKind.END)
    step: Step | None = node.step if node.kind is NodeKind.STEP else None
    return step is not None and step.name == point.step and point.edge == edge
