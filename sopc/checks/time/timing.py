"""Can the times be kept: on every way through a procedure, whatever the machines take?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.paths import Paths
from sopc.checks.report import asked_by, finding, line
from sopc.checks.time import believable
from sopc.checks.time.clashes import clash_of, told, without
from sopc.checks.time.crowded import Crowded
from sopc.checks.time.decisions import ways_of
from sopc.checks.time.durations import Lengths
from sopc.checks.time.foresight import Foresight
from sopc.checks.time.scenarios import Scenario, Simulator, TimeClause
from sopc.checks.time.times import ProcedureTimes, StepTimes, schedule_of
from sopc.checks.time.undecided import Undecided
from sopc.checks.time.unfolding import Unfolded
from sopc.findings import Finding, Note
from sopc.model.nouns import Decider, Device, Duration, Limit, Office, Point, Procedure, Step

__all__ = ["ProcedureTimes", "StepTimes", "check", "schedule_of"]


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what times promise.

    1. On every way through a procedure all limits can be kept together (T01).
    2. They can be kept whatever the machines take, knowing only what has been seen so far (T02).
    3. What a machine or the outcome decides has a longest time, and a program that is run has a length (T03).
    4. Where a machine could decide, the text says who does (T04).
    5. Every limit binds on some way (T05).
    6. What could not be looked at is said to be unproven (T06).
    7. A limit over steps that do not say how long they take is undecided (T07), never taken for kept.
    8. Times do not contradict other lines (T08 and T09, in `believable`).
    9. A limit is not kept only by one person doing two things at once (T10).
    10. It is not kept only by who knows beforehand how long a performed procedure takes: T02 where its steps simply
        follow each other, else undecided (T11).
    11. It is not kept only by who knows beforehand how a question beside it is answered (T12).

    A limit runs from each time its earlier moment comes to the next time its later moment comes: a wash repeated
    after inspection is not held to the limit that the first wash had to keep.
    """
    lengths = Lengths(office)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            yield from _open_ended(step.title, step.takes)
            yield from _length_unknown(office, step)
            yield from _undecided(office, step)
        yield from _procedure(lengths, procedure)
    for task in office.tasks.values():
        yield from _open_ended(task.title, task.takes)
    yield from believable.check(office)


def _open_ended(where: str, takes: Duration | None) -> Iterator[Finding]:
    if takes is None or takes.most is not None or takes.decider is Decider.STAFF:
        return
    what = f"until “{takes.until}”" if takes.until else "by machine"
    yield finding(
        "T03",
        takes.span,
        f"“{where}” lasts {what}, and the text sets no longest time.",
        floor="One day it takes for ever; no one is told when to stop waiting, and no later limit can be promised.",
        fix=f"`takes {takes.least} to … ` with the longest time to wait, and a `check` that says what then.",
        cause=f"open-ended {takes.span}",
    )


def _length_unknown(office: Office, step: Step) -> Iterator[Finding]:
    """A machine that runs for nobody knows how long: no limit across it could be promised."""
    if step.takes is not None or not step.runs:
        return
    run = step.runs[0]
    device = office.devices[run.device]
    program = device.programs[run.program]
    yield finding(
        "T03",
        run.span,
        f"“{step.title}” runs {device.title}, “{program.title}”, and nothing says how long that lasts.",
        floor="No one knows when to come back; no limit across the run can be promised.",
        fix="Write into the program `lasts … to … by machine`, from the maker's instructions.",
        notes=[Note("the program stands here", program.span)],
        cause=f"open-ended {program.span}",
    )


def _undecided(office: Office, step: Step) -> Iterator[Finding]:
    takes = step.takes
    if takes is None or takes.decider_stated or takes.most is None or takes.most == takes.least or step.runs:
        return
    used = (office.devices.get(name) for name in step.using)
    device: Device | None = next((each for each in used if each is not None and each.programs), None)
    if device is None:
        return
    yield finding(
        "T04",
        takes.span,
        f"“{step.title}” uses {device.title} and takes {takes.least} to {takes.most}: who decides how long?",
        floor="If the machine decides, limits after this step may be impossible to keep; read as now, staff decide.",
        fix=f"Write `by machine` or `by staff` after the range, or `runs {device.name} {next(iter(device.programs))}`.",
    )


def _procedure(lengths: Lengths, procedure: Procedure) -> Iterator[Finding]:
    bound = any(step.performs and step.takes and step.takes.most for step in procedure.steps())
    if not procedure.limits and not bound:
        return
    simulator = Simulator(lengths, procedure)
    ways, complete = ways_of(simulator)
    met: set[int] = set()
    dropped: set[TimeClause] = set()
    undecided, crowded, unfolded = Undecided(simulator), Crowded(simulator), Unfolded.of(lengths, procedure)
    foresight = Foresight(simulator)
    for answers in ways:
        scenario = simulator.play(answers)
        complete = complete and not scenario.broken_off
        if scenario.broken_off:
            continue
        met |= scenario.paired | scenario.lifted
        yield from _scenario(simulator, scenario, dropped)
        network = without(scenario.network(), dropped)
        undecided.look(scenario, network)
        crowded.look(scenario, network)
        unfolded.look(scenario, dropped)
        foresight.look(scenario, network)
    yield from unfolded.findings()
    yield from foresight.findings(dropped)
    yield from undecided.findings()
    yield from crowded.findings()
    for place, limit in enumerate(procedure.limits):
        if place not in met and complete and _reached(simulator.paths, limit):
            yield _never_binding(lengths.office, procedure, limit)
    if not complete:
        yield _unproven(procedure, len(ways))


def _scenario(simulator: Simulator, scenario: Scenario, dropped: set[TimeClause]) -> Iterator[Finding]:
    """All faults of one way. The line blamed for a fault is left out from then on, on the other ways too."""
    network = scenario.network()
    while True:
        clash = clash_of(without(network, dropped))
        if clash is None:
            return
        yield told(simulator, scenario, clash)
        dropped.add(clash.blamed)


def _reached(paths: Paths, limit: Limit) -> bool:
    """Whether some path leads to each of its steps; a step that none leads to is told by itself."""
    reachable = paths.reachable()
    names = {point.step for point in (limit.earlier, limit.later) if point.step is not None}
    return all(paths.entries.get(name) in reachable for name in names)


def _moment(procedure: Procedure, point: Point) -> str:
    edge = "the start" if point.edge == "starts" else "the end"
    if point.step is None:
        return f"{edge} of the procedure"
    step = procedure.step(point.step)
    return f"{edge} of “{step.title if step else point.step}”"


def _never_binding(office: Office, procedure: Procedure, limit: Limit) -> Finding:
    later, earlier = _moment(procedure, limit.later), _moment(procedure, limit.earlier)
    notes = []
    for point in (limit.earlier, limit.later):
        step = procedure.step(point.step) if point.step else None
        if step is not None:
            notes.append(Note(f"“{step.title}” stands at {line(step.span)}", step.span))
    return finding(
        "T05",
        limit.span,
        f"This limit never binds: on no way does {later} come after {earlier}.",
        floor="The limit is printed, but no one can tell from when to count.",
        fix="Name the two moments in the order in which they come: `limit LATER … after EARLIER …`.",
        notes=notes,
        asked_by=asked_by(office, limit),
    )


def _unproven(procedure: Procedure, looked_at: int) -> Finding:
    return finding(
        "T06",
        procedure.span,
        f"“{procedure.title}” has too many ways to look at each; its limits were tried on {looked_at} of them.",
        floor="They most likely hold, but that is not proven.",
        fix="Split the procedure in two, or ask fewer questions between the moments that limits name.",
    )
