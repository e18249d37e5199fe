"""Says which papers a change touches and which roles work by what changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields

from sopc.changes.change import Change, How, Kind
from sopc.changes.meaning import is_record
from sopc.documents.training_plan import roles_concerned
from sopc.model.nouns import Circuit, Document, Log, Office, Performers, Procedure, Step, Task, WayLimit

REGISTERS: dict[Kind, tuple[str, ...]] = {
    Kind.SOURCE: ("Requirements",),
    Kind.ROLE: ("Tasks and their days", "Training plan"),
    Kind.DEVICE: ("Equipment",),
    Kind.SUPPLY: ("Dilutions",),
    Kind.PROCEDURE: ("Index", "Training sign-off"),
    Kind.TASK: ("Tasks and their days",),
    Kind.LOG: ("Forms",),
    Kind.TRAINING: ("Training plan",),
    Kind.REQUIREMENT: ("Requirements",),
    Kind.SET_ASIDE: ("Requirements",),
    Kind.NOT_APPLICABLE: ("Requirements",),
    Kind.TERM: ("Glossary",),
    Kind.MINIMUM: ("Equipment",),
    Kind.CALENDAR: ("Tasks and their days", "All log sheets"),
    Kind.OFFICE: ("All papers",),
}
"""Registers compiled from each kind of thing."""

CONTROL = {
    "revision",
    "effective date",
    "review date",
    "history",
    "owner",
    "approver",
    "id",
    "source",
    "requirements met",
}
"""Facets of document control: they change the page, not the work."""


@dataclass(frozen=True, slots=True)
class Impact:
    """Papers by id (registers by title), roles to train again, and roles that only read and sign."""

    papers: tuple[str, ...]
    train: tuple[str, ...]
    read: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Uses:
    """For each procedure, and each of its steps, all names and texts in it."""

    procedures: Mapping[str, frozenset[str]]
    steps: Mapping[tuple[str, str], frozenset[str]]


def uses_of(office: Office) -> Uses:
    """Look through an office once, so that many changes can be asked about."""
    return Uses(
        {name: frozenset(words_in(procedure)) for name, procedure in office.procedures.items()},
        {
            (name, step.name): frozenset(words_in(step))
            for name, procedure in office.procedures.items()
            for step in procedure.steps()
        },
    )


def impact_of(change: Change, old: Office, new: Office, uses: Uses) -> Impact:
    """What one change reaches, through everything in the new office that uses the changed thing."""
    if change.how is How.RENAMED:
        return Impact((), (), ())
    procedures = _procedures_touched(change, old, new, uses)
    logs = _logs_touched(change, new)
    papers = [paper_id(each) for each in procedures]
    papers += [f"chart {paper_id(each)}" for each in procedures]
    papers += [paper_id(log) for log in logs]
    papers += REGISTERS.get(change.kind, ())
    roles = _roles(change, old, new, procedures, logs, uses)
    only_read = change.how is How.REWORDED or change.facet in ("purpose", "scope", "figure")
    if change.facet in CONTROL or change.kind in (Kind.REQUIREMENT, Kind.SOURCE, Kind.SET_ASIDE, Kind.NOT_APPLICABLE):
        roles = ()
    return Impact(tuple(dict.fromkeys(papers)), () if only_read else roles, roles if only_read else ())


def paper_id(document: Document) -> str:
    """The number on the paper; the name in the text while there is none."""
    return document.id or document.name


def words_in(value: object) -> set[str]:
    """All texts in a value, names among them."""
    if isinstance(value, str):
        return {value}
    if isinstance(value, tuple | frozenset):
        return {word for item in value for word in words_in(item)}
    if is_record(value):
        own = (each.name for each in fields(value) if not each.name.endswith("span") and each.name != "name")
        return {word for name in own for word in words_in(getattr(value, name))}
    return set()


def _procedures_touched(change: Change, old: Office, new: Office, uses: Uses) -> list[Procedure]:
    if change.kind is Kind.PROCEDURE:
        own = new.procedures.get(change.name) or old.procedures.get(change.name)
        titled = change.facet in ("title", "id") and not change.part
        others = [each for each in new.procedures.values() if change.name in uses.procedures[each.name]]
        return ([own] if own else []) + [each for each in others if titled and each is not own]
    if change.kind is Kind.CIRCUIT:
        return [new.procedures[name] for name in _limited_by(change) if name in new.procedures]
    if change.kind in (
        Kind.TASK,
        Kind.TRAINING,
        Kind.REQUIREMENT,
        Kind.TERM,
        Kind.CALENDAR,
        Kind.OFFICE,
        Kind.MINIMUM,
        Kind.BOUNDS,
    ):
        return []
    return [each for each in new.procedures.values() if change.name in uses.procedures[each.name]]


def _limited_by(change: Change) -> dict[str, list[str]]:
    """The procedures on whose pages limits of a circuit stand that came, went or changed, and the steps named there."""
    found: dict[str, list[str]] = {}
    for value in (change.before, change.after):
        limits = value.way_limits if isinstance(value, Circuit) else (value,)
        for limit in (each for each in limits if isinstance(each, WayLimit)):
            for point in (limit.earlier, limit.later):
                if point.procedure:
                    steps = found.setdefault(point.procedure, [])
                    steps += [point.step] if point.step is not None else []
    return found


def _logs_touched(change: Change, new: Office) -> list[Log]:
    if change.kind is Kind.LOG:
        return [new.logs[change.name]] if change.name in new.logs else []
    if change.kind is Kind.DEVICE:
        return [log for log in new.logs.values() if change.name in log.for_devices]
    if change.kind is Kind.TASK and change.name in new.tasks:
        named = {recording.log for recording in new.tasks[change.name].records}
        return [new.logs[name] for name in named if name in new.logs and new.logs[name].row]
    return []


# ── Roles ───────────────────────────────────────────────────────────────────────────────────────


def _roles(
    change: Change, old: Office, new: Office, procedures: list[Procedure], logs: list[Log], uses: Uses
) -> tuple[str, ...]:
    found: set[str] = set()
    if change.kind is Kind.PROCEDURE and procedures:
        found |= _roles_of_procedure_change(change, old, new, procedures[0])
    elif change.kind is Kind.TASK:
        found |= _task_roles(old.tasks.get(change.name)) | _task_roles(new.tasks.get(change.name))
    elif change.kind is Kind.LOG:
        for log in logs:
            found |= roles_recording(new, log)
    elif change.kind is Kind.TRAINING:
        course = new.training.get(change.name)
        found |= set(course.roles) if course else set()
    elif change.kind is Kind.ROLE:
        found.add(change.name)
    elif change.kind is Kind.CIRCUIT:
        named = _limited_by(change)
        for procedure in procedures:
            own = [step for name in named[procedure.name] if (step := procedure.step(name)) is not None]
            found |= {role for step in own for role in performers(step)} or set(roles_concerned(new, procedure))
    else:
        for procedure in procedures:
            steps = [step for step in procedure.steps() if change.name in uses.steps[procedure.name, step.name]]
            found |= {role for step in steps for role in performers(step)}
    return tuple(role for role in new.roles if role in found)


def _roles_of_procedure_change(change: Change, old: Office, new: Office, procedure: Procedure) -> set[str]:
    steps = [value for value in (change.before, change.after) if isinstance(value, Step)]
    for office in (old, new):
        own = office.procedures.get(change.name)
        step = own.step(change.part_name) if own and change.part_name else None
        steps += [step] if step else []
    if steps:
        return {role for step in steps for role in performers(step)}
    return set(roles_concerned(new if change.how is not How.REMOVED else old, procedure))


def performers(step: Step) -> set[str]:
    """Roles that do a step or check it."""
    second = {step.second_person} if step.second_person else set()
    return _people(step.by) | second


def _people(by: Performers | None) -> set[str]:
    return {role for _, role in by.roles} if by else set()


def _task_roles(task: Task | None) -> set[str]:
    return _people(task.by) if task else set()


def roles_recording(office: Office, log: Log) -> set[str]:
    """Roles that write in a log, by the steps and tasks that record in it."""
    found: set[str] = set()
    for procedure in office.procedures.values():
        found |= {role for step in procedure.steps() if _records(step.records, log) for role in performers(step)}
    for task in office.tasks.values():
        found |= _people(task.by) if _records(task.records, log) else set()
    return found


def _records(records: Iterable[object], log: Log) -> bool:
    return any(getattr(recording, "log", "") == log.name for recording in records)
