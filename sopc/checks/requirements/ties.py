"""Which things belong to each other: a log to the devices it is for, a task to what it is done on, and so on."""

from __future__ import annotations

from collections.abc import Callable

from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.verdicts import Candidate
from sopc.model.nouns import Doing, Procedure, Step

Tie = Callable[[Ground, Candidate, Candidate], bool]


def _used(ground: Ground, thing: Candidate, work: Candidate) -> bool:
    return thing.name in ground.used_by(work.record)


def _for_device(ground: Ground, device: Candidate, log: Candidate) -> bool:
    return device.name in log.record.for_devices


def _of_device(ground: Ground, device: Candidate, program: Candidate) -> bool:
    return program.device is device.record


def _handled(ground: Ground, item: Candidate, procedure: Candidate) -> bool:
    return item.name in procedure.record.handles


def _handling(ground: Ground, procedure: Candidate, item: Candidate) -> bool:
    return _handled(ground, item, procedure)


def _treated(ground: Ground, item: Candidate, step: Candidate) -> bool:
    return any(item.name in items_of(step, doing) for doing in step.record.does)


def items_of(step: Candidate, doing: Doing) -> tuple[str, ...]:
    """The items an action is done on: those named, or all that the procedure handles."""
    handled = step.procedure.handles if isinstance(step.procedure, Procedure) else ()
    return doing.items or handled


def _covered(ground: Ground, procedure: Candidate, training: Candidate) -> bool:
    return procedure.name in training.record.covers


def _taught(ground: Ground, role: Candidate, training: Candidate) -> bool:
    return role.name in training.record.roles


def _performed(ground: Ground, procedure: Candidate, task: Candidate) -> bool:
    return any(each.name == procedure.name for each in ground.performed(task.record))


def _recorded(ground: Ground, work: Candidate, log: Candidate) -> bool:
    return any(made.log == log.name for made in ground.records(work.record))


def _recording(ground: Ground, log: Candidate, work: Candidate) -> bool:
    return _recorded(ground, work, log)


def _part(ground: Ground, procedure: Candidate, step: Candidate) -> bool:
    return step.procedure is procedure.record


def _done_by(ground: Ground, role: Candidate, work: Candidate) -> bool:
    by = work.record.by
    return by is not None and role.name in {name for _, name in by.roles}


def _covering_step(ground: Ground, step: Candidate, training: Candidate) -> bool:
    return (
        isinstance(step.record, Step) and step.procedure is not None and step.procedure.name in training.record.covers
    )


TIES: dict[tuple[str, str], Tie] = {
    ("device", "task"): _used,
    ("device", "step"): _used,
    ("device", "procedure"): _used,
    ("device", "log"): _for_device,
    ("device", "program"): _of_device,
    ("supply", "task"): _used,
    ("supply", "step"): _used,
    ("supply", "procedure"): _used,
    ("item", "procedure"): _handled,
    ("item", "step"): _treated,
    ("procedure", "training"): _covered,
    ("procedure", "task"): _performed,
    ("procedure", "log"): _recorded,
    ("procedure", "step"): _part,
    ("procedure", "item"): _handling,
    ("step", "training"): _covering_step,
    ("step", "log"): _recorded,
    ("task", "log"): _recorded,
    ("training", "log"): _recorded,
    ("log", "task"): _recording,
    ("log", "step"): _recording,
    ("log", "procedure"): _recording,
    ("role", "training"): _taught,
    ("role", "step"): _done_by,
    ("role", "task"): _done_by,
}
"""For each pair of kinds whether the second one concerns the first."""


def akin(ground: Ground, one: Candidate, two: Candidate) -> bool:
    """Whether two things belong together in any way: the same, tied, or parts of one piece of work."""
    if one.record is two.record:
        return True
    for first, second in ((one, two), (two, one)):
        tie = TIES.get((first.kind, second.kind))
        if tie is not None and tie(ground, first, second):
            return True
    homes = [each.record if each.kind == "procedure" else each.procedure for each in (one, two)]
    if homes[0] is None or homes[1] is None:
        return False
    return any(each is homes[0] for each in ground.performed(homes[1])) or any(
        each is homes[1] for each in ground.performed(homes[0])
    )
