"""Does every item go from zone to zone as the flow allows, and come in only as it may, on every path?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from sopc.checks.items.flow import Flow
from sopc.checks.paths import NodeKind
from sopc.checks.report import asked_by, finding, listed, title
from sopc.checks.rooms import hand_overs, one_way
from sopc.checks.rooms.borders import Borders
from sopc.checks.rooms.trips import NOWHERE_YET, Move, handled
from sopc.checks.walk import walk_told
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Office, Procedure
from sopc.source import Span


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what zones promise. An item is where an action or a performed procedure last handled it.

    1. An item goes from one zone to another only where `flow` says so, within procedures, into performed ones, and
       from one stage of a circuit to the next (Z01).
    2. It comes in only with the conditions that the way (`only`) and the zone (`admits`) ask for (Z02).
    3. What a zone `keeps` comes about, waits and is left there only (Z03).
    4. No item is in two zones at once, in branches side by side (Z04).
    5. A step that performs a procedure with items names a place in a zone where that one handles them (Z06).
    6. Where a flow is declared, items are handled in areas whose zone is known (Z05).
    7. On every circle of ways there is one that asks for something (`one_way`, Z07).
    """
    if not office.zones:
        return
    borders = Borders(office)
    for procedure in office.procedures.values():
        yield from _unplaced(office, procedure)
        if procedure.name in borders.tracker.flows:
            yield from _procedure(borders, procedure)
    yield from one_way.check(borders)
    yield from hand_overs.check(borders)


_Place = tuple[int, str, str, tuple[str, ...]]


def _procedure(borders: Borders, procedure: Procedure) -> Iterator[Finding]:
    found: dict[_Place, tuple[Move, list[str]]] = {}
    for item in handled(borders.office, procedure):
        for move in borders.tracker.moves_of(procedure.name, item):
            place = _fault(borders, procedure, item, move)
            if place is not None:
                found.setdefault(place, (move, []))[1].append(item)
    for (_, source, target, lacking), (move, items) in found.items():
        names = tuple(dict.fromkeys(items))
        if lacking:
            yield _unfit(borders, procedure, move, names, lacking)
        else:
            yield _no_way(borders, procedure, move, names, source, target)
    yield from _kept(borders, procedure)
    yield from _named_elsewhere(borders, procedure)
    yield from _two_places(borders, procedure)


def _fault(borders: Borders, procedure: Procedure, item: str, move: Move) -> _Place | None:
    if move.source == NOWHERE_YET and move.act.performs:
        return None  # the performed procedure starts there, and is held to it itself
    if not borders.allowed(move.source, move.target):
        return (move.node.index, move.source, move.target, ())
    flow = borders.tracker.flows[procedure.name]
    asked = borders.asked(move.source, move.target)
    if move.act.performs:
        passage = borders.passages.get((move.source, move.target))
        asked = passage.only if passage is not None else ()
    lacking = tuple(name for name in asked if not move.held & flow.items.spread(borders.words.mask((name,)), (item,)))
    return (move.node.index, move.source, move.target, lacking) if lacking else None


def _named(office: Office, items: Iterable[str]) -> str:
    return listed([title(office.items, item) for item in items])


def _walk(borders: Borders, procedure: Procedure, move: Move, item: str) -> tuple[WalkStep, ...]:
    """The path, with every zone that the item comes to on it."""
    tracker, flow = borders.tracker, borders.tracker.flows[procedure.name]
    turns: list[str] = []
    here: frozenset[str] = frozenset()
    for edge in move.path:
        node = flow.paths.nodes[edge.source]
        before = here
        if node.kind in (NodeKind.STEP, NodeKind.PERFORM):
            for act in tracker.acts(flow, node, item):
                here = (act.trip.last - {NOWHERE_YET}) or here
        turns.append(f"in {listed([borders.zone(zone) for zone in sorted(here)], 'or')}" if here != before else "")
    return walk_told(flow.paths, list(move.path), turns)


