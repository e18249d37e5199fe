"""The order of work that a day is proven with: what each chair, machine and person does, one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sopc.checks.day import OfficeDay, clock
from sopc.checks.day_network import points_of, units_held
from sopc.checks.day_proof import Safe
from sopc.documents import wording
from sopc.documents.register import Cell, Column, Section, Table
from sopc.trade.network import Bound, Link, Network, windows
from sopc.trade.simulation import Job, Visit


@dataclass(frozen=True, slots=True)
class Turn:
    """One thing in somebody's order: when it begins at the earliest on a slow day (seconds), and what it is."""

    begins: int
    what: str


@dataclass(frozen=True, slots=True)
class Order:
    """The turns of one unit of a machine or of one person."""

    title: str
    person: bool
    turns: tuple[Turn, ...]


def orders_of(made: OfficeDay, proof: Safe) -> tuple[Order, ...]:
    """The order of every chair, machine and person; hours are those of a day on which all takes its longest."""
    points = points_of(proof.run)
    earliest = [window.earliest or 0 for window in windows(_slow(proof.network), 0)]
    times = [
        (
            [earliest[points.start(job.number, place)] for place in range(len(job.starts))],
            [earliest[points.end(job.number, place)] for place in range(len(job.ends))],
        )
        for job in proof.run.jobs
    ]
    held = units_held(made, proof.run, times)
    found = []
    for pool in made.day.pools:
        units = [unit for unit in held.get(pool, ()) if unit]
        for number, unit in enumerate(units, 1):
            title = made.unit_title(pool, number)
            turns = [(times[job][0][first], job, _what(made, proof.run.jobs, job, first)) for job, first, _ in unit]
            found.append(Order(title, pool.startswith("role "), _joined(turns)))
    return tuple(sorted(found, key=lambda order: order.person))


def order_section(orders: Sequence[Order]) -> Section:
    """The table of orders."""
    rows = [
        (Cell(order.title), Cell("; ".join(f"{clock(turn.begins)} {turn.what}" for turn in order.turns)))
        for order in orders
    ]
    text = (
        "Whoever keeps to this order, and begins each thing as soon as what stands before it is done and the page "
        "allows it, keeps every limit, whatever machines and patients take. The hours are those of a day on which "
        "everything takes its longest; on a quicker day each comes sooner, in the same order."
    )
    return Section(
        "The order of work", text, (Table((Column("Who or what", "22%"), Column("In this order", "")), tuple(rows)),)
    )


def _slow(network: Network) -> Network:
    """Machines and patients at their longest."""
    fixed: list[Bound] = []
    for link in network.links:
        most = link.low if link.high is None else link.high
        fixed += Link(link.activation, most, most, link.contingent_end, link.clause).as_bounds()
    return Network(network.size, (*network.bounds, *fixed))


def _what(made: OfficeDay, jobs: Sequence[Job], number: int, first: int) -> str:
    job = jobs[number]
    if isinstance(job.work, Visit):
        visit = made.office.visits[job.work.name]
        own = visit.title if first == 0 else f"after {wording.small(visit.title)}"
        return f"{own} ({clock(job.ready)})"
    counts = {item: job.units.count(item) for item in dict.fromkeys(job.units)}
    sets = wording.in_series(
        f"{count} × {wording.small(made.office.items[item].title)}" for item, count in counts.items()
    )
    procedure = made.office.procedures[job.work.name]
    return f"{procedure.id or procedure.title}, {sets}"


def _joined(turns: Sequence[tuple[int, int, str]]) -> tuple[Turn, ...]:
    """Turns of one job that follow each other as one; turns alike of several jobs as one that comes several times."""
    found: list[tuple[int, str, list[int]]] = []
    for begins, job, what in turns:
        if found and found[-1][1] == what:
            found[-1][2].append(job)
        else:
            found.append((begins, what, [job]))
    return tuple(
        Turn(begins, what if len(set(jobs)) == 1 else f"{what}, {len(set(jobs))} times") for begins, what, jobs in found
    )
