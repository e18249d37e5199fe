"""What each machine and person does one after the other on a day that is proven, and what each turn waits for.

Complete: whoever begins a turn as soon as the one above it is over and its waits are, keeps the whole proof, so that
the order can be put on paper and followed without the network.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from sopc.checks.days.day import OfficeDay
from sopc.checks.days.network import Holding, Points, points_after, points_of, units_held
from sopc.checks.days.proof import Safe
from sopc.trade.early_start import Ways, early_start
from sopc.trade.network import Bound, Link, Network, windows


@dataclass(frozen=True, slots=True)
class Moment:
    """The start of an activity of a job, or its end."""

    job: int
    activity: int
    ends: bool


@dataclass(frozen=True, slots=True)
class Wait:
    """Until `seconds` after a moment; without a moment after midnight."""

    moment: Moment | None
    seconds: int


@dataclass(frozen=True, slots=True)
class Turn:
    """Activities of one job, done in one go. `begins`: seconds after midnight when all takes its longest.

    `waits` before the first; `then` before the activity behind the last, when it runs by itself: who has these hands
    sets it going.
    """

    job: int
    first: int
    last: int
    begins: int
    waits: tuple[Wait, ...]
    then: tuple[Wait, ...] = ()


@dataclass(frozen=True, slots=True)
class Queue:
    """The turns of one of the machines or people of a pool, counted from 1."""

    pool: str
    number: int
    turns: tuple[Turn, ...]

    @property
    def person(self) -> bool:
        return self.pool.startswith("role ")


@dataclass(frozen=True, slots=True)
class DayTurns:
    """`loose`: turns that nobody's and no machine's order has. `missed`: limits that heeding all this does not keep."""

    queues: tuple[Queue, ...]
    loose: tuple[Turn, ...]
    missed: tuple[Bound, ...]


@dataclass(frozen=True, slots=True)
class Proven:
    """All that the turns of a proven day follow from, in numbers and pools: no word of a text, so that a reworded step
    changes nothing in it.

    `network`: the clause of each bound is its number among all clauses; `hands`: by job, for each activity whether it
    takes hands; `held`: by pool in their order, what each machine or person is held for, one after the other.
    """

    network: Network
    hands: tuple[tuple[bool, ...], ...]
    held: tuple[tuple[str, tuple[tuple[Holding, ...], ...]], ...]

    def turns(self) -> DayTurns:
        """Work out the order of every machine and person, in the order of their pools; takes long."""
        return _Turns(self).all()


def day_turns(made: OfficeDay, proof: Safe) -> DayTurns:
    """Return the order of every machine and person, in the order of their pools."""
    return in_clauses(proven(made, proof).turns(), proof)


def proven(made: OfficeDay, proof: Safe) -> Proven:
    """What the turns follow from."""
    units = units_held(made, proof.run, _times(proof))
    held = tuple((pool, tuple(tuple(unit) for unit in units[pool])) for pool in made.day.pools if pool in units)
    hands = tuple(tuple(bool(activity.hands) for activity in job.work.activities) for job in proof.run.jobs)
    return Proven(_numbered(proof.network), hands, held)


def in_clauses(turns: DayTurns, proof: Safe) -> DayTurns:
    """The turns with the limits that are missed as the proof says them; what the order itself adds is left as it is."""
    numbered = _numbered(proof.network).bounds
    said = dict(zip(reversed(numbered), reversed(proof.network.bounds), strict=True))
    return replace(turns, missed=tuple(said.get(bound, bound) for bound in turns.missed))


def _numbered(network: Network) -> Network:
    """The network with numbers as clauses, the same for the same clause; laws of the model stay such."""
    numbers: dict[Hashable, int] = {}

    def number(clause: Hashable) -> int | None:
        return None if clause is None else numbers.setdefault(clause, len(numbers))

    bounds = tuple(Bound(each.source, each.target, each.weight, number(each.clause)) for each in network.bounds)
    links = tuple(
        Link(each.activation, each.low, each.high, each.contingent_end, number(each.clause)) for each in network.links
    )
    return Network(network.size, bounds, links)


def _times(proof: Safe) -> list[tuple[Sequence[int], Sequence[int]]]:
    """Starts and ends by job in the order that is proven: those of the run, unless another order was found."""
    if not proof.searched:
        return [(job.starts, job.ends) for job in proof.run.jobs]
    times, points = _slowest(proof.network), points_of(proof.run)
    return [
        (
            [times[points.start(job.number, place)] for place in range(len(job.starts))],
            [times[points.end(job.number, place)] for place in range(len(job.ends))],
        )
        for job in proof.run.jobs
    ]


class _Turns:
    def __init__(self, proven: Proven) -> None:
        self._hands, self._held = proven.hands, dict(proven.held)
        self._points = points_after(len(activities) for activities in proven.hands)
        self._moments = dict(_moments(proven.hands, self._points))
        bounds = (*proven.network.bounds, *self._one_by_one())
        network = Network(proven.network.size, bounds, proven.network.links)
        starts = [0] * network.size
        for point, moment in self._moments.items():
            starts[point] = self._points.start(moment.job, moment.activity)
        early = early_start(network, starts)
        self._missed = tuple(early.missed)
        self._ways = Ways(network, early.added)
        self._begins = _slowest(Network(network.size, (*network.bounds, *early.added), network.links))
        self._known: dict[int, Mapping[int, float]] = {}

    def _one_by_one(self) -> Iterator[Bound]:
        """Each machine and person goes from one turn to the next."""
        for pool, units in self._held.items():
            for (one, _, last), (other, first, _) in (pair for unit in units for pair in pairwise(unit)):
                before, after = self._points.end(one, last), self._points.start(other, first)
                if before != after:
                    yield Bound(after, before, 0, pool)

    def all(self) -> DayTurns:
        queues = tuple(
            Queue(pool, number, tuple(self._turns(unit)))
            for pool, units in self._held.items()
            for number, unit in enumerate((unit for unit in units if unit), 1)
        )
        covered = {(each.job, place) for queue in queues for each in queue.turns for place in _places(queue, each)}
        loose = tuple(
            self._turn((job, place, place), None)
            for job, activities in enumerate(self._hands)
            for place in range(len(activities))
            if (job, place) not in covered and self._needed(job, place, None)
        )
        return DayTurns(queues, loose, self._missed)

    def _turns(self, unit: Sequence[Holding]) -> Iterator[Turn]:
        """What a unit is held for; what follows at once in the same job, and waits for nothing else, is one turn."""
        before: Holding | None = None
        turn: Turn | None = None
        for holding in unit:
            job, first, last = holding
            goes_on = turn is not None and (turn.job, turn.last + 1) == (job, first)
            if turn is not None and goes_on and not self._needed(job, first, before):
                turn = Turn(job, turn.first, last, turn.begins, turn.waits, self._then(job, last))
            else:
                if turn is not None:
                    yield turn
                turn = self._turn(holding, before)
            before = holding
        if turn is not None:
            yield turn

    def _turn(self, holding: Holding, before: Holding | None) -> Turn:
        job, first, last = holding
        waits = self._waits(job, first, before)
        return Turn(job, first, last, self._begins[self._points.start(job, first)], waits, self._then(job, last))

    def _then(self, job: int, last: int) -> tuple[Wait, ...]:
        hands = self._hands[job]
        if last + 1 == len(hands) or hands[last + 1]:
            return ()
        return self._needed(job, last + 1, None)

    def _needed(self, job: int, place: int, before: Holding | None) -> tuple[Wait, ...]:
        """What an activity waits for beside the one before it in its job."""
        own = None if place == 0 else Wait(Moment(job, place - 1, True), 0)
        return tuple(wait for wait in self._waits(job, place, before) if wait != own)

    def _waits(self, job: int, place: int, before: Holding | None) -> tuple[Wait, ...]:
        """What must have happened that nothing else that is waited for, nor the turn before, already makes sure of."""
        point = self._points.start(job, place)
        ways = {(earlier, least) for earlier, least, _ in self._ways.into(point) if earlier or least}
        done = None if before is None else (self._points.end(before[0], before[2]), 0)
        sure = ways | ({done} if done else set())
        open_ways = sorted(way for way in ways if way != done and not self._implied(way, sure))
        return tuple(Wait(self._moments.get(earlier), int(least)) for earlier, least in open_ways)

    def _implied(self, way: tuple[int, float], others: set[tuple[int, float]]) -> bool:
        earlier, least = way
        for other, after in others:
            surely = self._least_to(other).get(earlier) if other else None
            if other == earlier:
                surely = None if after == least else 0
            if surely is not None and surely + after >= least:
                return True
        return False

    def _least_to(self, point: int) -> Mapping[int, float]:
        if point not in self._known:
            self._known[point] = self._ways.least_to(point)
        return self._known[point]


def _places(queue: Queue, turn: Turn) -> range:
    """The activities whose waits a turn says: all of a person's and what they set going; a machine's when taken."""
    return range(turn.first, turn.last + 2) if queue.person else range(turn.first, turn.first + 1)


def _moments(jobs: Sequence[Sequence[bool]], points: Points) -> Iterator[tuple[int, Moment]]:
    for job, activities in enumerate(jobs):
        for place in range(len(activities)):
            yield points.start(job, place), Moment(job, place, False)
            yield points.end(job, place), Moment(job, place, True)


def _slowest(network: Network) -> list[int]:
    """Each moment as early as it may come when machines and patients take their longest."""
    fixed: list[Bound] = []
    for link in network.links:
        most = link.low if link.high is None else link.high
        fixed += Link(link.activation, most, most, link.contingent_end, link.clause).as_bounds()
    return [window.earliest or 0 for window in windows(Network(network.size, (*network.bounds, *fixed)), 0)]
