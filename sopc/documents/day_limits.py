"""The limits along circuits in a day plan: at the quickest, at the worst, allowed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sopc.checks.days.day import MINUTE, OfficeDay
from sopc.checks.days.limits import limits_of, quickest, reaches_of
from sopc.checks.days.network import network_of
from sopc.checks.days.proof import Asked, NotShown, Safe, bare_of, promise_asked
from sopc.documents.register import Cell, Column, Section, Table
from sopc.documents.way_limits import lifted, order
from sopc.documents.working_out import Work, here
from sopc.model.nouns import Circuit, WayLimit
from sopc.trade.network import Network
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


def limit_figures(made: OfficeDay, proof: Safe | NotShown, work: Work = here) -> Callable[[], tuple[LimitFigures, ...]]:
    """The figures of every limit along a circuit, when they are asked for; what takes long is begun at once."""
    reaches = reaches_of(made, proof.run)
    network, open_limits = None, tuple[WayLimit, ...]()
    if isinstance(proof, Safe):
        network = proof.network
    elif proof.limits:
        network = network_of(made, proof.run, handed_over=True, limits=())
        open_limits = tuple(each.limit for each in proof.limits)
    told = []
    for circuit, limit in limits_of(made):
        mine = [reach for reach in reaches if reach.limit == limit]
        earliest = min((quickest(proof.run, reach) for reach in mine), default=0)
        kept = network is not None and limit not in open_limits
        told.append(LimitFigures(circuit, limit, bool(mine), earliest, None, kept))
    if network is None:
        return lambda: tuple(told)
    asking = [place for place, each in enumerate(told) if each.reached and each.limit.most is not None]
    asked = [promise_asked(made, proof.run, told[place].limit) for place in asking]
    answer = work(_promises, bare_of(network), asked, made.ready_by)
    return lambda: _with_promises(told, asking, answer())


def _promises(bare: Network, asked: Sequence[Asked], high: int) -> list[int | None]:
    return [each.answer(bare, high) for each in asked]


def _with_promises(
    told: Sequence[LimitFigures], asking: Sequence[int], worst: Sequence[int | None]
) -> tuple[LimitFigures, ...]:
    found = list(told)
    for place, seconds in zip(asking, worst, strict=True):
        found[place] = replace(found[place], worst=seconds)
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
