"""Is each thing done where it can be: machines, what is built in, and a place for every step."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from sopc.checks.report import finding, listed, shortened, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Device, Office, Procedure, Step, Task


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what places promise.

    A machine that runs programs, and whatever is fixed, is used in the area where it stands; an item that is fixed is
    worked on there (P09). Where areas are declared, steps name theirs (P10).
    """
    for procedure in office.procedures.values():
        yield from _nowhere(office, procedure)
        for step in procedure.steps():
            used = (*step.using, *(run.device for run in step.runs))
            yield from _devices_elsewhere(office, step, used)
            yield from _items_elsewhere(office, procedure, step)
    for task in office.tasks.values():
        yield from _devices_elsewhere(office, task, task.using)


def _devices_elsewhere(office: Office, step: Step | Task, used: Iterable[str]) -> Iterator[Finding]:
    area = step.area
    if area is None:
        return
    for name in used:
        device = office.devices.get(name)
        # What runs no program and is not fixed may be carried: boxes, lamps.
        stays = device is not None and (device.fixed or device.programs)
        if device is None or not stays or device.area is None or area in (device.area, *device.fixed):
            continue
        yield finding(
            "P09",
            step.span,
            f"“{step.title}” is done in {title(office.areas, area)}, but {device.title} stands in "
            f"{title(office.areas, device.area)}.",
            floor="Staff carry things to and fro across the room, or use whatever is at hand.",
            fix=f"Say `in {device.area}` in the step, or correct where the device stands.",
            notes=[Note("the device is declared here", device.span)],
            cause="" if _used_at_home(office, device) else f"place of {device.name}",
        )


def _items_elsewhere(office: Office, procedure: Procedure, step: Step) -> Iterator[Finding]:
    if step.area is None:
        return
    for doing in step.does:
        for item in (office.items.get(name) for name in doing.items or procedure.handles):
            if item is None or not item.fixed or step.area in item.fixed:
                continue
            places = listed([title(office.areas, name) for name in item.fixed], "and")
            yield finding(
                "P09",
                doing.span,
                f"“{step.title}” is done in {title(office.areas, step.area)}, but {item.title} is part of {places}.",
                floor="In that place there is nothing of the kind; the one that is meant is passed over.",
                fix=f"Say `in {item.fixed[0]}` in the step, or correct what the item is fixed in.",
                notes=[Note("the item is declared here", item.span)],
            )


def _used_at_home(office: Office, device: Device) -> bool:
    """Whether some step uses the device where it stands; if none does, it is the place that is wrong."""
    return any(
        step.area == device.area and (device.name in step.using or any(run.device == device.name for run in step.runs))
        for procedure in office.procedures.values()
        for step in procedure.steps()
    )


def _nowhere(office: Office, procedure: Procedure) -> Iterator[Finding]:
    if not office.areas:
        return
    without = [step for step in procedure.steps() if step.area is None]
    if without:
        yield finding(
            "P10",
            without[0].span,
            f"“{procedure.title}” does not say where this is done: {shortened([step.title for step in without])}.",
            floor="The chart cannot be hung where the work is, and clean and dirty are not kept apart.",
            fix="Add `in AREA` to the procedure, or to each step that is done elsewhere.",
            cause=f"no place {procedure.name}",
        )
