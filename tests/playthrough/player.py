"""Walks an office's procedures as people would, by nouns alone: one random path, its conditions, its moments."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import ceil, floor
from random import Random

from sopc.model.nouns import (
    Choice,
    Decider,
    Doing,
    GoTo,
    Office,
    Outcome,
    Performing,
    PerformThen,
    Procedure,
    Proceed,
    Repeat,
    Step,
    Together,
)
from tests.playthrough.limits import Activation, Beside, Done, bind
from tests.playthrough.places import Place, following, outwards, part_at, steps_with_places
from tests.playthrough.standing import amiss
from tests.playthrough.timetable import Timetable, Upper

LONGEST = 400  # steps; a walk that comes to more is given up, and said to be
UNKNOWN = 4 * 3600  # seconds a machine may take when the text sets no longest time
DEEPEST = 12  # procedures inside procedures

Condition = dict[str, set[str]]  # item → the conditions it is in
Frontier = list[tuple[int, bool]]  # moments that what follows waits for; whether a machine ends there


@dataclass(frozen=True, slots=True)
class Breach:
    """Something went wrong on the floor."""

    kind: str  # order, promise, step, lost, loop, time; greedy: too late only because staff did not wait
    procedure: str
    text: str


class StopHereError(Exception):
    """The text says to stop here."""


class TooLongError(Exception):
    """The walk got too long to follow."""


@dataclass(slots=True)
class Player:
    """One playthrough of one procedure and of all it performs. `no` is how likely an answer is no, from 0 to 1."""

    office: Office
    random: Random
    no: float
    timetable: Timetable = field(default_factory=Timetable)
    breaches: list[Breach] = field(default_factory=list)
    path: list[str] = field(default_factory=list)
    seen: set[tuple[str, str]] = field(default_factory=set)  # procedure, step
    steps: int = 0
    forks: int = 0
    made: dict[str, int] = field(default_factory=dict)  # supply → the moment at which it was last made
    _joined: Frontier = field(default_factory=list)

    def play(self, procedure: Procedure) -> list[Breach]:
        """Walk it once, time it, and return what went wrong."""
        items = {name: set(procedure.from_conditions) for name in procedure.handles}
        try:
            for _ in self.activate(procedure, items, [(0, False)], 0):
                pass
        except StopHereError:
            self._time(procedure)
        except TooLongError:
            self._breach("loop", procedure, f"no end after {LONGEST} steps")
        else:
            self._time(procedure)
        return self.breaches

    def _time(self, procedure: Procedure) -> None:
        times = self.timetable.greedy()
        if times is None:
            self._breach("time", procedure, "the durations contradict each other")
            return
        for limit in self.timetable.broken(times):
            late = times[limit.later] - times[limit.earlier] - limit.seconds
            self._breach("greedy", procedure, f"{limit.what}: {late} s late")
        if not self.timetable.possible():
            self._breach(
                "time", procedure, "no one could have kept: " + ", ".join(each.what for each in self.timetable.limits)
            )

    def _breach(self, kind: str, procedure: Procedure, text: str) -> None:
        breach = Breach(kind, procedure.name, text)
        if breach not in self.breaches:
            self.breaches.append(breach)

    def activate(self, procedure: Procedure, items: Condition, frontier: Frontier, deep: int) -> Iterator[Frontier]:
        """Carry out a procedure on these items; yields after each step, and the frontier at its end last."""
        if deep > DEEPEST:
            self._breach("loop", procedure, "performs itself")
            raise TooLongError
        start = self.timetable.moment()
        self._wait(frontier, start)
        run = Activation(procedure, start)
        self._made(procedure, start)
        reached = frontier = [(start, False)]
        try:
            for reached in self.parts(run, (0,), items, frontier, (), deep):
                yield reached
        except StopHereError:
            bind(self.timetable, run)
            raise
        # It ends when its last step does, a machine's too; whoever goes on has to notice that first.
        run.end = self.timetable.moment()
        self._wait([(earlier, False) for earlier, _ in reached], run.end)
        bind(self.timetable, run)
        for name, held in items.items():
            for missing in sorted(set(procedure.to_conditions) - held):
                self._breach("promise", procedure, f"{name} ends not {missing}")
        yield [(run.end, False), *reached]

    def _made(self, procedure: Procedure, moment: int) -> None:
        """A task that performs a procedure and renews a supply makes it as the procedure begins."""
        for task in self.office.tasks.values():
            if procedure.name in {each.procedure for each in task.performs}:
                self.made |= dict.fromkeys(task.renews, moment)

    def parts(
        self,
        run: Activation,
        place: Place,
        items: Condition,
        frontier: Frontier,
        beside: Beside,
        deep: int,
    ) -> Iterator[Frontier]:
        """Go on from a place to the end of the procedure, or of the branch that `place` lies in."""
        depth = len(place)
        here: Place | None = place
        while here is not None:
            part = part_at(run.procedure, here)
            if part is None:
                here = outwards(here, depth)
            elif isinstance(part, Choice):
                way = self.random.randrange(len(part.ways))
                self.path.append(f"way “{part.ways[way].title}”")
                here = (*here, way, 0)
            elif isinstance(part, Together):
                yield from self._side_by_side(run, part, here, items, frontier, beside, deep)
                frontier = self._joined
                here = following(here)
            else:
                outcome, frontier = self.step(run, part, items, frontier, beside, deep)
                yield frontier
                here = self._go(run, here, outcome)
        yield frontier

    def _side_by_side(
        self,
        run: Activation,
        part: Together,
        place: Place,
        items: Condition,
        frontier: Frontier,
        beside: Beside,
        deep: int,
    ) -> Iterator[Frontier]:
        """Do the branches mixed at random, step by step."""
        self.forks += 1
        fork = self.forks
        going = {
            number: self.parts(run, (*place, number, 0), items, frontier, (*beside, (fork, number)), deep)
            for number in range(len(part.branches))
        }
        ends: dict[int, Frontier] = dict.fromkeys(going, frontier)
        while going:
            number = self.random.choice(sorted(going))
            try:
                ends[number] = next(going[number])
                yield ends[number]
            except StopIteration:
                del going[number]
        self._joined = [each for end in ends.values() for each in end]

    def _go(self, run: Activation, place: Place, outcome: Outcome | None) -> Place:
        """Where an outcome leads: the next place, or that of a step named."""
        if outcome is None or isinstance(outcome, Proceed):
            return following(place)
        assert isinstance(outcome, GoTo)
        return next(where for where, step in steps_with_places(run.procedure.parts, ()) if step.name == outcome.step)

    def step(
        self,
        run: Activation,
        step: Step,
        items: Condition,
        frontier: Frontier,
        beside: Beside,
        deep: int,
    ) -> tuple[Outcome | None, Frontier]:
        """Do a step, or skip it; where it leads, and what the next one waits for."""
        if step.when and self.random.random() < 0.5:
            self.path.append(f"{step.name} skipped")
            return None, frontier
        self.steps += 1
        if self.steps > LONGEST:
            raise TooLongError
        self.path.append(step.name)
        self.seen.add((run.procedure.name, step.name))
        for wrong in amiss(self.office, run.procedure, step, frozenset(items)):
            self._breach("step", run.procedure, f"{step.name}: {wrong}")
        start, end = self.timetable.moment(), self.timetable.moment()
        self._wait(frontier, start)
        for name in {*self.made}.intersection(step.using):
            keeps = self.office.supplies[name].use_within
            if keeps is not None:
                self.timetable.limits.append(Upper(self.made[name], end, floor(keeps.base), f"{name} keeps"))
        before = {name: set(held) for name, held in items.items()}
        inner = self._act(run, step, items, [(start, False)], deep)
        self._wait(inner, end)
        machine = self._last(step, start, end)
        run.done.append(Done(step.name, start, end, beside))
        frontier = [(end, machine)]
        for check in step.checks:
            if self.random.random() >= self.no:
                continue
            self.path.append("no")
            if check.otherwise is None:
                self._breach("lost", run.procedure, f"{step.name}: no, and then?")
                raise StopHereError
            self._denied(step, check.loses, items, before)
            return self._settle(run, check.otherwise, items, frontier, deep)
        return self._settle(run, step.onward, items, frontier, deep)

    def _wait(self, frontier: Frontier, moment: int) -> None:
        reaction = ceil(self.office.premises.reaction.base)
        for earlier, machine in frontier:
            self.timetable.after(earlier, moment, reaction if machine else 0)

    def _last(self, step: Step, start: int, end: int) -> bool:
        """Tie the two moments of a step; whether a machine ends it when it likes."""
        timetable, takes = self.timetable, step.takes
        timetable.after(start, end)
        if takes is None:
            if step.runs:
                self._lasts(start, end, self.random.choice((0, UNKNOWN, self.random.randint(0, UNKNOWN))))
            return bool(step.runs)
        least = ceil(takes.least.base)
        most = None if takes.most is None else floor(takes.most.base)
        if takes.decider is Decider.STAFF or most == least:
            timetable.after(start, end, least)
            if most is not None:
                timetable.lasting.append(Upper(start, end, most, f"{step.name} lasts"))
            return False
        top = max(least, UNKNOWN) if most is None else most
        self._lasts(start, end, self.random.choice((least, top, self.random.randint(least, max(least, top)))))
        return takes.decider is Decider.MACHINE

    def _lasts(self, start: int, end: int, seconds: int) -> None:
        self.timetable.after(start, end, seconds)
        self.timetable.lasting.append(Upper(start, end, seconds, "machine"))

    def _act(self, run: Activation, step: Step, items: Condition, frontier: Frontier, deep: int) -> Frontier:
        """Do the acts of a step in the order of the text; what its end waits for."""
        acts: list[Doing | Performing] = [*step.does, *step.performs]
        for act in sorted(acts, key=lambda each: (each.span.line, each.span.column)):
            if isinstance(act, Doing):
                self._do(run, step, act, items)
            else:
                frontier = self._perform(act.procedure, act.items, items, frontier, deep)
        return frontier

    def _do(self, run: Activation, step: Step, doing: Doing, items: Condition) -> None:
        action = self.office.actions[doing.action]
        for name in [each for each in doing.items if each in items] if doing.items else list(items):
            held = items[name]
            for missing in sorted(set(action.needs) - held):
                self._breach("order", run.procedure, f"{step.name}: {doing.action} on {name} not {missing}")
            held |= set(action.needs)
            held -= set(action.undoes)
            for condition in action.brings:
                held -= self._excluded(condition)
            held |= set(action.brings)

    def _needed(self) -> set[str]:
        """The conditions that any action needs, or any procedure starts from."""
        wanted = {condition for action in self.office.actions.values() for condition in action.needs}
        return wanted | {each for procedure in self.office.procedures.values() for each in procedure.from_conditions}

    def _excluded(self, condition: str) -> set[str]:
        conditions = self.office.conditions
        return set(conditions[condition].excludes) | {
            name for name in conditions if condition in conditions[name].excludes
        }

    def _perform(self, name: str, named: tuple[str, ...], items: Condition, frontier: Frontier, deep: int) -> Frontier:
        inner = self.office.procedures[name]
        if named:
            taken = [each for each in named if each in items]
        else:
            taken = [each for each in items if each in inner.handles] or (list(items) if inner.handles else [])
        work = {each: items[each] for each in taken}
        for each, held in work.items():
            for missing in sorted(set(inner.from_conditions) - held):
                self._breach("order", inner, f"begins on {each} not {missing}")
            held |= set(inner.from_conditions)
        if not work:
            work = {each: set(inner.from_conditions) for each in inner.handles}
        for reached in self.activate(inner, work, frontier, deep + 1):
            frontier = reached
        return frontier

    def _denied(self, step: Step, loses: tuple[str, ...], items: Condition, before: Condition) -> None:
        """The answer no: what the step would have brought is not there, what it undoes and the answer takes is gone."""
        worked: set[str] = set()
        for name in items:
            on_it = [self.office.actions[doing.action] for doing in step.does if not doing.items or name in doing.items]
            inside = [self.office.procedures[each.procedure] for each in step.performs if self._concerns(each, name)]
            worked |= {name} if on_it or inside else set()
            needed = {condition for action in on_it for condition in action.needs}
            kept = before[name] & items[name] if inside else set(before[name])
            for condition in {each for action in on_it for each in action.brings} - self._needed():
                kept -= self._excluded(condition)  # washed in vain is wet all the same
            gone = {condition for action in on_it for condition in (*action.brings, *action.undoes)}
            gone |= {condition for procedure in inside for condition in procedure.to_conditions}
            items[name].clear()
            items[name].update((kept | needed) - gone)
        for name in worked or items:
            items[name] -= set(loses)

    def _concerns(self, performing: Performing, item: str) -> bool:
        return item in (performing.items or self.office.procedures[performing.procedure].handles)

    def _settle(
        self, run: Activation, outcome: Outcome | None, items: Condition, frontier: Frontier, deep: int
    ) -> tuple[Outcome | None, Frontier]:
        """Follow an outcome through repeats used up and procedures performed, to where it leads."""
        while isinstance(outcome, Repeat | PerformThen):
            if isinstance(outcome, PerformThen):
                frontier = self._perform(outcome.procedure, (), items, frontier, deep)
                outcome = outcome.afterwards
                continue
            if outcome.at_most is None:
                self._breach("loop", run.procedure, f"back to {outcome.step} for ever")
                raise StopHereError
            passes = run.repeats[id(outcome)] = run.repeats.get(id(outcome), 0) + 1
            if passes <= outcome.at_most:
                return GoTo(outcome.step, outcome.span), frontier
            if outcome.afterwards is None:
                self._breach("lost", run.procedure, f"no pass to {outcome.step} is left, and then?")
                raise StopHereError
            outcome = outcome.afterwards
        if outcome is not None and not isinstance(outcome, GoTo | Proceed):
            raise StopHereError
        return outcome, frontier
