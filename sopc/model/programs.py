"""Programs of machines, and what published tables ask of programs and readings, out of their declarations."""

from __future__ import annotations

from fractions import Fraction

from sopc.findings import Finding, Note, Severity
from sopc.language.syntax import span_of, text_of
from sopc.model.acts import signal
from sopc.model.entries import PROCESSES, Clause, Entry, inner_clauses, said_twice
from sopc.model.nouns import Agent, Bounds, Exposure, Minimum, Process, Program, Property
from sopc.model.values import Values
from sopc.model.work import column_limit, known_unit
from sopc.source import Span
from sopc.trade.quantities import Dimension

AGENTS = {
    "steam": Agent.STEAM,
    "dry_heat": Agent.DRY_HEAT,
    "chemical_vapor": Agent.CHEMICAL_VAPOR,
    "hot_water": Agent.HOT_WATER,
    "hot_air": Agent.HOT_AIR,
}
_WAYS = ("AIR_REMOVAL", "AIR_MOVEMENT", "BEFORE", "WITHOUT")


def program(values: Values, entry: Entry, clause: Clause) -> Program:
    """One program of a device."""
    name = clause.node.token("NAME")
    inner = Entry(
        "program",
        str(name),
        text_of(clause.node.token("STRING")) or str(name),
        span_of(clause.file, name or clause.node),
        clause.file,
        entry.pack,
        inner_clauses(clause),
        entry.overridden_in(f"program {name}"),
    )
    said_twice(values.findings, inner)
    pressure, suits, drying = inner.one("pressure"), inner.one("suits"), inner.one("drying")
    reading = values.amount(pressure, Dimension.PRESSURE)
    how = pressure.node.token("PRESSURE_KIND") if pressure else None
    return Program(
        **values.common(inner),
        process=_process(values, inner),
        exposure=_exposure(values, inner),
        drying=values.span_in(drying, Dimension.TIME),
        pressure=(reading, str(how) if how else "gauge") if reading else None,
        suits=_loads(suits),
        lasts=values.duration(inner.one("lasts")),
        a0=_a0(inner),
        drying_span=_place(drying),
        pressure_span=_place(pressure),
        a0_span=_place(inner.one("a0")),
    )


def minimum(values: Values, entry: Entry) -> Minimum:
    """One row of a published table of exposures."""
    never = entry.one("never_for")
    return Minimum(
        **values.common(entry),
        process=_process(values, entry),
        loads=_loads(entry.one("loads")),
        exposure=_exposure(values, entry),
        drying=values.span_in(entry.one("drying"), Dimension.TIME),
        a0=_a0(entry),
        signals=tuple(signal(clause) for clause in entry.all("signal")),
        never_for=tuple(properties(never)) if never else (),
    )


def bounds(values: Values, entry: Entry) -> Bounds:
    """Published bounds of a reading."""
    reading = entry.one("reading")
    unit = reading.node.token("UNIT") if reading else None
    limit = None
    if reading is not None and unit is not None:
        known_unit(values, unit, reading.file)
        limit = column_limit(values, reading, "quantity", ())
    return Bounds(
        **values.common(entry),
        kinds=values.names(entry.one("on_kinds"), "kind"),
        unit=str(unit) if unit else "",
        limit=limit,
        goal=entry.one("goal") is not None,
    )


def properties(clause: Clause) -> list[Property]:
    """What the property nodes of a clause, or the clause itself, name."""
    nodes = [clause.node] if clause.node.kind == "property" else list(clause.node.nodes("property"))
    return [Property(" ".join(str(token) for token in node.words())) for node in nodes]


def _process(values: Values, entry: Entry) -> Process | None:
    found = list(entry.all(*PROCESSES))
    if not found:
        return None
    for clause in found[1:]:
        values.findings.append(
            Finding(
                "N05",
                Severity.ERROR,
                clause.span,
                f"{entry.kind.capitalize()} “{entry.name}” works in two ways at once.",
                "Nobody could tell which numbers hold.",
                (),
                f"Keep one of them; write a {entry.kind} of its own for the other.",
                (Note("the first stands here", found[0].span),),
            )
        )
    word = found[0].node.token(*_WAYS)
    return Process(AGENTS[found[0].node.kind], str(word) if word else "", found[0].span)


def _exposure(values: Values, entry: Entry) -> Exposure | None:
    at = entry.one("exposure")
    if at is None:
        return None
    temperature = values.amount(at, Dimension.TEMPERATURE)
    held = values.span_in(at, Dimension.TIME)
    return Exposure(temperature, held[0], held[1], at.span) if temperature and held else None


def _loads(clause: Clause | None) -> tuple[str, ...]:
    return tuple(str(token) for token in clause.node.tokens("LOAD_KIND")) if clause else ()


def _a0(entry: Entry) -> Fraction | None:
    clause = entry.one("a0")
    token = clause.node.token("NUMBER") if clause else None
    return Fraction(str(token)) if token is not None else None


def _place(clause: Clause | None) -> Span | None:
    return clause.span if clause is not None else None