def _where(move: Move) -> str:
    return f"“{move.node.step.title}”" if move.node.step else f"“{move.node.text}”"


def _no_way(
    borders: Borders, procedure: Procedure, move: Move, items: tuple[str, ...], source: str, target: str
) -> Finding:
    things, goal = _named(borders.office, items), borders.zone(target)
    if source == NOWHERE_YET:
        sentence = f"In {_where(move)} {things} is handled in “{goal}”, where no `flow` leads to or from."
        fix = f"Do {_where(move)} in an area of another zone, or say how items come there: `flow … to {target}`."
    else:
        sentence = (
            f"In {_where(move)} {things} comes from “{borders.zone(source)}” into “{goal}”, "
            "and no `flow` leads that way."
        )
        fix = f"Do {_where(move)} in another area, let it come by a way there is, or add `flow {source} to {target}`."
    return finding(
        "Z01",
        move.act.span,
        sentence,
        floor="Clean and soiled things pass each other, and what was clean is touched by what was not.",
        walk=_walk(borders, procedure, move, items[0]),
        fix=fix,
        notes=[Note(f"from here one may go: {_ways_from(borders, source)}", borders.office.zones[source].span)]
        if source in borders.office.zones
        else [],
        asked_by=asked_by(borders.office, borders.office.zones[target]),
    )


def _ways_from(borders: Borders, source: str) -> str:
    ways = [borders.zone(target) for start, target in borders.passages if start == source]
    return listed(ways, "or") if ways else "nowhere"


def _unfit(
    borders: Borders, procedure: Procedure, move: Move, items: tuple[str, ...], lacking: tuple[str, ...]
) -> Finding:
    office = borders.office
    zone, passage = office.zones[move.target], borders.passages.get((move.source, move.target))
    what = listed([title(office.conditions, name).lower() for name in lacking])
    whole = borders.zone(move.target)
    come = "is handled first" if move.source == NOWHERE_YET else f"comes from “{borders.zone(move.source)}”"
    by_way = passage is not None and lacking[0] in passage.only
    span = passage.span if by_way and passage is not None else zone.span
    return finding(
        "Z02",
        move.act.span,
        f"In {_where(move)} {_named(office, items)} {come} in “{whole}” without being {what}."
        if move.source == NOWHERE_YET
        else f"In {_where(move)} {_named(office, items)} {come} into “{whole}” without being {what}.",
        floor=f"What is not {what} stands in “{whole}”, among things that count on it.",
        walk=_walk(borders, procedure, move, items[0]),
        fix=f"Before {_where(move)}, put a step that makes it {what}, or do {_where(move)} in another zone.",
        notes=[Note(f"only what is {what} comes in here", span)],
        asked_by=asked_by(office, zone),
    )


def _kept(borders: Borders, procedure: Procedure) -> Iterator[Finding]:
    """What a zone keeps: it comes about there, and a procedure that starts from it or promises it is there."""
    office, tracker = borders.office, borders.tracker
    for step in procedure.steps():
        zone = tracker.zone_of(step)
        for doing in step.does:
            action = office.actions.get(doing.action)
            for name in action.brings if action is not None and zone is not None else ():
                keeper = borders.keeper(name)
                if keeper not in (None, zone):
                    condition = title(office.conditions, name).lower()
                    what = f"“{step.title}” makes things {condition} in “{borders.zone(zone or '')}”"
                    yield _elsewhere(borders, doing.span, what, keeper or "", name)
    span = procedure.handles_span or procedure.span
    for names, at_end in ((procedure.from_conditions, False), (procedure.to_conditions, True)):
        for name in names:
            yield from _kept_at_ends(borders, procedure, name, at_end, span)


