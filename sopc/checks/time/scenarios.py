"""A way a procedure can go as a network of time limits: which steps are done, in which order, how often."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.checks.report import asked_by, title
from sopc.checks.time.durations import Lengths, contact_of, rounded_down, rounded_up, stated
from sopc.checks.time.hardest import ENDLESS, Hardest, silent
from sopc.model.nouns import Decider, Limit, Procedure, Program, Step
from sopc.source import Span
from sopc.trade.network import Bound, Link, Network

MOST_OCCURRENCES = 400
QUESTIONS = (NodeKind.CHOICE, NodeKind.WHEN, NodeKind.CHECK)
ALWAYS = 1_000_000  # so many times "no" that every repeat is used up
Answer = int | tuple[int, ...]  # at a question: what is answered, coded as below, or in full for each pass

MIXED = 1_000  # more ways than any choice has: an answer beyond is one for the first passes and one for those after


def mixed(first: int, later: int, passes: int = 1) -> int:
    """The answer at a choice that goes one way on so many passes and another on every later one."""
    return first + MIXED * (later + 1) + MIXED**2 * (passes - 1)


def taken(answer: Answer, visit: int) -> int:
    """The way that this answer means on the `visit`th pass, from 1."""
    if isinstance(answer, tuple):
        return answer[min(visit, len(answer)) - 1]
    passes, ways = divmod(answer, MIXED**2)
    later, first = divmod(ways, MIXED)
    return later - 1 if later and visit > passes + 1 else first


def no_after(passes: int) -> int:
    """The answer at a check that is yes on so many passes and no on every later one."""
    return -passes


def denied(answer: Answer, visit: int) -> bool:
    """Whether this answer means no on the `visit`th pass, from 1: on the first `answer` passes, or after so many."""
    if isinstance(answer, tuple):
        return bool(answer[min(visit, len(answer)) - 1])
    return visit > -answer if answer < 0 else visit <= answer


class ClauseKind(StrEnum):
    """What kind of line a bound comes from."""

    TAKES = "takes"
    CONTACT = "contact"
    PERFORMS = "performs"
    REACTION = "reaction"
    LIMIT = "limit"


@dataclass(frozen=True, slots=True)
class TimeClause:
    """A line that binds time: a step's duration, a limit by its number, a contact time."""

    kind: ClauseKind
    name: str  # the step's title, or what is performed or applied
    span: Span
    place: int = 0  # number of the limit in its procedure
    fixed: bool = False  # law or instructions say so, or nature
    decider: Decider = Decider.STAFF  # who decides how long it takes
    asked_by: tuple[str, ...] = ()  # the sources that stand behind it
    of: str = ""  # the performed procedure whose limit it is; empty: of the procedure itself


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One time a step is done: its points in the network and the branches it is in, each time a fork is met."""

    step: Step
    start: int
    end: int
    places: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Interlude:
    """A procedure performed after an answer at `step`, between two points of the network."""

    step: Step
    start: int
    end: int
    performs: str
    places: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A question come to: the way taken, how many `points` lie before it, and those `after` which it is answered."""

    node: int
    visit: int
    edge: PathEdge
    points: int
    after: tuple[int, ...]
    places: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Unstated:
    """Something done whose least time the text does not say, so that the bounds count it as nothing.

    `most` is the time that must be allowed for when the text says at least that; None when it says nothing.
    """

    start: int
    end: int
    title: str
    span: Span
    most: int | None


Frontier = list[tuple[int, bool]]  # points that what follows comes after; whether a machine ends there


@dataclass(slots=True)
class Scenario:
    """One way a procedure goes, as occurrences and bounds."""

    answers: Mapping[int, Answer]
    occurrences: list[Occurrence] = field(default_factory=list)
    interludes: list[Interlude] = field(default_factory=list)
    bounds: list[Bound] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    walked: list[PathEdge] = field(default_factory=list)
    asked: list[Asked] = field(default_factory=list)
    unstated: list[Unstated] = field(default_factory=list)
    points: int = 1
    end: int | None = None  # the point of the normal end
    last: Frontier = field(default_factory=list)  # what the normal end comes after
    stopped: bool = False  # ended short of the promise
    broken_off: bool = False  # too long to follow, or led nowhere
    paired: set[int] = field(default_factory=set)  # limits that bind here
    lifted: set[int] = field(default_factory=set)

    def network(self) -> Network:
        """The network of this scenario."""
        return Network(self.points, tuple(self.bounds), tuple(self.links))


