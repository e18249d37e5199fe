"""When each step of a procedure can be done, for paper: earliest, latest, slack, and the hands it needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from sopc.checks.paths import NodeKind
from sopc.checks.time.durations import MACHINES, Length, Lengths, hands_on
from sopc.checks.time.scenarios import Scenario, Simulator
from sopc.model.nouns import Office, Procedure, Step
from sopc.trade.network import Conflict, Network, Window, consistency, windows

MOST_WAYS = 40


@dataclass(frozen=True, slots=True)
class StepTimes:
    """Seconds. `earliest` and `latest` are when the step can start, counted from the start of the procedure.

    `latest` and `slack` are None where no limit holds the step. `most` is None where the text sets no upper end.
    Over all ways through the procedure: the earliest at which it may come on any of them, and the latest that is in
    time on all of them, whatever the machines take. First pass.
    """

    step: Step
    earliest: int
    latest: int | None
    least: int
    most: int | None

    @property
    def slack(self) -> int | None:
        """How long the step's start can wait."""
        return None if self.latest is None else self.latest - self.earliest


@dataclass(frozen=True, slots=True)
class ProcedureTimes:
    """Seconds. Totals are from start to normal end, one pass; (least, most) of hands-on time by role, and of machines.

    `most` is None where the text sets no upper end.
    """

    steps: Mapping[str, StepTimes]
    least: int
    most: int | None
    hands_on: Mapping[str, tuple[int, int | None]]
    machines: tuple[int, int | None] = (0, 0)


def schedule_of(office: Office, procedure: Procedure) -> ProcedureTimes:
    """Return the times of a procedure; its limits are left out when they cannot be kept together."""
    lengths = Lengths(office)
    found: dict[str, StepTimes] = {}
    simulator = Simulator(lengths, procedure)
    for answers in _ways(simulator):
        _note(lengths, simulator, simulator.play(answers), found)
    whole = lengths.of(procedure)
    in_order = {step.name: found[step.name] for step in procedure.steps() if step.name in found}
    work = hands_on(office, procedure)
    machines = work.pop(MACHINES, (0, 0))
    return ProcedureTimes(in_order, whole.least, whole.most, work, machines)


def _ways(simulator: Simulator) -> list[dict[int, int]]:
    """The plain way, and one way into every other way of a choice."""
    ways: list[dict[int, int]] = [{}]
    for node in simulator.paths.nodes:
        if node.kind is NodeKind.CHOICE:
            ways += [{node.index: answer} for answer in range(1, len(simulator.paths.after[node.index]))]
    return ways[:MOST_WAYS]


def _note(lengths: Lengths, simulator: Simulator, scenario: Scenario, found: dict[str, StepTimes]) -> None:
    if isinstance(consistency(scenario.network()), Conflict):
        scenario = Simulator(lengths, replace(simulator.procedure, limits=())).play(scenario.answers)
    network = scenario.network()
    if isinstance(consistency(network), Conflict):
        return
    moments = _moments(network)
    for occurrence in scenario.occurrences:
        moment = moments[occurrence.start]
        length = lengths.step(occurrence.step)
        here = StepTimes(occurrence.step, moment.earliest or 0, moment.latest, length.least, length.most)
        known = found.get(occurrence.step.name)
        found[occurrence.step.name] = here if known is None else _wider(known, here, length)


def _moments(network: Network) -> list[Window]:
    """The earliest time of each point, and the latest at which all is still kept whatever the machines take.

    Taken as free, a machine would be thought to finish early whenever that is wanted; so the latest is looked for
    with every machine at its longest, and at its shortest, and the earlier of the two counts.
    """
    free = windows(network, 0)
    if not network.links:
        return free
    pinned = [network.pinned(longest) for longest in (True, False)]
    if any(isinstance(consistency(each), Conflict) for each in pinned):
        return free  # the clash is a finding of its own
    slowest, quickest = (windows(each, 0) for each in pinned)
    return [
        Window(window.earliest, min((each.latest for each in (slow, quick) if each.latest is not None), default=None))
        for window, slow, quick in zip(free, slowest, quickest, strict=True)
    ]


def _wider(one: StepTimes, other: StepTimes, length: Length) -> StepTimes:
    latest = min((each.latest for each in (one, other) if each.latest is not None), default=None)
    return StepTimes(one.step, min(one.earliest, other.earliest), latest, length.least, length.most)