def _kept_at_ends(borders: Borders, procedure: Procedure, name: str, at_end: bool, span: Span) -> Iterator[Finding]:
    keeper = borders.keeper(name)
    if keeper is None:
        return
    trips = [borders.tracker.trip(procedure.name, item) for item in handled(borders.office, procedure)]
    zones = frozenset(zone for trip in trips for zone in (trip.last if at_end else trip.first))
    strange = sorted(zones - {keeper, NOWHERE_YET})
    if strange:
        condition = title(borders.office.conditions, name).lower()
        where = listed([f"“{borders.zone(zone)}”" for zone in strange], "or")
        what = (
            f"“{procedure.title}” promises things {condition}, and leaves them in {where}"
            if at_end
            else f"“{procedure.title}” starts from things {condition}, and handles them first in {where}"
        )
        yield _elsewhere(borders, span, what, keeper, name)


def _elsewhere(borders: Borders, span: Span, what: str, keeper: str, name: str) -> Finding:
    condition = title(borders.office.conditions, name).lower()
    zone = borders.office.zones[keeper]
    return finding(
        "Z03",
        span,
        f"{what}, but what is {condition} is kept in “{borders.zone(keeper)}”.",
        floor=f"Staff look in “{borders.zone(keeper)}” for it; elsewhere nothing guards it.",
        fix=f"Do it in an area of that zone (`zone {keeper}`), or leave “{name}” out.",
        notes=[Note("said here", zone.span)],
        asked_by=asked_by(borders.office, zone),
    )


def _named_elsewhere(borders: Borders, procedure: Procedure) -> Iterator[Finding]:
    office, tracker = borders.office, borders.tracker
    for step in procedure.steps():
        zone = tracker.zone_of(step)
        for performing in step.performs:
            zones = tracker.zones_in(performing.procedure)
            inner = office.procedures.get(performing.procedure)
            if zone is None or inner is None or not zones or zone in zones:
                continue
            where = listed([f"“{borders.zone(name)}”" for name in sorted(zones)])
            yield finding(
                "Z06",
                step.span,
                f"“{step.title}” is to be done in “{borders.zone(zone)}”, but “{inner.title}” handles its items in "
                f"{where}.",
                floor="The page sends them to one place, the page behind it to another.",
                fix="Name an area in the step where the performed procedure works (`in …`).",
                notes=[Note("the performed procedure", inner.span)],
            )


def _two_places(borders: Borders, procedure: Procedure) -> Iterator[Finding]:
    flow, tracker = borders.tracker.flows[procedure.name], borders.tracker
    for fork in flow.paths.joins:
        for item in handled(borders.office, procedure):
            branches: dict[int, set[str]] = {}
            for node, branch in flow.paths.inside(fork):
                for act in tracker.acts(flow, node, item):
                    here = (act.trip.first | act.trip.last) - {NOWHERE_YET}
                    branches.setdefault(branch, set()).update(here)
            zones = {zone for each in branches.values() for zone in each}
            if len(branches) > 1 and len(zones) > 1:
                yield _both(borders, flow, fork, item, zones)
                break


def _both(borders: Borders, flow: Flow, fork: int, item: str, zones: set[str]) -> Finding:
    where = listed([f"“{borders.zone(zone)}”" for zone in sorted(zones)])
    return finding(
        "Z04",
        flow.paths.nodes[fork].span,
        f"Side by side, {_named(borders.office, (item,))} is handled in {where}.",
        floor="It can be in one place only: one of the two waits, or works on something else.",
        fix="Put the branches one after the other, or name in each the items it handles (`does … on …`).",
    )


def _unplaced(office: Office, procedure: Procedure) -> Iterator[Finding]:
    if not office.flow or not handled(office, procedure):
        return
    for step in procedure.steps():
        area = office.areas.get(step.area) if step.area else None
        if step.does and area is not None and area.zone is None:
            yield finding(
                "Z05",
                area.span,
                f"“{area.title}” lies in no zone, so it is not decided whether what “{step.title}” handles there goes "
                f"along the flow.",
                floor="Things may be carried to and fro here without anyone having thought about it.",
                fix="Add `zone …` to the area.",
                notes=[Note("handled here", step.span)],
                cause=f"area {area.name} in no zone",
            )