@dataclass(frozen=True, slots=True)
class Performed:
    """A procedure carried out within a step: whether its start is that of the step, and its end seen to be the end."""

    name: str
    span: Span
    begins: bool = True
    ends: bool = True


Unfold = Callable[[Scenario, Performed, int, int], bool]
"""Binds a performed procedure between two points; returns whether a machine ends it at a moment of its own choosing."""


class Simulator:
    """Plays a procedure through under given answers.

    What it performs counts as long as it takes at its slowest, or is bound by `unfold`.
    """

    def __init__(self, lengths: Lengths, procedure: Procedure, unfold: Unfold | None = None) -> None:
        self.lengths = lengths
        self.unfold = unfold
        self.office = lengths.office
        self.hardest = Hardest(lengths)
        self.unhurried = Hardest(lengths, hurried=False)
        self.procedure = procedure
        self.paths: Paths = paths_of(procedure)
        self.reaction = rounded_up(self.office.premises.reaction)

    def play(self, answers: Mapping[int, Answer]) -> Scenario:
        """Return the scenario under these answers."""
        scenario = Scenario(answers)
        run = _Run(self, scenario)
        run.follow(0, [(0, False)], None, ())
        for place, limit in enumerate(self.procedure.limits):
            self._limit(scenario, place, limit)
        return scenario

    def fixed(self, names: tuple[str, ...]) -> bool:
        """Whether one of these sources is law or instructions, which an office cannot change."""
        sources = (self.office.sources.get(name) for name in names)
        return any(source is not None and source.authority in ("law", "instructions") for source in sources)

    def _limit(self, scenario: Scenario, place: int, limit: Limit) -> None:
        done = {occurrence.step.name for occurrence in scenario.occurrences}
        if done.intersection(limit.unless):
            scenario.lifted.add(place)
            return
        fixed = self.fixed(tuple(citation.source for citation in limit.citations))
        clause = TimeClause(ClauseKind.LIMIT, "", limit.span, place, fixed, asked_by=asked_by(self.office, limit))
        for earlier, later in self._pairs(scenario, limit):
            scenario.paired.add(place)
            least = 0 if limit.least is None else rounded_up(limit.least)
            if limit.least is not None:
                scenario.bounds.append(Bound(later, earlier, -least, clause))
            else:
                scenario.bounds.append(Bound(later, earlier, 0, None))
            if limit.most is not None:
                scenario.bounds.append(Bound(earlier, later, rounded_down(limit.most), clause))

    def _pairs(self, scenario: Scenario, limit: Limit) -> Iterator[tuple[int, int]]:
        """Each moment counted from, with the first moment it limits; a later pass begins anew.

        What is done side by side belongs together: such a moment counts from the one beside it, whichever of the
        branches stands first in the text.
        """
        earlier = self._moments(scenario, limit.earlier.step, limit.earlier.edge)
        later = self._moments(scenario, limit.later.step, limit.later.edge)
        alone = [each for each in later if not any(side_by_side(one[2], each[2]) for one in earlier)]
        for number, (order, point, places) in enumerate(earlier):
            following = earlier[number + 1][0] if number + 1 < len(earlier) else (ALWAYS, 0)
            beside = [each for each in later if side_by_side(places, each[2])]
            chosen = beside or [each for each in alone if order < each[0] <= following]
            if chosen:
                yield point, chosen[0][1]

    def _moments(
        self, scenario: Scenario, name: str | None, edge: str
    ) -> list[tuple[tuple[int, int], int, tuple[tuple[int, int], ...]]]:
        """(order, point, branches) of every time this moment comes."""
        if name is None:
            if edge == "starts":
                return [((-1, 0), 0, ())]
            return [((ALWAYS, 0), scenario.end, ())] if scenario.end is not None else []
        ends = edge == "ends"
        return [
            ((number, int(ends)), each.end if ends else each.start, each.places)
            for number, each in enumerate(scenario.occurrences)
            if each.step.name == name
        ]


def slowest(hardest: Hardest, performed: Performed, start: int, end: int) -> Bound:
    """A performed procedure bound by the time that must be allowed for it."""
    sure = hardest.procedure(performed.name)
    clause = TimeClause(ClauseKind.PERFORMS, performed.name, performed.span, 0, True) if sure else None
    return Bound(end, start, -sure, clause)


