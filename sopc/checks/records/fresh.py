"""What is made fresh for each load or patient: is it used in that work only, and used up before it runs out?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain

from sopc.checks.items.effects import with_performed
from sopc.checks.paths import performed_in
from sopc.checks.report import asked_by, finding
from sopc.checks.time.decisions import ways_of
from sopc.checks.time.durations import Lengths, rounded_down
from sopc.checks.time.hardest import Hardest
from sopc.checks.time.scenarios import Scenario, Simulator
from sopc.findings import Finding, Note
from sopc.model.nouns import Limit, Occasion, Office, Point, Procedure, Schedule, Step, Supply, Task
from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Network, minimal_interval
from sopc.trade.quantities import show_duration

WITH_THE_WORK = frozenset({Occasion.EACH_PATIENT, Occasion.EACH_LOAD})
FOR_THE_WORK = WITH_THE_WORK | {Occasion.EVENT}
Work = Task | Procedure

# ── Where it is used ────────────────────────────────────────────────────────────────────────────


def uses_of(office: Office, name: str, made_in: frozenset[str] = frozenset()) -> list[Work]:
    """The work in which a supply is used: tasks, with all they perform, and procedures that no task leads to.

    Procedures of `made_in` make it themselves; what only they use is not looked at.
    """
    done = chain.from_iterable(map(done_by, office.tasks.values()))
    led_to = {each.name for each in with_performed(office, done)}
    free = [each for each in office.procedures.values() if each.name not in led_to]
    performed = {inner for each in free for step in each.steps() for inner in performed_in(step)}
    tasks = [
        each for each in office.tasks.values() if name in each.using or _using(office, done_by(each), name, made_in)
    ]
    alone = [each for each in free if each.name not in performed and _using(office, (each.name,), name, made_in)]
    return [*tasks, *alone]


def made_in(makers: Sequence[Task]) -> frozenset[str]:
    """The procedures that tasks perform which make a supply fresh: they make it themselves, wherever they are done."""
    return frozenset(chain.from_iterable(map(done_by, makers)))


def done_by(work: Work) -> tuple[str, ...]:
    """The procedures that a task performs; a procedure is done by itself."""
    return (work.name,) if isinstance(work, Procedure) else tuple(each.procedure for each in work.performs)


def _using(office: Office, names: Sequence[str], supply: str, but: frozenset[str]) -> list[Procedure]:
    """Of these procedures and all they perform, those in which the supply is used; none within those of `but`."""
    inside = with_performed(office, names, but=but)
    return [each for each in inside if any(supply in step.using for step in each.steps())]


def leftover(office: Office, makers: Sequence[Task], work: Work) -> list[Schedule | None]:
    """When a work is done without one of the makers having just made the supply for it; None: at any time.

    An event for which it is made may be the same in other words.
    """
    made_for = [schedule for task in makers for schedule in task.schedules if schedule.occasion in FOR_THE_WORK]
    if isinstance(work, Task):
        return [due for due in work.schedules if not any(_covers(made, due) for made in made_for)]
    return [] if any(_is_that_work(office, made, work) for made in made_for) else [None]


def _covers(made: Schedule, due: Schedule) -> bool:
    return made.occasion is due.occasion and made.device in ("", due.device)


def _is_that_work(office: Office, made: Schedule, procedure: Procedure) -> bool:
    """Whether a procedure that no task leads to is itself a load of that machine, or done for each patient."""
    if made.occasion is not Occasion.EACH_LOAD:
        after_each = made.occasion is Occasion.EACH_PATIENT
        return after_each and any(procedure.name in visit.afterwards for visit in office.visits.values())
    runs = [run for each in with_performed(office, [procedure.name]) for step in each.steps() for run in step.runs]
    return any(made.device in ("", run.device) for run in runs)


def elsewhere(office: Office, supply: Supply, makers: Sequence[Task], work: Work) -> Finding:
    """The supply is made with some work and used in another (S05)."""
    maker, made = next((task, each) for task in makers for each in task.schedules if each.occasion in WITH_THE_WORK)
    if isinstance(work, Task):
        left = [schedule.text for schedule in leftover(office, makers, work) if schedule is not None]
        when = " and ".join(dict.fromkeys(left))
        what, mend = f"“{work.title}”, due {when}, uses it as well", f"Let “{work.title}” make its own"
    else:
        what = f"“{work.title}” uses it, and no task says when that is done"
        mend = f"Let a task perform “{work.title}” that makes its own"
    return finding(
        "S05",
        supply.use_within_span or supply.span,
        f"{supply.title} keeps for {supply.use_within} and is made fresh {made.text}; but {what}.",
        floor="What is left of the last one stands there, and is used at whatever age it has.",
        fix=f"{mend} (`renews {supply.name}`), or add a schedule by the calendar to `task {maker.name}`.",
        notes=[Note(f"“{maker.title}” makes it", maker.span), Note("it is used here", work.span)],
        cause=f"made for other work {supply.name}",
        asked_by=asked_by(office, supply),
    )


# ── How old it gets ─────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Late:
    """A use that may come too late: seconds from the making, at the least, when machines are slow.

    `sure`: even when it is made just before it is first used. `why` it is undecided where no seconds are known.
    """

    procedure: Procedure
    step: Step
    seconds: int = 0
    sure: bool = False
    why: str = ""


@dataclass(frozen=True, slots=True)
class _Use:
    """Between two points of a network the supply is used: in a step itself, or somewhere `inside` what it performs."""

    step: Step
    start: int
    end: int
    inside: bool = False


def running_out(office: Office, supply: Supply, makers: Sequence[Task], works: Sequence[Work]) -> Iterator[Finding]:
    """What each of these works makes of a supply that is made as it begins (S06), each procedure told once.

    Too old even when it is made only just before it is first used there; else undecided where it is too old when it
    is made as the work begins, or where steps in between do not say how long they take.
    """
    made, told = made_in(makers), set[str]()
    for work in works:
        ageing = _Ageing(office, supply, made - frozenset(done_by(work)))
        inside = ageing.using(done_by(work))
        late = next(filter(None, map(ageing.at_best, inside)), None) or ageing.from_its_start(done_by(work))
        if late is not None and late.procedure.name not in told:
            told.add(late.procedure.name)
            yield _runs_out(office, supply, makers[0], late)


@dataclass(slots=True)
class _Ageing:
    office: Office
    supply: Supply
    but: frozenset[str]  # procedures that make it themselves
    lengths: Lengths = field(init=False)
    keeps: int = field(init=False)

    def __post_init__(self) -> None:
        assert self.supply.use_within is not None
        self.lengths, self.keeps = Lengths(self.office), rounded_down(self.supply.use_within)

    def using(self, names: Sequence[str]) -> list[Procedure]:
        """Of these procedures and all they perform, those in which the supply is used as it was made before."""
        return _using(self.office, names, self.supply.name, self.but)

    def at_best(self, procedure: Procedure) -> _Late | None:
        """A use that comes too late even when the supply is made just before it is first used in the procedure."""
        if Hardest(self.lengths).procedure(procedure.name) <= self.keeps:
            return None
        for network, _, uses in _Ways(self, procedure).looked_at():
            for use in uses[1:]:
                first = uses[0].end if uses[0].inside else uses[0].start
                if not is_controllable(_with(network, Bound(first, use.start, self.keeps, None))):
                    return _Late(procedure, use.step, _at_least(network, first, use.start), sure=True)
        return None

    def from_its_start(self, names: Sequence[str]) -> _Late | None:
        """A use that may come too late when the supply is made as the first procedure that needs it begins."""
        before = 0
        for name in names:
            uses = bool(self.using((name,)))
            if uses and before + Hardest(self.lengths, hurried=False).procedure(name) > self.keeps:
                late = next(self._late(self.office.procedures[name], before), None)
                if late is not None:
                    return late
            before += Hardest(self.lengths).procedure(name) if uses or before else 0
        return None

    def _late(self, procedure: Procedure, before: int) -> Iterator[_Late]:
        ways = _Ways(self, procedure)
        for network, scenario, uses in ways.looked_at():
            for use in uses:
                slow = [
                    Bound(each.end, each.start, -(each.most or self.keeps + 1), None)
                    for each in scenario.unstated
                    if each.end != use.end
                ]
                within = Bound(0, use.end, self.keeps - before, None)
                if not is_controllable(_with(network, within)):
                    yield _Late(procedure, use.step, before + _at_least(network, 0, use.end))
                elif slow and not is_controllable(_with(network, within, *slow)):
                    yield _Late(procedure, use.step, why="steps up to there do not say how long they take")
        if not ways.complete:
            yield _Late(procedure, ways.using[0], why="there are too many ways to look at each")

    def used_in(self, step: Step) -> bool:
        """Whether the supply is used in a step, or in what that performs on any of its ways."""
        return self.supply.name in step.using or bool(self.using([*performed_in(step)]))

    def uses(self, scenario: Scenario) -> list[_Use]:
        """All uses on one way, in the order in which they are begun."""
        name, found = self.supply.name, []
        for each in scenario.occurrences:
            if name in each.step.using:
                found.append(_Use(each.step, each.start, each.end))
            elif self.using([one.procedure for one in each.step.performs]):
                found.append(_Use(each.step, each.start, each.end, inside=True))
        performed = (each for each in scenario.interludes if self.using((each.performs,)))
        found += [_Use(each.step, each.start, each.end, inside=True) for each in performed]
        return sorted(found, key=lambda use: use.start)


@dataclass(slots=True)
class _Ways:
    """The ways of a procedure that lead to a use of the supply; `complete`: none is left out."""

    ageing: _Ageing
    procedure: Procedure
    using: list[Step] = field(init=False)
    complete: bool = True

    def __post_init__(self) -> None:
        self.using = [step for step in self.procedure.steps() if self.ageing.used_in(step)]

    def looked_at(self) -> Iterator[tuple[Network, Scenario, list[_Use]]]:
        """Each way whose own limits can be kept, as a network and with its uses."""
        simulator = Simulator(self.ageing.lengths, self.procedure)
        ways, self.complete = ways_of(Simulator(self.ageing.lengths, self._all_named()))
        for answers in ways:
            scenario = simulator.play(answers)
            network, uses = scenario.network(), self.ageing.uses(scenario)
            self.complete = self.complete and not scenario.broken_off
            if uses and not scenario.broken_off and is_controllable(network):
                yield network, scenario, uses

    def _all_named(self) -> Procedure:
        """The procedure with a limit on each use, so that every way to one is looked at."""
        start, keeps = Point(None, "starts", self.procedure.span), self.ageing.supply.use_within
        ends = [Point(step.name, "ends", step.span) for step in self.using]
        more = (Limit(end, start, None, keeps, (), (), "", end.span) for end in ends)
        return replace(self.procedure, limits=(*self.procedure.limits, *more))


def _with(network: Network, *more: Bound) -> Network:
    return Network(network.points, (*network.bounds, *more), network.links)


def _at_least(network: Network, earlier: int, later: int) -> int:
    return minimal_interval(network.pinned(True), earlier, later).earliest or 0


def _runs_out(office: Office, supply: Supply, maker: Task, late: _Late) -> Finding:
    keeps, where, age = f"keeps for {supply.use_within}", late.step.title, show_duration(late.seconds)
    if late.why:
        sentence = f"Whether “{where}” finds {supply.title} still good is undecided: it {keeps}, and {late.why}."
        fix = "Add `takes … to …` to these steps, or take something that keeps longer."
    elif late.sure:
        sentence = (
            f"{supply.title} {keeps}; “{where}” uses it {age} after it was first used in “{late.procedure.title}”."
        )
        fix = "Take something that keeps longer, or do what needs it afresh in another procedure, with its own task."
    else:
        sentence = f"{supply.title} {keeps} and is made as the work begins; “{where}” has done with it {age} later."
        fix = "Do what comes before the making in another procedure, or take something that keeps longer."
    return finding(
        "S06",
        late.step.span,
        sentence,
        floor="It loses its strength before the work is over, and nobody sees it.",
        fix=fix,
        notes=[
            Note("how long it keeps", supply.use_within_span or supply.span),
            Note(f"“{maker.title}” makes it", maker.span),
        ],
        cause=f"runs out in the work {supply.name}",
        asked_by=asked_by(office, supply),
    )
