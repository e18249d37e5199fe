"""A procedure as a day's plan sees it: blocks of hands-on work, machine times between them, devices held from first
to last use, and the limits that reach from one block to another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from sopc.checks.time.durations import Lengths, rounded_down, rounded_up
from sopc.model.nouns import (
    Choice,
    Decider,
    GoTo,
    Limit,
    Office,
    Part,
    Performers,
    Point,
    Procedure,
    Step,
    Stop,
    WayLimit,
)
from sopc.trade.simulation import Activity, Claim

DEEPEST = 20


@dataclass(frozen=True, slots=True)
class Spacing:
    """Between an edge of one activity and an edge of a later one: at least, at most so many seconds."""

    earlier: int
    earlier_ends: bool
    later: int
    later_ends: bool
    least: int | None
    most: int | None


@dataclass(frozen=True, slots=True)
class Edge:
    """A point of the text: somewhere within an activity, or at its very start or end when so marked."""

    activity: int
    at_start: bool
    at_end: bool

    def shifted(self, by: int) -> Edge:
        """The same point when the activity stands behind others."""
        return Edge(self.activity + by, self.at_start, self.at_end)


Marks = Mapping[tuple[str, str | None], tuple[tuple[Edge, Edge], ...]]
"""Where each procedure (no step) and each step of it starts and ends, as often as it is done."""


@dataclass(frozen=True, slots=True)
class Work:
    """A procedure done once: its activities, the limits between them, the devices it holds, where its steps lie."""

    activities: tuple[Activity, ...]
    spacings: tuple[Spacing, ...]
    devices: tuple[str, ...]
    untimed: int  # steps whose time is not stated
    marks: Marks = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Piece:
    """One step as it takes part: who, how long, with which limiting devices."""

    title: str
    people: tuple[tuple[tuple[str, ...], int], ...]
    least: int
    most: int
    contingent: bool
    devices: frozenset[str]
    runs: bool
    timed: bool

    def joins(self, other: _Piece) -> bool:
        """Whether the same people do both in one go."""
        return bool(self.people) and self.people == other.people and not (self.contingent or other.contingent)


@dataclass(slots=True)
class _Played:
    """One procedure unrolled: which pieces each step became, by place."""

    procedure: Procedure
    first: int
    last: int = -1
    steps: dict[str, tuple[int, int]] = field(default_factory=dict)


def limiting(office: Office, name: str) -> bool:
    """Whether a device can make others wait: one that runs programs, or is said to hold so many."""
    device = office.devices.get(name)
    return device is not None and bool(device.programs or device.holds)


def who(office: Office, by: Performers | None) -> tuple[tuple[tuple[str, ...], int], ...]:
    """The people needed: for each, the roles that may be it (stand-ins last) and how many."""
    if by is None or not by.roles:
        return ()
    if by.joined:
        return tuple((with_stand_ins(office, (role,)), number) for number, role in by.roles)
    return ((with_stand_ins(office, tuple(role for _, role in by.roles)), by.roles[0][0]),)


def with_stand_ins(office: Office, roles: tuple[str, ...]) -> tuple[str, ...]:
    """The pools of these roles and of those that stand in for one of them."""
    others = [name for name, role in office.roles.items() if set(role.stands_in_for) & set(roles)]
    return tuple(dict.fromkeys(f"role {name}" for name in (*roles, *others)))


def claims_of(people: tuple[tuple[tuple[str, ...], int], ...], until: int) -> tuple[Claim, ...]:
    """The people's claims, the hardest to fill first."""
    return tuple(Claim(pools, number, until) for pools, number in sorted(people, key=lambda each: len(each[0])))


def work_of(lengths: Lengths, procedure: Procedure) -> Work:
    """Unroll a procedure: first way of a choice, checks answered yes, steps done only sometimes left out."""
    pieces: list[_Piece] = []
    played: list[_Played] = []
    _unroll(lengths, procedure, pieces, played, 0)
    blocks = _blocks(pieces)
    place = {piece: number for number, block in enumerate(blocks) for piece in block}
    holds = _holds(pieces)
    activities = tuple(
        _activity(pieces, block, number, {name: (place[a], place[b]) for name, (a, b) in holds.items()})
        for number, block in enumerate(blocks)
    )
    spacings = [
        spacing
        for each in played
        for limit in each.procedure.limits
        for spacing in _spacings(each, limit, blocks, place)
    ]
    marks = _marks(played, blocks, place)
    nothing = Activity(procedure.title, 0, 0, hands=False)
    untimed = sum(not piece.timed for piece in pieces)
    return Work(activities or (nothing,), tuple(spacings), tuple(holds), untimed, marks)


def _unroll(
    lengths: Lengths,
    procedure: Procedure,
    pieces: list[_Piece],
    played: list[_Played],
    depth: int,
    within: tuple[str, ...] = (),
) -> None:
    office, here = lengths.office, _Played(procedure, len(pieces))
    played.append(here)
    steps = list(_first_ways(procedure.parts))
    names = [step.name for step in steps]
    at = 0
    while at < len(steps):
        step = steps[at]
        at += 1
        if step.when:
            continue
        first = len(pieces)
        inner = [office.procedures.get(each.procedure) for each in step.performs]
        if any(inner) and depth < DEEPEST:
            for each in inner:
                if each is not None:
                    _unroll(lengths, each, pieces, played, depth + 1, _narrowed(pools_of(office, step), within))
        else:
            pieces.append(_piece(lengths, step, within))
        if len(pieces) > first:
            here.steps[step.name] = (first, len(pieces) - 1)
        if isinstance(step.onward, Stop):
            break
        if isinstance(step.onward, GoTo) and step.onward.step in names[at:]:
            at = names.index(step.onward.step, at)
    here.last = len(pieces) - 1