def side_by_side(one: tuple[tuple[int, int], ...], other: tuple[tuple[int, int], ...]) -> bool:
    """Whether two occurrences are in different branches of the same fork, met once."""
    for mine, yours in zip(one, other, strict=False):
        if mine[0] != yours[0]:
            return False
        if mine[1] != yours[1]:
            return True
    return False


@dataclass(slots=True)
class _Run:
    simulator: Simulator
    scenario: Scenario
    visits: dict[int, int] = field(default_factory=dict)
    forks: int = 0

    def follow(
        self, index: int, frontier: Frontier, until: int | None, places: tuple[tuple[int, int], ...]
    ) -> Frontier:
        """Go on from a node until the join `until`, or to an end."""
        paths, scenario = self.simulator.paths, self.scenario
        while index != until and not (scenario.broken_off or scenario.stopped):
            node = paths.nodes[index]
            self.visits[index] = self.visits.get(index, 0) + 1
            if node.kind is NodeKind.END:
                scenario.end = self._finish(frontier)
                break
            if len(scenario.occurrences) > MOST_OCCURRENCES:
                scenario.broken_off = True
                break
            if node.kind is NodeKind.FORK:
                frontier = self._branches(node, frontier, places)
                index = paths.joins[index]
                continue
            if node.kind in (NodeKind.STEP, NodeKind.PERFORM):
                frontier = self._done(node, frontier, places)
            edge = self._chosen(node)
            if edge is None or paths.crosses(edge):
                scenario.stopped = node.kind is NodeKind.STOP
                scenario.broken_off = not scenario.stopped
                break
            scenario.walked.append(edge)
            if node.kind in QUESTIONS:
                after = tuple(point for point, _ in frontier)
                scenario.asked.append(Asked(index, self.visits[index], edge, scenario.points, after, places))
            index = edge.target
        return frontier

    def _branches(self, node: PathNode, frontier: Frontier, places: tuple[tuple[int, int], ...]) -> Frontier:
        paths = self.simulator.paths
        join = paths.joins[node.index]
        self.forks += 1
        fork = self.forks
        together: Frontier = []
        for number, edge in enumerate(paths.after[node.index]):
            self.scenario.walked.append(edge)
            together += self.follow(edge.target, frontier, join, (*places, (fork, number)))
        return list(dict.fromkeys(together)) or frontier

    def _chosen(self, node: PathNode) -> PathEdge | None:
        ways = self.simulator.paths.after[node.index]
        answer = self.scenario.answers.get(node.index, 0)
        if node.kind is NodeKind.CHOICE:
            way = taken(answer, self.visits[node.index])
            return ways[way] if way < len(ways) else None
        if node.kind is NodeKind.WHEN:
            kind = EdgeKind.SKIP if taken(answer, self.visits[node.index]) else EdgeKind.DO
            return next((edge for edge in ways if edge.kind is kind), None)
        if node.kind is NodeKind.CHECK:
            no = denied(answer, self.visits[node.index])
            return next((edge for edge in ways if (edge.fails is not None) == no), None)
        if node.kind is NodeKind.REPEAT:
            again = self.visits[node.index] <= (node.at_most or 0)
            return next((edge for edge in ways if (edge.kind is EdgeKind.AGAIN) == again), None)
        return ways[0] if ways else None

    def _point(self) -> int:
        self.scenario.points += 1
        return self.scenario.points - 1

    def _finish(self, frontier: Frontier) -> int:
        end = self._point()
        self.scenario.last = frontier
        self.scenario.bounds += [Bound(end, point, 0, None) for point, _ in frontier]
        return end

    def _done(self, node: PathNode, frontier: Frontier, places: tuple[tuple[int, int], ...]) -> Frontier:
        scenario, simulator = self.scenario, self.simulator
        start, end = self._point(), self._point()
        for point, machine in frontier:
            if machine and simulator.reaction:
                clause = TimeClause(ClauseKind.REACTION, "", simulator.office.premises.span, 0, True)
                scenario.bounds.append(Bound(start, point, -simulator.reaction, clause))
            else:
                scenario.bounds.append(Bound(start, point, 0, None))
        scenario.bounds.append(Bound(end, start, 0, None))
        if node.kind is NodeKind.PERFORM:
            machine = self._performed(Performed(node.performs, node.span), start, end)
            self._unstated(((node.performs, node.span),), start, end)
            if node.step is not None:
                scenario.interludes.append(Interlude(node.step, start, end, node.performs, places))
            return [(end, machine)]
        step = node.step
        if step is None:
            return [(end, False)]
        scenario.occurrences.append(Occurrence(step, start, end, places))
        machine = self._duration(step, start, end)
        performed, before = step.performs if not machine else (), start
        for number, performing in enumerate(performed, 1):
            after = end if number == len(performed) else self._point()
            ends = after != end or step.takes is None
            inside = Performed(performing.procedure, performing.span, number == 1, ends)
            machine = self._performed(inside, before, after) and ends
            before = after
        self._untimed(step, start, end)
        return [(end, machine)]

    def _performed(self, performed: Performed, start: int, end: int) -> bool:
        if self.simulator.unfold is not None:
            return self.simulator.unfold(self.scenario, performed, start, end)
        self.scenario.bounds.append(slowest(self.simulator.hardest, performed, start, end))
        return False

    def _untimed(self, step: Step, start: int, end: int) -> None:
        """Note a step that leaves open how quickly it can be done. What a machine does is told by itself (T03)."""
        takes = step.takes
        if takes is None and step.performs:
            self._unstated(tuple((each.procedure, each.span) for each in step.performs), start, end)
        elif silent(self.simulator.office, step):
            self.scenario.unstated.append(Unstated(start, end, step.title, step.span, None))
        elif takes is not None and not takes.least.base and takes.decider is Decider.STAFF:
            most = stated(takes).most
            self.scenario.unstated.append(Unstated(start, end, step.title, takes.span, most))

    def _unstated(self, performed: tuple[tuple[str, Span], ...], start: int, end: int) -> None:
        """Note procedures performed here of which some step leaves open how quickly it can be done."""
        simulator = self.simulator
        for name, _ in performed:
            for step in simulator.hardest.silent(name):
                self.scenario.unstated.append(Unstated(start, end, step.title, step.span, None))
        names = [name for name, _ in performed]
        sure = sum(map(simulator.hardest.procedure, names))
        most = sum(map(simulator.unhurried.procedure, names))
        if sure < most < ENDLESS:
            named = title(simulator.office.procedures, names[0])
            self.scenario.unstated.append(Unstated(start, end, named, performed[0][1], most))

    def _duration(self, step: Step, start: int, end: int) -> bool:
        """Bind a step's duration; return whether a machine ends it at a moment of its own choosing."""
        scenario, simulator = self.scenario, self.simulator
        takes = step.takes
        if takes is not None:
            length = stated(takes)
            fixed = self._bound_by_maker(step)
            asked = asked_by(simulator.office, step, *self._programs(step))
            clause = TimeClause(ClauseKind.TAKES, step.title, takes.span, 0, fixed, takes.decider, asked)
            if takes.contingent and length.most is not None and length.least < length.most:
                scenario.links.append(Link(start, length.least, length.most, end, clause))
                return takes.decider is Decider.MACHINE
            if length.least:
                scenario.bounds.append(Bound(end, start, -length.least, clause))
            if length.most is not None:
                scenario.bounds.append(Bound(start, end, length.most, clause))
        contact = contact_of(simulator.office, step)
        # A step that states less than the contact time is told so by itself, once.
        if contact is not None and (takes is None or takes.most is None or rounded_down(takes.most) >= contact[0]):
            asked = asked_by(simulator.office, simulator.office.supplies.get(contact[2]))
            clause = TimeClause(ClauseKind.CONTACT, contact[2], contact[3], 0, True, asked_by=asked)
            scenario.bounds.append(Bound(end, start, -contact[0], clause))
        return False

    def _bound_by_maker(self, step: Step) -> bool:
        cited = (citation.source for thing in (step, *self._programs(step)) for citation in thing.citations)
        return self.simulator.fixed(tuple(cited))

    def _programs(self, step: Step) -> list[Program]:
        """The programs whose time is the step's."""
        devices = ((self.simulator.office.devices.get(run.device), run.program) for run in step.runs)
        found = [device.programs.get(program) for device, program in devices if device is not None]
        return [program for program in found if program is not None]
