"""Is a machine run as its program says: a program named, made for what is in it, and given the time it takes."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sopc.checks.figures.minimums import TESTS
from sopc.checks.report import asked_by, finding, line, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Action, Category, Device, Item, Office, Procedure, Program, Property, Run, Step
from sopc.trade.quantities import show_duration

CATEGORIES = frozenset(category.value for category in Category)


def check(office: Office) -> Iterator[Finding]:
    """Hold what running a program promises.

    1. A step that runs programs lasts as long as they may take: on one machine one after the other (L26).
    2. What is done to items in a machine is done by a program for such items: not one that only tests the machine,
       for items of their category where it names any, and for hollow ones where they are (L27).
    3. A program lasts at least as long as it holds and dries (L28).
    4. What is done with a machine that has programs is done by running one (L29).
    """
    for device in office.devices.values():
        for program in device.programs.values():
            yield from _parts(program)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            yield from _time(office, step)
            for run in step.runs:
                yield from _load(office, procedure, step, run)
            yield from _idle(office, step)


def _parts(program: Program) -> Iterator[Finding]:
    lasts, exposure = program.lasts, program.exposure
    if lasts is None or exposure is None:
        return
    least = exposure.least.base + (program.drying[0].base if program.drying else 0)
    if lasts.least.base >= least:
        return
    drying = f" and dries for {program.drying[0]}" if program.drying else ""
    yield finding(
        "L28",
        lasts.span,
        f"“{program.title}” lasts from {lasts.least} on, but it holds its temperature for {exposure.least}{drying}: "
        f"{show_duration(int(least))} in all, without heating up.",
        floor="Time limits are proven with a time in which the machine cannot be done.",
        fix="Write how long the whole cycle takes, from its start until the door may be opened.",
        notes=[Note("temperature and time stand here", exposure.span)],
    )


# ── How long ────────────────────────────────────────────────────────────────────────────────────


def _time(office: Office, step: Step) -> Iterator[Finding]:
    takes = step.takes
    longest = _longest(office, step.runs)
    if takes is None or longest is None:
        return
    given = takes.most if takes.contingent else takes.least
    if given is None or given.base >= longest:
        return
    programs = listed([f"“{_program(office, run).title}”" for run in step.runs])
    lasting = [lasts for run in step.runs if (lasts := _program(office, run).lasts) is not None]
    yield finding(
        "L26",
        takes.span if takes.span not in {lasts.span for lasts in lasting} else step.runs[-1].span,
        f"“{step.title}” is given {given}, but {programs} may take {show_duration(int(longest))}.",
        floor="The cycle is broken off, or everything after it comes late; limits are proven with a time too short.",
        fix="Leave `takes` out: the step lasts as long as its program. Two programs are two steps.",
        notes=[Note(f"how long it lasts ({line(lasts.span, step.span)})", lasts.span) for lasts in lasting],
    )


def _longest(office: Office, runs: tuple[Run, ...]) -> Fraction | None:
    """Seconds the programs may take, those of one machine one after the other; None when that is not known."""
    by_device: dict[str, Fraction] = {}
    for run in runs:
        lasts = _program(office, run).lasts
        if lasts is None or lasts.most is None:
            return None
        by_device[run.device] = by_device.get(run.device, Fraction(0)) + lasts.most.base
    return max(by_device.values(), default=None)


def _program(office: Office, run: Run) -> Program:
    return office.devices[run.device].programs[run.program]


# ── For what ────────────────────────────────────────────────────────────────────────────────────


def _load(office: Office, procedure: Procedure, step: Step, run: Run) -> Iterator[Finding]:
    device, program = office.devices[run.device], _program(office, run)
    for doing in step.does:
        action = office.actions.get(doing.action)
        if action is None or not action.brings or not done_with(action, device):
            continue
        items = [office.items[name] for name in doing.items or procedure.handles if name in office.items]
        reasons = {item.name: reason for item in items if (reason := _unfit(program, item))}
        if not reasons:
            continue
        names = listed([title(office.items, name) for name in reasons])
        yield finding(
            "L27",
            run.span,
            f"“{action.title}” is done on {names} by “{program.title}”, which is {next(iter(reasons.values()))}.",
            floor=f"The cycle runs to its end, and nobody has shown that {names} came out of it as the page says.",
            fix=f"Run another program; or, if its instructions say so, add to its `suits`: {_fit_for(device, items)}.",
            notes=[Note("the program stands here", program.span)],
            asked_by=asked_by(office, program),
        )


def done_with(action: Action, device: Device) -> bool:
    """Whether an action is done with this device or its kind."""
    return device.name in action.with_any or device.kind in action.with_any


def _unfit(program: Program, item: Item) -> str:
    """For what the program is, when it is not for this item; empty when it may be."""
    if program.suits and set(program.suits) == {TESTS}:
        return "only for tests of the machine"
    categories = [load for load in program.suits if load in CATEGORIES]
    if categories and item.category is not None and item.category.value not in categories:
        return f"for {listed(categories)} items"
    if program.process is not None and program.suits and Property.HOLLOW in item.properties:
        return "" if {Property.HOLLOW.value, *categories} & set(program.suits) else "not said to suit hollow items"
    return ""


def _fit_for(device: Device, items: list[Item]) -> str:
    hollow = any(Property.HOLLOW in item.properties for item in items)
    wanted = [Property.HOLLOW.value] if hollow else [item.category.value for item in items[:1] if item.category]
    return listed([f"`{word}`" for word in wanted]) if wanted else f"what {device.title} is made for"


# ── Whether at all ──────────────────────────────────────────────────────────────────────────────


def _idle(office: Office, step: Step) -> Iterator[Finding]:
    run = {each.device for each in step.runs}
    for doing in step.does:
        action = office.actions.get(doing.action)
        used = [office.devices[name] for name in step.using if name in office.devices]
        means = [device for device in used if action is not None and done_with(action, device)]
        by_hand = action is not None and any(name in action.with_any for name in step.using if name in office.supplies)
        runs = any(action is not None and done_with(action, office.devices[name]) for name in run)
        if action is None or by_hand or runs or not means or not all(device.programs for device in means):
            continue
        device = means[0]
        yield finding(
            "L29",
            doing.span,
            f"“{action.title}” is done with {device.title}, and “{step.title}” does not say by which program.",
            floor="Someone presses what was run last; how hot and how long, nobody knows.",
            fix=f"Write `runs {device.name} {next(iter(device.programs))}` in place of `using {device.name}`.",
            notes=[Note("its programs stand here", device.span)],
            asked_by=asked_by(office, action),
        )
