"""People, places, machines, items, supplies and actions out of their declarations."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from sopc.findings import Finding, Severity
from sopc.language.syntax import Node, span_of, text_of
from sopc.model.entries import Clause, Entry
from sopc.model.nouns import (
    Action,
    Area,
    Category,
    Condition,
    Device,
    Dilution,
    Item,
    Kind,
    Piece,
    Ppe,
    Program,
    Property,
    Role,
    Source,
    Supply,
    Zone,
)
from sopc.model.programs import program, properties
from sopc.model.values import Values, text
from sopc.source import Span
from sopc.trade.quantities import Dimension, Quantity


def source(values: Values, entry: Entry) -> Source:
    authority = entry.one("authority")
    token = authority.node.token("AUTHORITY") if authority else None
    return Source(
        **_common(values, entry),
        authority=str(token) if token else "guideline",
        publisher=text(entry.one("publisher")),
        year=values.whole(entry.one("year")),
        reference=text(entry.one("reference")),
    )


def role(values: Values, entry: Entry) -> Role:
    duty = entry.one("on_duty")
    tokens = duty.node.tokens("NUMBER") if duty else []
    numbers = [values.whole_token(token, entry.file) for token in tokens] if duty else [1]
    if None in numbers:
        numbers = [1]  # told already
    least, most = numbers[0] or 0, numbers[-1] or 0
    if duty and (most < least or most == 0):
        values.findings.append(
            Finding(
                "Q03",
                Severity.ERROR,
                duty.span,
                "The numbers on duty run backwards or are zero.",
                "Nobody could tell how many people are there to do the work.",
                (),
                "Write the smallest number first: on duty 1 to 2.",
            )
        )
    return Role(
        **_common(values, entry),
        stands_in_for=values.names(entry.one("stands_in"), "role"),
        on_duty=(least, most),
    )


def zone(values: Values, entry: Entry) -> Zone:
    return Zone(
        **_common(values, entry),
        admits=values.names(entry.one("admits"), "condition"),
        keeps=values.names(entry.one("keeps"), "condition"),
        protects=_protects(values, entry),
    )


def area(values: Values, entry: Entry) -> Area:
    return Area(**_common(values, entry), zone=values.one_name(entry.one("in_zone"), "zone"))


def ppe(values: Values, entry: Entry) -> Ppe:
    return Ppe(
        **_common(values, entry),
        put_on=values.whole(entry.one("put_on")),
        take_off=values.whole(entry.one("take_off")),
        off_before_clean=entry.one("off_before_clean") is not None,
        once_off=values.names(entry.one("once_off"), "action"),
    )


def kind(values: Values, entry: Entry) -> Kind:
    return Kind(**_common(values, entry))


def device(values: Values, entry: Entry, kind_name: str | None) -> Device:
    holds = entry.one("holds")
    held = tuple(
        (values.whole_token(pair.tokens("NUMBER")[0], holds.file, least=1) or 1, name)
        for pair in (holds.node.nodes("held") if holds else ())
        if holds and (name := values.name(pair.tokens("NAME")[0], holds.file, "item")) is not None
    )
    programs: dict[str, Program] = {}
    for clause in entry.all("program"):
        made = program(values, entry, clause)
        if made.name in programs:
            values.findings.append(
                Finding(
                    "N02",
                    Severity.ERROR,
                    made.span,
                    f"The program “{made.name}” of “{entry.name}” is declared twice.",
                    "Nobody could tell which one to start.",
                    (),
                    "Rename or delete one of them.",
                )
            )
        programs[made.name] = made
    fixed = values.names(entry.one("fixed"), "area")
    return Device(
        **_common(values, entry),
        kind=kind_name,
        area=values.one_name(entry.one("in_area"), "area") or next(iter(fixed), None),
        fixed=fixed,
        holds=held,
        count=values.whole(entry.one("count"), least=1) or 1,
        instructions=text(entry.one("instructions")),
        serial=text(entry.one("serial")),
        programs=programs,
    )


def item(values: Values, entry: Entry) -> Item:
    found = [known for clause in entry.all("property") for known in properties(clause)]
    categories = [category for known in found for category in Category if known.value == category.value]
    heats = [known for known in found if known in (Property.HEAT_STABLE, Property.HEAT_SENSITIVE)]
    if len(categories) > 1 or len(heats) > 1:
        values.findings.append(
            Finding(
                "N05",
                Severity.ERROR,
                entry.span,
                f"Item “{entry.name}” is put in two classes at once.",
                "Two classes ask for two different treatments.",
                (),
                "Keep the stricter one.",
            )
        )
    return Item(
        **_common(values, entry),
        category=categories[0] if categories else None,
        heat=heats[0].value.removeprefix("heat ") if heats else None,
        properties=frozenset(found),
        count=values.whole(entry.one("count")),
        instructions=text(entry.one("instructions")),
        fixed=values.names(entry.one("fixed"), "area"),
    )


def condition(values: Values, entry: Entry) -> Condition:
    return Condition(
        **_common(values, entry),
        excludes=values.names(entry.one("excludes"), "condition"),
        only_after=values.names(entry.one("only_after"), "condition"),
        again_after=values.names(entry.one("again_after"), "condition"),
        wrapped=entry.one("wrapped") is not None,
    )


def supply(values: Values, entry: Entry) -> Supply:
    dilute = entry.one("dilute")
    dilution = None
    if dilute is not None:
        parts = [Fraction(str(token)) for token in dilute.node.tokens("NUMBER")]
        if parts[0] == 0 or parts[1] == 0:
            values.findings.append(
                Finding(
                    "Q03",
                    Severity.ERROR,
                    dilute.span,
                    "A dilution needs parts above zero.",
                    "Nobody could mix it.",
                    (),
                    "One in ten is: dilute 1 part to 9 parts.",
                )
            )
        else:
            dilution = Dilution(parts[0], parts[1], text_of(dilute.node.token("STRING")) or "water", dilute.span)
    within, contact, stays_wet = entry.one("use_within"), entry.one("contact"), entry.one("stays_wet")
    strength, works_at = entry.one("strength"), entry.one("works_at")
    return Supply(
        **_common(values, entry),
        dilution=dilution,
        stock=_concentration(values, entry.one("stock")),
        strength=_strength(values, strength),
        works_at=_works_at(values, works_at),
        container=values.amount(entry.one("container"), Dimension.VOLUME),
        use_within=values.amount(within, Dimension.TIME),
        contact=values.span_in(contact, Dimension.TIME),
        stays_wet=values.amount(stays_wet, Dimension.TIME),
        not_with=values.names(entry.one("not_with"), "supply"),
        instructions=text(entry.one("instructions")),
        registration=text(entry.one("registration")),
        area=values.one_name(entry.one("in_area"), "area"),
        single_use=entry.one("supply_single_use") is not None,
        protects=_protects(values, entry),
        use_within_span=within.span if within else None,
        contact_span=contact.span if contact else None,
        strength_span=strength.span if strength else None,
        works_at_span=works_at.span if works_at else None,
        stays_wet_span=stays_wet.span if stays_wet else None,
    )


def _concentration(values: Values, clause: Clause | None) -> Quantity | None:
    node = clause.node.node("quantity") if clause is not None else None
    return _concentration_node(values, node, clause.file) if node is not None and clause is not None else None


def _strength(values: Values, clause: Clause | None) -> tuple[Quantity, ...]:
    if clause is None:
        return ()
    found = (_concentration_node(values, node, clause.file) for node in clause.node.nodes("quantity"))
    return tuple(value for value in found if value is not None)


def _works_at(values: Values, clause: Clause | None) -> tuple[Quantity, Quantity] | None:
    ends = values.span_in(clause, None)
    if ends is None or clause is None or not all(_holds_something(values, end, clause.span) for end in ends):
        return None
    return ends


def _concentration_node(values: Values, node: Node, file: str) -> Quantity | None:
    value = values.quantity_node(node, file, None)
    return value if value is not None and _holds_something(values, value, span_of(file, node)) else None


def _holds_something(values: Values, value: Quantity, span: Span) -> bool:
    """Whether a quantity says how much of a substance is in a solution."""
    if value.dimension is Dimension.FRACTION and value.value > 100:
        values.findings.append(
            Finding(
                "Q03",
                Severity.ERROR,
                span,
                f"There is no solution of {value}.",
                "Whatever is mixed by it is of another strength than the page says.",
                (),
                "The whole is 100 %.",
            )
        )
        return False
    if value.dimension in (Dimension.FRACTION, Dimension.CONCENTRATION):
        return True
    values.findings.append(
        Finding(
            "Q02",
            Severity.ERROR,
            span,
            f"A strength is needed here, but {value} is a {value.dimension.value}.",
            "The number would be read as something it is not.",
            (),
            "Give it in %, ppm or mg/L.",
        )
    )
    return False


def action(values: Values, entry: Entry) -> Action:
    only, never, needs = entry.one("only_for"), entry.one("never_for"), entry.one("needs")
    return Action(
        **_common(values, entry),
        needs=values.names(needs, "condition"),
        brings=values.names(entry.one("brings"), "condition"),
        undoes=values.names(entry.one("undoes"), "condition"),
        only_for=tuple(properties(only)) if only else (),
        never_for=tuple(properties(never)) if never else (),
        with_any=values.names(entry.one("needs_kind"), "kind", "device", "supply"),
        holds_contact_time=entry.one("contact_time") is not None,
        removes_chemicals=entry.one("rinses_off") is not None,
        protects=_protects(values, entry),
        needs_span=needs.span if needs else None,
    )


def _protects(values: Values, entry: Entry) -> tuple[Piece, ...]:
    clause = entry.one("protects")
    if clause is None:
        return ()
    found = (
        tuple(name for token in node.tokens("NAME") if (name := values.name(token, clause.file, "ppe")) is not None)
        for node in clause.node.nodes("piece")
    )
    return tuple(Piece(names) for names in found if names)


def _common(values: Values, entry: Entry) -> dict[str, Any]:
    return values.common(entry)


BUILDERS: dict[str, Callable[[Values, Entry], Any]] = {
    "source": source,
    "role": role,
    "zone": zone,
    "area": area,
    "ppe": ppe,
    "kind": kind,
    "item": item,
    "condition": condition,
    "supply": supply,
    "action": action,
}
