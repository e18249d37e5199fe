"""Do the limits of log columns catch what they are there to catch, and do they keep to published bounds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from sopc.checks.figures.exposures import source_of
from sopc.checks.figures.minimums import ROUNDED_BY_MAKERS, TESTS
from sopc.checks.figures.physics import as_displayed, fits, in_kpa_and_psi, metres, steam_pressure
from sopc.checks.items.effects import with_performed
from sopc.checks.report import finding
from sopc.findings import Finding, Note
from sopc.model.nouns import Agent, Bounds, Column, Device, Log, Office, Program
from sopc.trade.lethality import a0
from sopc.trade.minimums import keeps_under, reaches
from sopc.trade.quantities import UNITS, Dimension, Quantity, show_number

NEAR = 30.0
"""°C: a column whose limits lie farther than that below the program's temperature is about something else."""
READ = (Dimension.TEMPERATURE, Dimension.TIME, Dimension.PRESSURE)
"""What is read of a cycle."""
ABOVE_SET = Fraction(3)
"""°C that machines run above what they are set to."""
OWN_SHEET = ". Or give each program a sheet of its own: one limit cannot serve two"
FAR = Fraction(3)
"""A limit of time that is more than so many times longer or shorter than one of the program's is about another."""


def check(office: Office) -> Iterator[Finding]:
    """Hold what the limits of columns promise.

    1. A log of a machine catches a cycle that stayed too cool or was held too short (L15), and lets one pass that
       ran as set (L16); what is read of each cycle has limits (L15).
    2. Its limits of pressure are those of saturated steam at its limits of temperature, here (L17).
    3. A limit lies within the published bounds for the kind of device (L18).
    """
    for log in office.logs.values():
        programs = _programs(office, log)
        for program in programs:
            yield from _catches(office, log, program, len(programs) > 1)
            if _reads(office, log, program):
                yield from _without_limits(log, program)
        for bounds in office.bounds.values():
            if any(_is_kind(office, name, bounds) for name in log.for_devices):
                yield from _bounded(office, log, bounds)


# ── Which programs a log is about ───────────────────────────────────────────────────────────────


def _programs(office: Office, log: Log) -> list[Program]:
    """The programs run where the log is written in; all of its machines' when that does not tell."""
    devices = [office.devices[name] for name in log.for_devices if name in office.devices]
    run = {(device.name, name) for device in devices for name in _run_with(office, log, device)}
    found = [
        program
        for device in devices
        for program in device.programs.values()
        if program.exposure is not None
        and program.process is not None
        and (not run or (device.name, program.name) in run)
    ]
    return [program for program in found if TESTS not in program.suits]


def _run_with(office: Office, log: Log, device: Device) -> set[str]:
    names = {
        procedure.name
        for procedure in office.procedures.values()
        if any(recording.log == log.name for step in procedure.steps() for recording in step.records)
    }
    for task in office.tasks.values():
        if any(recording.log == log.name for recording in task.records):
            names.update(performing.procedure for performing in task.performs)
    steps = (step for procedure in with_performed(office, names) for step in procedure.steps())
    return {run.program for step in steps for run in step.runs if run.device == device.name}


def _reads(office: Office, log: Log, program: Program) -> bool:
    """Whether the log takes down the readings of this program: written when it runs, with more than one of them."""
    kinds = {UNITS[each.unit].dimension for each in log.columns if each.unit in UNITS}
    return len(kinds & set(READ)) > 1 and any(
        office.devices[run.device].programs.get(run.program) is program
        for procedure in office.procedures.values()
        for step in procedure.steps()
        if any(recording.log == log.name for recording in step.records)
        for run in step.runs
    )


# ── Limits against the cycle ────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Limited:
    """A column with its limits as quantities."""

    column: Column
    least: Quantity | None
    most: Quantity | None

    @property
    def shown(self) -> str:
        return _shown(self.least, self.most)


def _shown(least: Quantity | None, most: Quantity | None) -> str:
    if least is not None and most is not None:
        return f"{show_number(least.value)} to {most}"
    return f"at least {least}" if least is not None else f"at most {most}"


def _limited(log: Log, dimension: Dimension) -> list[_Limited]:
    """The columns of that dimension that have limits."""
    found = []
    for column in log.columns:
        unit = UNITS.get(column.unit)
        limit = column.limit
        if unit is None or unit.dimension is not dimension or limit is None:
            continue
        least = Quantity(limit.least, unit) if limit.least is not None else None
        most = Quantity(limit.most, unit) if limit.most is not None else None
        if least is not None or most is not None:
            found.append(_Limited(column, least, most))
    return found


