"""The dilution table: how much concentrate and how much water make a bottle, how strong it is, how long it keeps."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from sopc.checks.figures.solutions import made
from sopc.documents import wording
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.documents.sources import cited, numbered, source_list
from sopc.model.nouns import Dilution, Office, Supply
from sopc.trade.dilution import PPM_IN_PERCENT, as_ppm, filling, show_measured
from sopc.trade.quantities import NBSP, UNITS, Quantity, show_number

CONTAINERS: tuple[tuple[str, Fraction], ...] = (
    (f"500{NBSP}mL", Fraction(500)),
    (f"1{NBSP}qt (946{NBSP}mL)", UNITS["qt"].factor),
    (f"1{NBSP}L", Fraction(1000)),
    (f"5{NBSP}L", Fraction(5000)),
)
"""Common containers and what they hold, in mL."""


def dilution_plan(office: Office) -> Plan:
    """Return the table of all supplies that are mixed, and of those that are used as they are but must stay wet."""
    mixed = [supply for supply in office.supplies.values() if supply.dilution is not None]
    ready = [
        supply
        for supply in office.supplies.values()
        if supply.dilution is None and (supply.contact or supply.use_within)
    ]
    own = any(supply.container is not None for supply in mixed)
    numbers = numbered(citation for supply in [*mixed, *ready] for citation in supply.citations)
    # Who mixes more than a litre says in what; the widest column makes room for it.
    common = CONTAINERS[:-1] if own else CONTAINERS
    heads = (
        ("Product", "27%"),
        *([("Our own container", "16%")] if own else []),
        *((name, "") for name, _ in common),
        ("Strength", "13%"),
    )
    sections = (
        [
            Section(
                "What to measure for a full container",
                "First the concentrate, then the water, as the label says. Each pair adds up to the container: "
                "**concentrate + water**.",
                (plain_table(heads, [_amounts(supply, own) for supply in mixed]),),
            )
        ]
        if mixed
        else []
    )
    use = (
        ("Product", "27%"),
        ("Contact time", "17%"),
        ("Use within", "17%"),
        ("Never with", "19%"),
        ("Instructions, sources", "20%"),
    )
    if mixed or ready:
        sections.append(
            Section(
                "How to use them",
                tables=(plain_table(use, [_use(office, each, numbers) for each in [*mixed, *ready]]),),
            )
        )
    sections += source_list(office, numbers)
    lead = (
        "Parts are parts of the finished mix: 1 part + 9 parts makes 10. Label each bottle with product, strength, "
        "date and time of mixing, and initials; pour out what is older than “use within” says. The surface must stay "
        "wet for the whole contact time. Never mix a product with another."
    )
    return Plan("dilutions", "Dilutions", lead, tuple(sections))


def strength(supply: Supply) -> str:
    """Return what the mix holds of its active substance; empty when neither it nor its stock is stated."""
    value = made(supply)
    if value is None and supply.strength:
        value = as_ppm(supply.strength[0])
    if value is None:
        return ""
    return f"{_three_digits(value)}{NBSP}ppm ({show_number(value / PPM_IN_PERCENT, 3)}{NBSP}%)"


def amount(supply: Supply) -> str:
    """Say how much concentrate makes the office's own container full: 95 mL makes 1 qt; empty when it names none."""
    mix, own = supply.dilution, supply.container
    if mix is None or own is None:
        return ""
    full = filling(mix.concentrate_parts, mix.diluent_parts, own.base)
    return f"{show_measured(full.concentrate)} makes {own}"


def _pair(mix: Dilution, container: Quantity) -> str:
    """What to measure out for a container: 95 + 852 mL."""
    return str(filling(mix.concentrate_parts, mix.diluent_parts, container.base))


def _amounts(supply: Supply, own: bool) -> tuple[Cell, ...]:
    mix = supply.dilution
    if mix is None:
        return ()
    stock = f"Stock {supply.stock}" if supply.stock is not None else ""
    under = tuple(line for line in (wording.dilution(mix), stock) if line)
    cells = [Cell(supply.title, under=under)]
    container = supply.container
    if own:
        under = (f"in {container.show_both()}",) if container is not None else ()
        cells.append(Cell(_pair(mix, container) if container is not None else "–", under=under, strong=True))
    common = CONTAINERS[:-1] if own else CONTAINERS
    cells += [Cell(_pair(mix, Quantity(total, UNITS["mL"]))) for _, total in common]
    asked = f"Asked for: {_asked(supply.works_at)}" if supply.works_at is not None else ""
    cells.append(Cell(strength(supply) or "–", under=(asked,) if asked else ()))
    return tuple(cells)


def _asked(ends: tuple[Quantity, Quantity]) -> str:
    """The label's range; a single figure is the least."""
    return f"at least {ends[0]}" if ends[0] == ends[1] else wording.time_range(*ends)


def _three_digits(value: Fraction) -> str:
    """Round to three digits, as no mix by hand is more exact."""
    size = 1
    while value / size >= 1000:
        size *= 10
    return show_number(Fraction(round(value / size)) * size, 0) if value >= 100 else show_number(value, 1)


def _use(office: Office, supply: Supply, numbers: Mapping[str, int]) -> tuple[Cell, ...]:
    others = wording.in_series(
        (wording.small(title) for title in wording.titles(office.supplies, supply.not_with)), "or"
    )
    papers = [f"Reg. {supply.registration}"] if supply.registration else []
    papers += [cited(supply.citations, numbers)] if supply.citations else []
    wear = (f"Wear {wording.worn(office, supply.protects)}",) if supply.protects else ()
    return (
        Cell(supply.title, under=wear),
        Cell(
            wording.time_range(*supply.contact) if supply.contact else "–",
            under=(f"Stays wet for {supply.stays_wet}",) if supply.stays_wet else (),
        ),
        Cell(str(supply.use_within) if supply.use_within else "–"),
        Cell(wording.large(others) or "–"),
        Cell(supply.instructions or ("" if papers else "–"), under=tuple(papers)),
    )
