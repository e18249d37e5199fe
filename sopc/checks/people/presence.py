"""Is everything there: who does it, with what, for how long, and nothing beside it that must not be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from sopc.checks.report import as_written, asked_by, finding, listed, title
from sopc.checks.time.durations import contact_of, rounded_up
from sopc.findings import Finding, Note
from sopc.model.nouns import Doing, Office, Performers, Procedure, Step, Task
from sopc.source import Span
from sopc.trade.quantities import show_duration


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what presence promises.

    1. Every step and every task says who does it (P01), and so many of them are on duty (P08).
    2. Whatever an action is done with is used or run in that step or task (P02).
    3. Supplies that must not come together are not used in one step (P03) nor kept in one area (P04).
    4. A step or task that must last a contact time lasts it (P05), says so (P06), and uses a supply that has one (P07).
    """
    yield from _stored_together(office)
    for procedure in office.procedures.values():
        yield from _nobody(procedure)
        for step in procedure.steps():
            yield from _step(office, step)
    for task in office.tasks.values():
        yield from _task(office, task)


def _step(office: Office, step: Step) -> Iterator[Finding]:
    used = [*step.using, *(run.device for run in step.runs)]
    yield from _without_means(office, step.does, used, step.title)
    yield from _together(office, step.using, step.span, step.title)
    yield from _contact(office, step)
    yield from _too_few(office, step.by, step.second_person, step.title)


def _task(office: Office, task: Task) -> Iterator[Finding]:
    if task.by is None:
        yield finding(
            "P01",
            task.span,
            f"The task “{task.title}” does not say who does it.",
            floor="Everyone takes it that someone else has done it.",
            fix="Add `by ROLE`.",
        )
    items = [item for doing in task.does for item in doing.items]
    yield from _without_means(office, task.does, [*task.using, *items], task.title)
    yield from _together(office, task.using, task.span, task.title)
    yield from _contact(office, task)
    yield from _too_few(office, task.by, None, task.title)


def _nobody(procedure: Procedure) -> Iterator[Finding]:
    steps = list(procedure.steps())
    without = [step for step in steps if step.by is None]
    if not without:
        return
    floor = "No one knows whose work it is; the chart cannot name a role, and no one is trained for it."
    if len(without) == len(steps):
        yield finding(
            "P01",
            procedure.span,
            f"“{procedure.title}” does not say who does it, in any of its steps.",
            floor=floor,
            fix="Put `by ROLE` into the procedure: it holds for every step that does not say otherwise.",
            cause=f"nobody {procedure.name}",
        )
        return
    for step in without:
        yield finding(
            "P01", step.span, f"“{step.title}” does not say who does it.", floor=floor, fix="Add `by ROLE` to the step."
        )


def _without_means(office: Office, does: Iterable[Doing], used: Iterable[str], where: str) -> Iterator[Finding]:
    have = set(used)
    for name in tuple(have):
        device = office.devices.get(name)
        if device is not None and device.kind is not None:
            have.add(device.kind)
    for doing in does:
        action = office.actions.get(doing.action)
        if action is None or not action.with_any or have.intersection(action.with_any):
            continue
        wanted = listed([_means(office, name) for name in action.with_any], "or")
        yield finding(
            "P02",
            doing.span,
            f"“{action.title}” is done with {wanted}, but “{where}” uses none.",
            floor=f"Staff come to “{where}” and look for what to do it with.",
            fix=f"Add `using {_offer(office, action.with_any)}` to it.",
            notes=[Note("the action says so here", action.span)],
            cause="" if owned(office, action.with_any) else f"no means for {action.name}",
            asked_by=asked_by(office, action),
        )


def _means(office: Office, name: str) -> str:
    for kind in (office.kinds, office.devices, office.supplies):
        if name in kind:
            return title(kind, name).lower() if kind is not office.devices else title(kind, name)
    return name


def owned(office: Office, names: tuple[str, ...]) -> bool:
    """Whether the office has something that will do."""
    kinds = {device.kind for device in office.devices.values()}
    return any(name in office.devices or name in office.supplies or name in kinds for name in names)


def _offer(office: Office, names: tuple[str, ...]) -> str:
    """The name of something the office has that will do."""
    for name in names:
        if name in office.devices or name in office.supplies:
            return name
        for device in office.devices.values():
            if device.kind == name:
                return device.name
    return names[0]


def _partners(office: Office, name: str) -> set[str]:
    supply = office.supplies.get(name)
    own = set(supply.not_with) if supply else set()
    return own | {other.name for other in office.supplies.values() if name in other.not_with}