def _catches(office: Office, log: Log, program: Program, shared: bool) -> Iterator[Finding]:
    exposure, process = program.exposure, program.process
    if exposure is None or process is None:
        return
    hot = [each for each in _limited(log, Dimension.TEMPERATURE) if _about(each, exposure.temperature)]
    held = [each for each in _limited(log, Dimension.TIME) if _nearest(program, each) == exposure.least]
    floors = [each for each in hot if each.least is not None]
    if process.agent is Agent.HOT_WATER and program.a0 is not None:
        yield from _catches_a0(log, program, program.a0, floors, held)
    else:
        yield from _catches_cool(log, program, hot, shared)
        yield from _catches_short(log, program, held, shared)
    works = f"works at {exposure.temperature.show_both()}"
    for each in hot:
        if each.most is not None and not keeps_under(exposure.temperature, each.most):
            yield _rejects(log, program, each, works, "upper", shared)
        elif each.least is not None and each.least.base > exposure.temperature.base + ABOVE_SET:
            yield _rejects(log, program, each, works, "lower", shared)
    for each in held:
        if each.least is not None and each.least > exposure.most:
            yield _rejects(log, program, each, f"holds for {exposure.least}", "lower", shared)
        elif each.most is not None and each.most < exposure.least:
            yield _rejects(log, program, each, f"holds for {exposure.least}", "upper", shared)
    if process.agent is Agent.STEAM:
        yield from _pressures(office, log, program, floors[0] if floors else None, hot)


def _about(each: _Limited, temperature: Quantity) -> bool:
    """Whether the column is about the exposure: water baths and incubators stay far below it."""
    edges = [edge.base for edge in (each.least, each.most) if edge is not None]
    return max(edges) >= temperature.base - Fraction(NEAR)


def _nearest(program: Program, each: _Limited) -> Quantity | None:
    """Which of the program's times a column of time is about: the one its limits lie nearest to, by their ratio."""
    times = [program.exposure.least] if program.exposure is not None else []
    times += [program.drying[0]] if program.drying is not None else []
    times += [program.lasts.least] if program.lasts is not None else []
    limit = each.least or each.most
    near = [time for time in times if limit is not None and _ratio(limit, time) <= FAR]
    return min(near, key=lambda time: _ratio(limit, time)) if limit is not None and near else None


def _ratio(one: Quantity, other: Quantity) -> Fraction:
    """How many times the longer is as long as the shorter."""
    longer, shorter = max(one.base, other.base), min(one.base, other.base)
    return longer / shorter if shorter else FAR + 1


def _without_limits(log: Log, program: Program) -> Iterator[Finding]:
    """What is read of every cycle, and never held against anything."""
    for dimension in READ:
        columns = [each for each in log.columns if each.unit in UNITS and UNITS[each.unit].dimension is dimension]
        if columns and not _limited(log, dimension):
            yield finding(
                "L15",
                columns[0].span,
                f"“{columns[0].title}” in “{log.title}” has no limit: any {dimension.value} of “{program.title}” is "
                "accepted.",
                floor="Someone writes down a reading of a failed cycle, and releases the load.",
                fix="Add the limits behind the unit: `from … to …`, `at least …`.",
                notes=[Note("the program stands here", program.span)],
                cause=f"no limit {columns[0].span}",
            )


def _catches_cool(log: Log, program: Program, hot: list[_Limited], shared: bool) -> Iterator[Finding]:
    exposure = program.exposure
    if exposure is None or not hot:
        return
    if any(each.least is not None and reaches(each.least, exposure.temperature) for each in hot):
        return
    each = hot[0]
    does, right = f"works at {exposure.temperature.show_both()}", exposure.temperature.to(_unit(each))
    yield _lets_pass(log, program, each, does, "cooler", right, shared)


def _catches_short(log: Log, program: Program, held: list[_Limited], shared: bool) -> Iterator[Finding]:
    exposure = program.exposure
    floors = [each for each in held if each.least is not None]
    if exposure is None or any(each.least is not None and each.least >= exposure.least for each in floors):
        return
    for each in floors[:1]:
        does, right = f"holds for {exposure.least}", exposure.least.to(_unit(each))
        yield _lets_pass(log, program, each, does, "shorter", right, shared)


def _unit(each: _Limited) -> str:
    return UNITS[each.column.unit].name


def _lets_pass(
    log: Log, program: Program, each: _Limited, does: str, how: str, right: Quantity, shared: bool
) -> Finding:
    assert each.column.limit is not None
    return finding(
        "L15",
        each.column.limit.span,
        f"“{program.title}” {does}, but “{each.column.title}” in “{log.title}” accepts {each.shown}.",
        floor=f"A cycle that stayed {how} than set is written down as in order, and its load is released.",
        fix=f"Let the limit begin at {show_number(right.value, 1)} {right.unit.symbol}{OWN_SHEET if shared else ''}.",
        notes=[Note("the program stands here", program.span)],
    )


def _catches_a0(
    log: Log, program: Program, target: Fraction, floors: list[_Limited], held: list[_Limited]
) -> Iterator[Finding]:
    """The coolest and shortest entry that both columns accept must still reach the A0 aimed at."""
    exposure = program.exposure
    if exposure is None or not floors:
        return
    coolest = floors[0]
    times = [each.least for each in held if each.least is not None]
    seconds = times[0] if times else exposure.least
    if coolest.least is None or coolest.column.limit is None:
        return
    reached = Fraction(a0(float(coolest.least.base), float(seconds.base)))
    if reached >= target * (1 - ROUNDED_BY_MAKERS):
        return
    yield finding(
        "L15",
        coolest.column.limit.span,
        f"“{program.title}” aims at an A0 of {show_number(target, 0)}, but “{log.title}” accepts {coolest.least} for "
        f"{seconds}, which reaches {show_number(reached, 0)}.",
        floor="A load that was not disinfected is written down as in order.",
        fix="Raise the lower limit of the temperature or of the time.",
        notes=[Note("the A0 stands here", program.a0_span or program.span)],
    )


