"""The device table: each machine with its instructions, and its programs with their set values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from sopc.checks.figures.minimums import TESTS, judged
from sopc.documents import wording
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.documents.sources import cited, numbered, source_list
from sopc.model.nouns import Agent, Citation, Device, Minimum, Office, Program
from sopc.trade.lethality import F0_REFERENCE, a0, f0
from sopc.trade.quantities import NBSP, UNITS, Quantity, show_number
from sopc.trade.steam import gauge_pressure

PROCESSES = {
    (Agent.STEAM, "gravity"): "gravity displacement",
    (Agent.STEAM, "prevacuum"): "dynamic air removal",
    (Agent.DRY_HEAT, "static"): "dry heat, air at rest",
    (Agent.DRY_HEAT, "forced"): "dry heat, forced air",
    (Agent.CHEMICAL_VAPOR, ""): "chemical vapor",
    (Agent.HOT_WATER, "before"): "hot water, sterilizing follows",
    (Agent.HOT_WATER, "without"): "hot water, no sterilizing follows",
    (Agent.HOT_WATER, ""): "hot water",
    (Agent.HOT_AIR, ""): "hot air, to dry",
}


def device_plan(office: Office) -> Plan:
    """Return the table of devices and, for each device that has programs, one of these."""
    heads = (("Device", "28%"), ("Kind", "20%"), ("Where", "20%"), ("Instructions", "18%"), ("Serial no.", "14%"))
    devices = list(office.devices.values())
    sections = [Section("All devices", tables=(plain_table(heads, [_device(office, each) for each in devices]),))]
    numbers = numbered(_citations(office))
    sections += [_programs(office, device, numbers) for device in devices if device.programs]
    sections += source_list(office, numbers)
    lead = (
        "Set values as the office’s text states them. The makers’ instructions govern. "
        "Do not shorten or lower a validated cycle. " + _altitude(office)
    )
    return Plan("devices", "Devices and programs", lead.strip(), tuple(sections))


def _altitude(office: Office) -> str:
    height = office.premises.altitude
    if height is None:
        return ""
    return (
        f"The office lies {height} above the sea: a gauge that counts from the air outside "
        "reads otherwise than at sea level. Go by temperature, and know which kind of pressure a display shows."
    )


def _device(office: Office, device: Device) -> tuple[Cell, ...]:
    holds = wording.in_series(
        f"{count}{NBSP}× {wording.small(wording.title_of(office.items, item))}" for count, item in device.holds
    )
    under = [f"{device.count} of them"] if device.count > 1 else []
    under += [f"Holds {holds}"] if holds else []
    return (
        Cell(device.title, under=tuple(under)),
        Cell(wording.title_of(office.kinds, device.kind) if device.kind else "–"),
        Cell(_places(office, device), under=("Built in",) if device.fixed else ()),
        Cell(device.instructions or "–"),
        Cell(device.serial or "–"),
    )


def _places(office: Office, device: Device) -> str:
    areas = device.fixed or ((device.area,) if device.area else ())
    return wording.in_series(wording.titles(office.areas, areas)) or "–"


def _citations(office: Office) -> Iterator[Citation]:
    """What is cited in the tables of programs, in their order."""
    for device in office.devices.values():
        for program in device.programs.values():
            yield from program.citations
            for row in _rows(office, program):
                yield from row.citations


def _programs(office: Office, device: Device, numbers: Mapping[str, int]) -> Section:
    heads = (
        ("Program", "26%"),
        ("Temperature, time held", "21%"),
        ("Drying", "14%"),
        ("Whole cycle", "17%"),
        ("Pressure", "22%"),
    )
    rows = [_program(office, program, numbers) for program in device.programs.values()]
    return Section(device.title, tables=(plain_table(heads, rows),), keep=len(rows) <= 6)


def _program(office: Office, program: Program, numbers: Mapping[str, int]) -> tuple[Cell, ...]:
    system = wording.system(office)
    process = program.process
    under = [wording.large(PROCESSES[process.agent, process.way])] if process is not None else []
    under += [_suits(program)] if program.suits else []
    exposure = program.exposure
    held = (
        f"{exposure.temperature.show(system)}, {wording.time_range(exposure.least, exposure.most)}" if exposure else "–"
    )
    reading, kind = program.pressure or (None, "")
    stated = f"{reading.show(system)} {kind}".strip() if reading is not None else ""
    effect = _effect(program)
    gauge = _gauge(office, exposure.temperature) if exposure is not None and program.steam else ""
    under += [f"Source {cited(program.citations, numbers)}"] if program.citations else []
    return (
        Cell(program.title or program.name, under=(*under, *_published(office, program, numbers))),
        Cell(held, under=(effect,) if effect else ()),
        Cell(wording.time_range(*program.drying) if program.drying else "–"),
        Cell(wording.duration(program.lasts) or "–"),
        Cell(stated or ("–" if not gauge else ""), under=(gauge,) if gauge else ()),
    )


def _suits(program: Program) -> str:
    loads = [word for word in program.suits if word != TESTS]
    return f"For {wording.in_series(loads)} loads" if loads else "Only tests the machine"


def _effect(program: Program) -> str:
    """F0 or A0 of the time held, each with what it counts at; empty for other processes."""
    exposure, process = program.exposure, program.process
    if exposure is None or process is None:
        return ""
    celsius, seconds = float(exposure.temperature.to("C").value), float(exposure.least.base)
    if process.agent is Agent.STEAM:
        one, other = (f0(celsius, seconds / 60, reference) for reference in (F0_REFERENCE, 121.0))
        return f"F0 {one:.0f}{NBSP}min at {F0_REFERENCE}{NBSP}°C, {other:.0f} at 121{NBSP}°C: no reason to shorten"
    if process.agent is Agent.HOT_WATER:
        asked = f"; {show_number(program.a0)} asked for" if program.a0 is not None else ""
        return f"A0 {show_number(Fraction(a0(celsius, seconds)), 0)}, in seconds at 80{NBSP}°C{asked}"
    return ""


def _published(office: Office, program: Program, numbers: Mapping[str, int]) -> Iterator[str]:
    """The published rows a program is held against, and what they say must be heeded."""
    rows = _rows(office, program)
    for row in rows:
        yield f"Published minimum: {_row(row)} {cited(row.citations, numbers)}".strip()
    yield from dict.fromkeys(signal.text for row in rows for signal in row.signals)


def _rows(office: Office, program: Program) -> list[Minimum]:
    """The published rows a program is held against, each once."""
    found: dict[str, Minimum] = {}
    for each in judged(office, program):
        named = [office.minimums[row.name] for row in each.exposure.rows] if each.exposure is not None else []
        found.update((row.name, row) for row in named or each.minimums if named or row.a0 is not None)
    return list(found.values())


def _row(row: Minimum) -> str:
    parts = [f"{row.exposure.least} at {row.exposure.temperature.show_both()}"] if row.exposure is not None else []
    parts += [f"dry {wording.time_range(*row.drying)}"] if row.drying is not None else []
    parts += [f"A0 {show_number(row.a0)}"] if row.a0 is not None else []
    return ", ".join(parts)


def _gauge(office: Office, temperature: Quantity) -> str:
    """Say what a gauge reads here when saturated steam has that temperature; empty where no such steam exists."""
    height = office.premises.altitude
    metres = float(height.to("m").value) if height is not None else 0.0
    try:
        kpa = gauge_pressure(float(temperature.to("C").value), metres)
    except ValueError:
        return ""
    reading = Quantity(Fraction(round(kpa)), UNITS["kPa"])
    place = f"at {height}" if height is not None else "at sea level"
    return f"Saturated steam {place}: {reading.show_both()} on a gauge (calculated)"
