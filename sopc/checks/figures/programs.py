"""Do the programs of machines hold: their pressure is that of their steam, their times those of published tables."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sopc.checks.figures import exposures
from sopc.checks.figures.exposures import source_of
from sopc.checks.figures.minimums import judged
from sopc.checks.figures.physics import (
    as_displayed,
    boiling,
    celsius,
    fits,
    in_kpa_and_psi,
    metres,
    other_scale,
    steam_pressure,
    steam_temperature,
    true_pressure,
)
from sopc.checks.report import finding, listed
from sopc.findings import Finding, Note
from sopc.model.nouns import Agent, Bounds, Device, Exposure, Minimum, Office, Procedure, Program, Step
from sopc.source import Span
from sopc.trade.lethality import lethal_rate
from sopc.trade.quantities import UNITS, Quantity

PUBLISHED = frozenset({"at", "dry", "a0", "reading", "process", "for", "on"})
"""The clauses of a published row or bound that say what is asked."""
DISINFECTS_FROM = 65.0  # °C; below it heat is not counted towards A0 (ISO 15883-1)


def check(office: Office) -> Iterator[Finding]:
    """Hold what programs promise.

    1. The pressure of a steam program is that of saturated steam at its temperature, here (L01); a gauge can only be
       judged where the altitude is known (L02).
    2. The temperature is one the process can have: steam above boiling, water below it (L03).
    3. Time at temperature (L04) and drying (L05) are not below every published minimum. Where published ones differ
       (L06), or none covers the program (L08), someone has to be named who stands behind the number; where a maker's
       instructions do, a difference is only remarked (L07).
    4. Hot water reaches the A0 it aims for (L09), and says at what it aims (L10).
    5. A program that heats says by what, and for which loads (L11).
    6. What a published row says must be heeded, or is barred, is heeded where its program is run (L12, L13).
    7. A published minimum says what it asks of what (L14); an office that changes its numbers names a source (L30).
    """
    for minimum in office.minimums.values():
        yield from _complete(minimum)
    published: list[Minimum | Bounds] = [*office.minimums.values(), *office.bounds.values()]
    for row in published:
        yield from _changed(row)
    for device in office.devices.values():
        for program in device.programs.values():
            yield from _program(office, device, program)
    for procedure in office.procedures.values():
        yield from _heeded(office, procedure)


def _changed(published: Minimum | Bounds) -> Iterator[Finding]:
    """All programs and readings are held against these numbers: whoever bends them bends every check."""
    changed = [each for each in published.overridden if each.clause in PUBLISHED and each.pack_text]
    if not changed or any(each.clause == "cite" for each in published.overridden):
        return
    first = changed[0]
    yield finding(
        "L30",
        first.office_span,
        f"“{published.title}” is published with `{first.pack_text}`; here it says `{first.office_text}`, and no source "
        "is named for that.",
        floor="Programs and readings are held against a number that nobody has published.",
        fix="Add `cite …` to the override, or leave the published number and cite the maker's instructions where a "
        "program departs from it.",
        notes=[Note("the published number", first.pack_span)],
    )


def _complete(minimum: Minimum) -> Iterator[Finding]:
    process = minimum.process
    water = process is not None and process.agent is Agent.HOT_WATER
    missing = []
    if process is None:
        missing.append("by what process (`steam gravity`, `dry heat static`, `chemical vapor`, `hot water` …)")
    if minimum.a0 is None if water else minimum.exposure is None:
        missing.append("how much of it (`a0 …`)" if water else "how hot for how long (`at … for …`)")
    if not minimum.citations:
        missing.append("who says so (`cite …`)")
    if missing:
        yield finding(
            "L14",
            minimum.span,
            f"The published minimum “{minimum.title}” does not say {listed(missing)}.",
            floor="Programs would be held against nothing, and pass.",
            fix="Add it, from the table itself.",
        )


def _program(office: Office, device: Device, program: Program) -> Iterator[Finding]:
    if program.process is not None and program.process.agent is Agent.HOT_AIR:
        return
    if program.exposure is None:
        if program.process is not None:
            yield _unsaid(program, "how hot it gets and for how long", "`at … for …`")
        return
    if program.process is None:
        if celsius(program.exposure.temperature) >= DISINFECTS_FROM:
            yield _unsaid(
                program, "by what it works", "`steam …`, `dry heat …`, `chemical vapor`, `hot water …`, or `hot air`"
            )
        return
    impossible = list(_impossible(office, program, program.exposure))
    yield from impossible
    if impossible:
        return
    yield from _pressure(office, program, program.exposure)
    if not program.suits and program.process.agent is not Agent.HOT_WATER:
        yield _unsaid(program, "for which loads it is", "`suits wrapped`, `suits unwrapped` … or `suits tests`")
    yield from exposures.check(office, device, program)


def _unsaid(program: Program, what: str, how: str) -> Finding:
    return finding(
        "L11",
        program.span,
        f"“{program.title}” does not say {what}, so no published minimum can be held against it.",
        floor="A time too short would not be noticed here.",
        fix=f"Add {how}.",
    )


# ── Physics ─────────────────────────────────────────────────────────────────────────────────────


def _impossible(office: Office, program: Program, exposure: Exposure) -> Iterator[Finding]:
    stated, boils = exposure.temperature, boiling(office)
    other = other_scale(office, program)
    water = program.process is not None and program.process.agent is Agent.HOT_WATER
    heat = celsius(stated)
    height = office.premises.altitude
    here = f"at {height}" if height is not None else "at sea level"
    at = Quantity(Fraction(round(boils * 10), 10), UNITS["C"])
    if water and heat >= boils:
        why = f"{here} water boils at {at.show_both()} already"
    elif not water and heat <= boils:
        agent = program.process.agent.value if program.process is not None else "this"
        why = f"{here} water only boils at {at.show_both()}, and {agent} is hotter"
        other = other or _hotter(stated, boils)
    elif other is not None:
        why = "no published cycle of this process comes near it"
    else:
        return
    fix = "Take the temperature from the maker's instructions."
    if other is not None:
        fix = f"Was {other} meant? That is {other.to(stated.unit).show()}."
    elif water:
        fix = "Choose a cooler program with a longer hold: the A0 is what counts."
    yield finding(
        "L03",
        exposure.span,
        f"“{program.title}” is said to work at {stated.show_both()}, but {why}.",
        floor="The machine cannot do this, or someone sets it by a figure that means something else.",
        fix=fix,
    )


def _hotter(stated: Quantity, boils: float) -> Quantity | None:
    """The same figure in Celsius, where it stands in Fahrenheit and would then be above boiling."""
    other = Quantity(stated.value, UNITS["C"])
    return other if stated.unit.name == "F" and celsius(other) > boils else None


def _pressure(office: Office, program: Program, exposure: Exposure) -> Iterator[Finding]:
    if program.steam is None or program.pressure is None:
        return
    reading, kind = program.pressure
    place = program.pressure_span or program.span
    altitude = metres(office)
    if kind != "absolute" and altitude is None:
        yield finding(
            "L02",
            place,
            f"“{program.title}” gives a gauge pressure, but the office does not say how high it lies.",
            floor="The same steam reads 3.5 psi more at 7,200 ft than at the coast: no one can tell whether the "
            "figure is right.",
            fix="Add `altitude …` to the office; or write `absolute` behind the pressure if the display shows that.",
        )
        return
    right = steam_pressure(exposure.temperature, kind, altitude or 0.0)
    shown = float(reading.to("kPa").value)
    if right is None or true_pressure(office, program):
        return
    where = "" if kind == "absolute" else f" at {office.premises.altitude}"
    off = "low" if shown < right else "high"
    yield finding(
        "L01",
        place,
        f"“{program.title}” at {exposure.temperature.show_both()} shows {in_kpa_and_psi(right)} {kind}{where}; "
        f"the text says {reading.show_both()}, {in_kpa_and_psi(abs(shown - right))} too {off}.",
        floor=_harm(exposure.temperature, shown, kind, altitude or 0.0, off),
        fix=_mend(exposure.temperature, reading, right, shown, kind, altitude),
        notes=[Note("the temperature stands here", exposure.span)],
    )


def _harm(temperature: Quantity, shown: float, kind: str, altitude: float, off: str) -> str:
    if off == "high":
        return "Every good cycle looks wrong; or staff take it that the gauge is always out, and heed it no more."
    real = steam_temperature(shown, kind, altitude)
    if real is None:
        return "A cycle that never came near its temperature would look right on the gauge."
    left = round(lethal_rate(real, celsius(temperature)) * 100)
    cooler = Quantity(Fraction(round(real * 10), 10), UNITS["C"])
    return (
        f"Steam at that reading has only {cooler.show_both()}: {left} % of the killing in the same time, and it would "
        "look right on the gauge."
    )


def _mend(
    temperature: Quantity, reading: Quantity, right: float, shown: float, kind: str, altitude: float | None
) -> str:
    for other, said in (("absolute", "write `absolute` behind it"), ("gauge", "write `gauge` behind it")):
        there = steam_pressure(temperature, other, altitude or 0.0)
        known = other == "absolute" or altitude is not None
        if other != kind and known and there is not None and fits(shown, there):
            return f"The figure fits {other} pressure: if the display shows that, {said}."
    sea = steam_pressure(temperature, "gauge", 0.0)
    coast = kind != "absolute" and sea is not None and fits(shown, sea)
    lead = "The figure is that of sea level. " if coast else ""
    return (
        f"{lead}Write `pressure {as_displayed(right, reading.unit.name)} {kind}`, after looking at the display; five "
        "kilopascals (0.7 psi) more or less are let pass, as weather moves the air by two or three."
    )


# ── What a row says must be heeded ──────────────────────────────────────────────────────────────


def _heeded(office: Office, procedure: Procedure) -> Iterator[Finding]:
    for step in procedure.steps():
        for run in step.runs:
            device = office.devices.get(run.device)
            program = device.programs.get(run.program) if device else None
            if program is not None:
                yield from _run(office, procedure, step, program, run.span)


def _run(office: Office, procedure: Procedure, step: Step, program: Program, span: Span) -> Iterator[Finding]:
    # A program for both kinds of load may be run here for the wrapped ones.
    if "wrapped" in program.suits:
        return
    minimums = [minimum for each in judged(office, program) for minimum in each.minimums]
    rows = {minimum.name: minimum for minimum in minimums}
    barred = {each for row in rows.values() for each in row.never_for}
    for name in procedure.handles:
        item = office.items.get(name)
        found = sorted(barred & item.properties) if item is not None else []
        if item is not None and found:
            row = next(row for row in rows.values() if found[0] in row.never_for)
            yield finding(
                "L12",
                span,
                f"“{procedure.title}” runs “{program.title}” with {item.title}, which is {found[0]}: never for "
                f"these {source_of(office, row)}.",
                floor=f"{item.title} goes into a patient from a cycle that is not for it.",
                fix="Package it and run a cycle for wrapped loads; or take it out of `handles`.",
                notes=[Note("the bar stands here", row.span), Note(f"{item.title} is declared here", item.span)],
            )
    signals = [signal for row in rows.values() for signal in row.signals]
    if signals and not step.signals and not procedure.signals:
        row = next(row for row in rows.values() if row.signals)
        yield finding(
            "L13",
            span,
            f"“{procedure.title}” runs “{program.title}” and carries no word of caution.",
            floor="It becomes the quick way for every day.",
            fix=f'Add to the step or the procedure: {signals[0].word.value} "{signals[0].text}"',
            notes=[Note("the published row asks for it here", row.span)],
        )