def _together(office: Office, using: tuple[str, ...], span: Span, where: str) -> Iterator[Finding]:
    supplies = [name for name in using if name in office.supplies]
    if len(supplies) < 2:
        return
    for place, name in enumerate(supplies):
        for other in supplies[place + 1 :]:
            if other not in _partners(office, name):
                continue
            one, two = title(office.supplies, name), title(office.supplies, other)
            yield finding(
                "P03",
                span,
                f"“{where}” uses {one} and {two}, which must not come together.",
                floor="They meet in the sink or on the surface, and may give off harmful gas or spoil each other.",
                fix="Use one of them, or put a rinse and a step of its own between them.",
                notes=[Note("`not with` stands here", office.supplies[name].span)],
                asked_by=asked_by(office, office.supplies[name], office.supplies[other]),
            )


def _stored_together(office: Office) -> Iterator[Finding]:
    told: set[frozenset[str]] = set()
    for supply in office.supplies.values():
        for other in (office.supplies.get(name) for name in supply.not_with):
            if other is None or supply.area is None or supply.area != other.area:
                continue
            pair = frozenset((supply.name, other.name))
            if pair in told:
                continue
            told.add(pair)
            yield finding(
                "P04",
                supply.span,
                f"{supply.title} and {other.title} must not come together, but both are kept in "
                f"{title(office.areas, supply.area)}.",
                floor="One leaking or mistaken bottle is enough.",
                fix="Keep one of them in another area (`in AREA`).",
                notes=[Note("the other one", other.span)],
                asked_by=asked_by(office, supply, other),
            )


def _contact(office: Office, step: Step | Task) -> Iterator[Finding]:
    doing = next((each for each in step.does if _holds(office, each)), None)
    if doing is None:
        return
    action = title(office.actions, doing.action)
    contact = contact_of(office, step)
    if contact is None:
        supplies = [name for name in step.using if name in office.supplies]
        yield finding(
            "P07",
            doing.span,
            f"“{action}” lasts as long as the supply's contact time, but “{step.title}” uses no supply that has one.",
            floor="No one knows how long it has to stay wet.",
            fix="Add `using SUPPLY`, and give that supply its label's `contact` time.",
            asked_by=asked_by(office, office.actions.get(doing.action)),
            cause=f"no contact time {' '.join(supplies)}" if supplies else "",
        )
        return
    least, _, supply, span = contact
    name, time = title(office.supplies, supply), show_duration(least)
    notes = [Note(f"{name} needs {time} of contact", span)]
    if step.takes is None:
        yield finding(
            "P06",
            step.span,
            f"“{step.title}” does not say how long it takes; {name} needs {time} of contact.",
            floor="It is wiped dry too soon, and nothing is disinfected.",
            fix=f"Add `takes at least {as_written(least)}`.",
            notes=notes,
            asked_by=asked_by(office, office.supplies.get(supply)),
        )
        return
    takes = step.takes
    if rounded_up(takes.least) >= least:
        return
    short = takes.most is not None and rounded_up(takes.most) < least
    shown = f"at most {takes.most}" if short else f"as little as {takes.least}"
    yield finding(
        "P05",
        takes.span,
        f"“{step.title}” may last {shown}, but {name} needs {time} of contact.",
        floor="It is done before the supply has worked; the surface or item counts as disinfected and is not.",
        fix=f"Let it take at least {time}, or use a supply with a shorter contact time.",
        notes=notes,
        cause=_too_long_everywhere(office, supply, least) or f"contact {takes.span}",
        asked_by=asked_by(office, office.supplies.get(supply)),
    )


def _too_long_everywhere(office: Office, supply: str, least: int) -> str:
    """The cause when no step that uses the supply gives it its contact time: then the supply does not fit the work."""
    times = [
        step.takes
        for procedure in office.procedures.values()
        for step in procedure.steps()
        if supply in step.using and any(_holds(office, each) for each in step.does) and step.takes is not None
    ]
    short = [takes for takes in times if takes.most is not None and rounded_up(takes.most) < least]
    return f"contact {supply}" if len(short) == len(times) > 1 else ""


def _holds(office: Office, doing: Doing) -> bool:
    action = office.actions.get(doing.action)
    return action is not None and action.holds_contact_time


def _too_few(office: Office, by: Performers | None, second: str | None, where: str) -> Iterator[Finding]:
    if by is None:
        return
    wanted: dict[str, int] = {}
    for number, role in by.roles:
        wanted[role] = wanted.get(role, 0) + number if by.joined else max(wanted.get(role, 0), number)
    # A second person of a role that another may stand for is no further demand on it.
    if second is not None and second in wanted and (by.joined or len(wanted) == 1):
        wanted[second] += 1
    for role, number in wanted.items():
        known = office.roles.get(role)
        if known is None or number <= known.on_duty[1]:
            continue
        yield finding(
            "P08",
            by.span,
            f"“{where}” takes {number} of {known.title} at once, but at most {known.on_duty[1]} is on duty.",
            floor="The step waits for someone who is not there, or one person does both parts and the check is none.",
            fix=f"Name another role for one of them, or correct `on duty` of {role}.",
            notes=[Note("who is on duty is said here", known.span)],
        )