def pools_of(office: Office, step: Step) -> tuple[str, ...]:
    """Who may carry out what a step performs; nobody in particular when several work together."""
    people = who(office, step.by)
    return people[0][0] if len(people) == 1 else ()


def _narrowed(pools: tuple[str, ...], within: tuple[str, ...]) -> tuple[str, ...]:
    """Of those who may do it, those who do the step that it is part of: who stores packs cleans their own hands."""
    return tuple(pool for pool in pools if pool in within) or pools


def _first_ways(parts: tuple[Part, ...]) -> Iterator[Step]:
    for part in parts:
        if isinstance(part, Step):
            yield part
        elif isinstance(part, Choice):
            if part.ways:
                yield from _first_ways(part.ways[0].parts)
        else:
            for branch in part.branches:
                yield from _first_ways(branch.parts)


def _piece(lengths: Lengths, step: Step, within: tuple[str, ...]) -> _Piece:
    office = lengths.office
    length = lengths.step(step)
    decider = step.takes.decider if step.takes is not None else Decider.STAFF
    most = max(length.least, length.least if length.most is None else length.most)
    # Nobody stands beside what cools or dries by itself; who holds a cloth does.
    waits = decider is Decider.MACHINE or bool(step.runs) or (decider is Decider.OUTCOME and not step.using)
    people = () if waits else tuple((_narrowed(pools, within), number) for pools, number in who(office, step.by))
    if step.second_person is not None:
        people = (*people, (with_stand_ins(office, (step.second_person,)), 1))
    devices = frozenset(name for name in (*(run.device for run in step.runs), *step.using) if limiting(office, name))
    timed = step.takes is not None or length.least > 0
    contingent = decider is not Decider.STAFF and most > length.least
    return _Piece(step.title, people, length.least, most, contingent, devices, bool(step.runs), timed)


def _blocks(pieces: list[_Piece]) -> list[list[int]]:
    blocks: list[list[int]] = []
    for number, piece in enumerate(pieces):
        if blocks and pieces[blocks[-1][-1]].joins(piece):
            blocks[-1].append(number)
        else:
            blocks.append([number])
    return blocks


def _holds(pieces: list[_Piece]) -> dict[str, tuple[int, int]]:
    """First and last piece that hold each device: after a run it is held until somebody has emptied it."""
    found: dict[str, tuple[int, int]] = {}
    for number, piece in enumerate(pieces):
        last = number
        if piece.runs:
            last = next((later for later in range(number + 1, len(pieces)) if pieces[later].people), number)
        for name in sorted(piece.devices):
            first, known = found.get(name, (number, number))
            found[name] = (first, max(known, last))
    return found


def _activity(pieces: list[_Piece], block: list[int], number: int, holds: dict[str, tuple[int, int]]) -> Activity:
    inside = [pieces[each] for each in block]
    devices = tuple(Claim((f"device {name}",), 1, last) for name, (first, last) in holds.items() if first == number)
    title = inside[0].title if len(inside) == 1 else f"{inside[0].title} … {inside[-1].title}"
    return Activity(
        title,
        sum(piece.least for piece in inside),
        sum(piece.most for piece in inside),
        claims_of(inside[0].people, number) + devices,
        hands=bool(inside[0].people),
        contingent=inside[0].contingent,
    )


def _spacings(played: _Played, limit: Limit, blocks: list[list[int]], place: dict[int, int]) -> Iterator[Spacing]:
    """A limit between two activities, on the strict side where a step lies inside a block; none inside one block."""
    if set(limit.unless) & played.steps.keys() or played.last < played.first:
        return
    earlier, later = _reached(played, limit.earlier), _reached(played, limit.later)
    if earlier is None or later is None or place[earlier] >= place[later]:
        return
    one, other = (
        _edge(piece, point.edge, blocks, place) for piece, point in ((earlier, limit.earlier), (later, limit.later))
    )
    yield from spacings_between(one, other, limit)


def spacings_between(earlier: Edge, later: Edge, limit: Limit | WayLimit) -> Iterator[Spacing]:
    """What a limit asks between two activities, on the strict side where a point lies within one of them."""
    places = earlier.activity, later.activity
    if limit.most is not None:
        most = rounded_down(limit.most)
        yield Spacing(places[0], earlier.at_end, places[1], not later.at_start, None, most)
    if limit.least is not None:
        least = rounded_up(limit.least)
        yield Spacing(places[0], not earlier.at_start, places[1], later.at_end, least, None)


def _edge(piece: int, edge: str, blocks: list[list[int]], place: dict[int, int]) -> Edge:
    block = blocks[place[piece]]
    return Edge(place[piece], edge == "starts" and piece == block[0], edge == "ends" and piece == block[-1])


def _marks(played: list[_Played], blocks: list[list[int]], place: dict[int, int]) -> Marks:
    found: dict[tuple[str, str | None], list[tuple[Edge, Edge]]] = defaultdict(list)
    for each in played:
        spans: dict[str | None, tuple[int, int]] = dict(each.steps.items())
        if each.last >= each.first:
            spans[None] = (each.first, each.last)
        for step, (first, last) in spans.items():
            both = (_edge(first, "starts", blocks, place), _edge(last, "ends", blocks, place))
            found[each.procedure.name, step].append(both)
    return {name: tuple(edges) for name, edges in found.items()}


def _reached(played: _Played, point: Point) -> int | None:
    """The piece at whose start or end the point lies."""
    span = (played.first, played.last) if point.step is None else played.steps.get(point.step)
    if span is None:
        return None
    return span[0] if point.edge == "starts" else span[1]
