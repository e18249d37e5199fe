"""Follows items from the chair and from page to page: what one procedure leaves in a zone, the next one finds there."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.report import finding, title
from sopc.checks.rooms.borders import Borders
from sopc.checks.rooms.trips import NOWHERE_YET, Trip
from sopc.findings import Finding, Note
from sopc.model.nouns import Circuit, Visit
from sopc.source import Span


def check(borders: Borders) -> Iterator[Finding]:
    """An item goes from the chair, or from one stage of its circuit, to the next only where `flow` leads (Z01)."""
    for circuit in borders.office.circuits.values():
        yield from _circuit(borders, circuit)


def _circuit(borders: Borders, circuit: Circuit) -> Iterator[Finding]:
    office = borders.office
    told: set[tuple[str, str, str]] = set()
    for item in circuit.items:
        starts = [(frozenset((NOWHERE_YET,)), "")]
        starts += [found for visit in office.visits.values() for found in _after_visit(borders, visit, item)]
        for zones, before in starts:
            yield from _stages(borders, circuit, item, zones, before, told)


def _after_visit(borders: Borders, visit: Visit, item: str) -> Iterator[tuple[frozenset[str], str]]:
    """Where a visit leaves an item, and by what: the chair, or the last procedure done afterwards that handles it."""
    if item not in {name for _, name in visit.needs}:
        return
    office = borders.office
    kinds = {device.name: device.kind for device in office.devices.values()}
    chairs = [device for device in office.devices.values() if {device.name, kinds[device.name]} & set(visit.chairs)]
    areas = [office.areas[device.area] for device in chairs if device.area]
    zones = frozenset(area.zone for area in areas if area.zone)
    before = visit.title
    for name in visit.afterwards:
        trip = borders.tracker.trip(name, item)
        if trip.last != frozenset((NOWHERE_YET,)):
            zones, before = trip.last - {NOWHERE_YET}, title(office.procedures, name)
    yield zones, before


def _stages(
    borders: Borders,
    circuit: Circuit,
    item: str,
    zones: frozenset[str],
    before: str,
    told: set[tuple[str, str, str]],
) -> Iterator[Finding]:
    for stage in circuit.stages:
        trip = borders.tracker.trip(stage.procedure, item)
        for source, target in _crossings(zones, trip):
            key = (stage.procedure, source, target)
            if borders.allowed(source, target) or key in told:
                continue
            told.add(key)
            yield _handed_against(borders, circuit, item, before, stage.procedure, key, stage.span)
        if trip.last != frozenset((NOWHERE_YET,)):
            zones, before = trip.last - {NOWHERE_YET}, title(borders.office.procedures, stage.procedure)


def _crossings(zones: frozenset[str], trip: Trip) -> Iterator[tuple[str, str]]:
    for source in sorted(zones - {NOWHERE_YET}):
        for target in sorted(trip.first - {NOWHERE_YET}):
            if source != target:
                yield source, target


def _handed_against(
    borders: Borders, circuit: Circuit, item: str, before: str, after: str, key: tuple[str, str, str], span: Span
) -> Finding:
    _, source, target = key
    procedure = borders.office.procedures[after]
    return finding(
        "Z01",
        span,
        f"On “{circuit.title}” {title(borders.office.items, item)} comes from “{before}” in "
        f"“{borders.zone(source)}” to “{procedure.title}” in “{borders.zone(target)}”, and no `flow` leads that way.",
        floor="Clean and soiled things pass each other on the way from one page to the next.",
        fix=f"End the one where the other begins, or declare `flow {source} to {target}`.",
        notes=[Note("the procedure begins here", procedure.span)],
    )