def _rejects(log: Log, program: Program, each: _Limited, does: str, end: str, shared: bool) -> Finding:
    assert each.column.limit is not None
    way = "Raise" if end == "upper" else "Lower"
    return finding(
        "L16",
        each.column.limit.span,
        f"“{program.title}” {does}, but “{each.column.title}” in “{log.title}” accepts {each.shown} only.",
        floor="Every good cycle is out of limits: loads are thrown back, or the limits are no longer heeded.",
        fix=f"{way} the {end} limit to what the program does, or correct the program; look at the units too"
        f"{OWN_SHEET if shared else ''}.",
        notes=[Note("the program stands here", program.span)],
    )


# ── Pressure beside temperature ─────────────────────────────────────────────────────────────────


def _pressures(
    office: Office, log: Log, program: Program, floor: _Limited | None, hot: list[_Limited]
) -> Iterator[Finding]:
    kind = program.pressure[1] if program.pressure is not None else "gauge"
    altitude = metres(office)
    exposure = program.exposure
    if exposure is None or (altitude is None and kind == "gauge"):
        return
    low = floor.least if floor is not None and floor.least is not None else exposure.temperature
    tops = [each.most for each in hot if each.most is not None]
    for each in _limited(log, Dimension.PRESSURE):
        ends = [(each.least, low, "begins"), (each.most, tops[0] if tops else None, "ends")]
        for stated, temperature, verb in ends:
            if stated is None or temperature is None or each.column.limit is None:
                continue
            right = steam_pressure(temperature, kind, altitude or 0.0)
            shown = float(stated.to("kPa").value)
            if right is None or fits(shown, right):
                continue
            where = "" if kind == "absolute" else f" at {office.premises.altitude}"
            yield finding(
                "L17",
                each.column.limit.span,
                f"In “{log.title}” the pressure {verb} at {stated.show_both()}, the temperature at "
                f"{temperature.show_both()}: saturated steam of that shows {in_kpa_and_psi(right)} {kind}{where}.",
                floor=_harm(verb, shown < right),
                fix=f"Write {as_displayed(right, each.column.unit)} there.",
                notes=[Note("the program stands here", program.span)],
            )


def _harm(verb: str, low: bool) -> str:
    if verb == "begins" and low:
        return "A reading at the lower limit looks right and belongs to steam that is too cool."
    if verb == "begins" or low:
        return "Good cycles are out of limits, until nobody heeds the limits any more."
    return "A reading that no clean steam can give is accepted: air left in the chamber would not be noticed."


# ── Published bounds ────────────────────────────────────────────────────────────────────────────


def _is_kind(office: Office, name: str, bounds: Bounds) -> bool:
    device = office.devices.get(name)
    return device is not None and device.kind in bounds.kinds


def _bounded(office: Office, log: Log, bounds: Bounds) -> Iterator[Finding]:
    unit = UNITS.get(bounds.unit)
    if unit is None or bounds.limit is None:
        return
    # A goal binds only those who say that they go by it.
    if bounds.goal and not _goes_by(log, bounds):
        return
    least = Quantity(bounds.limit.least, unit) if bounds.limit.least is not None else None
    most = Quantity(bounds.limit.most, unit) if bounds.limit.most is not None else None
    for column in log.columns:
        own = UNITS.get(column.unit)
        if own is None or own.dimension is not unit.dimension:
            continue
        limit = column.limit
        low = Quantity(limit.least, own) if limit is not None and limit.least is not None else None
        high = Quantity(limit.most, own) if limit is not None and limit.most is not None else None
        below = least is not None and (low is None or not reaches(low, least))
        above = most is not None and (high is None or not keeps_under(high, most))
        if below or above:
            yield _beyond(office, log, column, bounds, _shown(low, high) if low or high else "", _shown(least, most))


def _goes_by(log: Log, bounds: Bounds) -> bool:
    wanted = {citation.source for citation in bounds.citations}
    return any(citation.source in wanted for citation in log.citations)


def _beyond(office: Office, log: Log, column: Column, bounds: Bounds, own: str, published: str) -> Finding:
    span = column.limit.span if column.limit is not None else column.span
    accepts = f"accepts {own}" if own else "has no limit"
    return finding(
        "L18",
        span,
        f"“{column.title}” in “{log.title}” {accepts}; published for {bounds.title[:1].lower()}{bounds.title[1:]} is "
        f"{published} {source_of(office, bounds)}.",
        floor="A reading beyond what is published is written down as in order, and nothing is done about it.",
        fix=f"Let the column accept {published}.",
        notes=[Note("the published bound stands here", bounds.span)],
    )
