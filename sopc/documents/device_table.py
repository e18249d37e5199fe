"""The device table: each machine with its instructions, and its programs with their set values."""

from __future__ import annotations

from fractions import Fraction

from sopc.documents import wording
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.model.nouns import Device, Office, Program
from sopc.trade.quantities import NBSP, UNITS, Quantity
from sopc.trade.steam import gauge_pressure

STEAM = {"gravity": "gravity displacement", "prevacuum": "dynamic air removal"}


def device_plan(office: Office) -> Plan:
    """Return the table of devices and, for each device that has programs, one of these."""
    heads = (("Device", "28%"), ("Kind", "20%"), ("Where", "20%"), ("Instructions", "18%"), ("Serial no.", "14%"))
    devices = list(office.devices.values())
    sections = [Section("All devices", tables=(plain_table(heads, [_device(office, each) for each in devices]),))]
    sections += [_programs(office, device) for device in devices if device.programs]
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
        Cell(wording.title_of(office.areas, device.area) if device.area else "–"),
        Cell(device.instructions or "–"),
        Cell(device.serial or "–"),
    )


def _programs(office: Office, device: Device) -> Section:
    heads = (
        ("Program", "26%"),
        ("Temperature, time held", "21%"),
        ("Drying", "14%"),
        ("Whole cycle", "17%"),
        ("Pressure", "22%"),
    )
    rows = [_program(office, program) for program in device.programs.values()]
    return Section(device.title, tables=(plain_table(heads, rows),), keep=len(rows) <= 6)


def _program(office: Office, program: Program) -> tuple[Cell, ...]:
    system = wording.system(office)
    under = [wording.large(STEAM.get(program.steam, program.steam))] if program.steam else []
    under += [f"For {wording.in_series(program.suits)} loads"] if program.suits else []
    exposure = program.exposure
    held = (
        f"{exposure.temperature.show(system)}, {wording.time_range(exposure.least, exposure.most)}" if exposure else "–"
    )
    reading, kind = program.pressure or (None, "")
    stated = f"{reading.show(system)} {kind}".strip() if reading is not None else ""
    gauge = _gauge(office, exposure.temperature) if exposure is not None and program.steam else ""
    cited = tuple(
        f"{wording.title_of(office.sources, citation.source)} {citation.locator}".strip()
        for citation in program.citations
    )
    return (
        Cell(program.title or program.name, under=tuple(under) + cited),
        Cell(held),
        Cell(wording.time_range(*program.drying) if program.drying else "–"),
        Cell(wording.duration(program.lasts) or "–"),
        Cell(stated or ("–" if not gauge else ""), under=(gauge,) if gauge else ()),
    )


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
