"""The limits along circuits in a day plan: at the quickest, at the worst, allowed."""

from __future__ import annotations

from dataclasses import dataclass

from sopc.checks.day import MINUTE, OfficeDay
from sopc.checks.day_limits import limits_of, quickest, reaches_of
from sopc.checks.day_network import network_of
from sopc.checks.day_proof import NotShown, Safe, promised
from sopc.documents.register import Cell, Column, Section, Table
from sopc.documents.way_limits import lifted, order
from sopc.model.nouns import Circuit, WayLimit
from sopc.trade.quantities import show_duration


@dataclass(frozen=True, slots=True)
class LimitFigures:
    """One limit on one day. Seconds; `reached` False: nothing on this day comes under it.

    `earliest`: when nothing waits; `worst`: what the order of work keeps for certain, whatever machines and patients
    take; None when that is not known.
    """

    circuit: Circuit
    limit: WayLimit
    reached: bool
    earliest: int
    worst: int | None
    kept: bool


def limit_figures(made: OfficeDay, proof: Safe | NotShown) -> tuple[LimitFigures, ...]:
    """The figures of every limit along a circuit."""
    reaches = reaches_of(made, proof.run)
    network, open_limits = None, tuple[WayLimit, ...]()
    if isinstance(proof, Safe):
        network = proof.network
    elif proof.limits:
        network = network_of(made, proof.run, handed_over=True, limits=())
        open_limits = tuple(each.limit for each in proof.limits)
    found = []
    for circuit, limit in limits_of(made):
        mine = [reach for reach in reaches if reach.limit == limit]
        earliest = min((quickest(proof.run, reach) for reach in mine), default=0)
        asked = mine and network is not None and limit.most is not None
        worst = promised(made, proof.run, network, limit) if asked and network is not None else None
        kept = network is not None and limit not in open_limits
        found.append(LimitFigures(circuit, limit, bool(mine), earliest, worst, kept))
    return tuple(found)


def limits_section(made: OfficeDay, figures: tuple[LimitFigures, ...]) -> Section:
    """The table of limits along circuits."""
    rows = []
    for each in figures:
        text = lifted(made.office, each.limit)
        what = f"{each.circuit.title}: {order(made.office, each.limit)}" + (f" (not {text})" if text else "")
        least = f"at least {each.limit.least}" if each.limit.least is not None and each.limit.least.base else ""
        most = str(each.limit.most) if each.limit.most is not None else ""
        rows.append(
            (
                Cell(what),
                Cell(_minutes(each.earliest) if each.reached else "–", number=True),
                Cell(_minutes(each.worst) if each.worst is not None else "–", number=True),
                Cell(", ".join(part for part in (least, most) if part), number=True),
                Cell(_verdict(each), strong=True),
            )
        )
    columns = (
        Column("Limit", ""),
        Column("Earliest", "11%", True),
        Column("At worst", "12%", True),
        Column("Allowed", "12%", True),
        Column("Verdict", "15%"),
    )
    text = (
        "From one procedure into the next, for every item of the circuit. Earliest: nothing waits. At worst: what the "
        "order of work keeps for certain, waits for full loads and busy machines included."
    )
    return Section("Limits along the way", text, (Table(columns, tuple(rows)),), keep=True)


def _verdict(figures: LimitFigures) -> str:
    if not figures.reached:
        return "does not arise"
    return "kept" if figures.kept else "not shown"


def _minutes(seconds: int) -> str:
    return show_duration(-(-seconds // MINUTE) * MINUTE) if seconds else "none"
