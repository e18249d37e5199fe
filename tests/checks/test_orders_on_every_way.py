"""By when a machine must be started, as printed, is early enough on every way there is."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from sopc.checks.paths import NodeKind, PathNode
from sopc.checks.time.durations import Lengths, rounded_down
from sopc.checks.time.orders import StartBy, orders_of
from sopc.checks.time.scenarios import Simulator
from sopc.model.nouns import Limit, Office, Procedure, Step, Together
from tests.checks.every_way import TooManyWaysError, done_at, is_at, ways
from tests.playthrough.small_works import accepted


def _out_of_hand(step: Step) -> bool:
    return bool(step.performs) or (step.takes is not None and step.takes.contingent)


def _to_come(simulator: Simulator, way: list[PathNode], limit: Limit) -> Iterator[tuple[str, int]]:
    """Each step that staff cannot hurry, begun while the limit runs, and the seconds from there to its later moment."""
    names = {node.step.name for node in way if node.kind is NodeKind.STEP and node.step is not None}
    running, begun = False, list[tuple[str, int]]()
    for node, start, end in () if names & set(limit.unless) else done_at(simulator, way):
        earlier = False
        for edge, clock in (("starts", start), ("ends", end)):
            if is_at(limit.later, node, edge) and running:
                yield from ((name, clock - since) for name, since in begun)
                running = False
            if is_at(limit.earlier, node, edge):
                running, begun, earlier = True, [], True
        if node.kind is NodeKind.STEP and node.step is not None and running and not earlier:
            begun += [(node.step.name, start)] if _out_of_hand(node.step) else []


def _most_to_come(office: Office, procedure: Procedure, limit: Limit) -> dict[str, int]:
    simulator = Simulator(Lengths(office), procedure)
    found: dict[str, int] = {}
    for way in ways(procedure):
        for name, seconds in _to_come(simulator, way, limit):
            found[name] = max(found.get(name, 0), seconds)
    return found


def _printed(office: Office, procedure: Procedure, limit: Limit, name: str) -> int | None:
    """The latest start that is printed at this step, as an order or as a limit of its own."""
    told = [each for each in orders_of(office, procedure) if isinstance(each, StartBy)]
    moments = [each.seconds for each in told if each.step == name and each.limit == limit]
    for own in procedure.limits:
        same = (own.earlier.step, own.earlier.edge) == (limit.earlier.step, limit.earlier.edge)
        if same and (own.later.step, own.later.edge) == (name, "starts") and own.most is not None and not own.unless:
            moments.append(rounded_down(own.most))
    return min(moments, default=None)


def _late(seed: int) -> Iterator[tuple[str, str, int | None, int]]:
    found = accepted(seed, timed=True)
    procedure = found[1].procedures["work"] if found else None
    if found is None or procedure is None or any(isinstance(part, Together) for part in procedure.parts):
        return
    for limit in procedure.limits:
        if limit.most is None:
            continue
        try:
            to_come = _most_to_come(found[1], procedure, limit)
        except TooManyWaysError:
            continue
        for name, seconds in to_come.items():
            yield name, str(limit.span), _printed(found[1], procedure, limit, name), rounded_down(limit.most) - seconds


@pytest.mark.parametrize("seeds", [range(16), (1078, 1141)])
def test_a_machine_started_in_time_leaves_time_for_all_that_may_come(seeds: range | tuple[int, ...]) -> None:
    looked_at = [each for seed in seeds for each in _late(seed)]
    assert [each for each in looked_at if each[2] is None or each[2] > each[3]] == []
    assert len(looked_at) >= 3


@pytest.mark.long
def test_thousands_of_machines_started_in_time_leave_time() -> None:
    looked_at = (each for seed in range(16, 3000) for each in _late(seed))
    assert [each for each in looked_at if each[2] is None or each[2] > each[3]] == []
