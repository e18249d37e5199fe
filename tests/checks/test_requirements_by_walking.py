"""What surely came before a step, and what surely follows it, against walking every path of small random procedures."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations

from hypothesis import event, given, settings
from hypothesis import strategies as st

from sopc.checks.requirements.passing import Passing
from sopc.model.nouns import Check, Choice, GoTo, Part, Procedure, Proceed, Repeat, Step, Stop, Together
from tests.checks.small_offices import office
from tests.checks.test_order_by_walking import ACTIONS, TRADE, procedure_texts


@dataclass(frozen=True)
class Now:
    """What was done so far: one of the actions at all, in the last step, and the steps since which it was not."""

    done: bool = False
    last: bool = False
    waiting: frozenset[str] = frozenset()


@dataclass
class Walker:
    """Walks a procedure in every way it can go; notes how each step was come to, and after which nothing followed."""

    procedure: Procedure
    acts: tuple[str, ...]
    come_to: dict[str, set[tuple[bool, bool]]] = field(default_factory=dict)
    unfollowed: set[str] = field(default_factory=set)

    def walk(self) -> None:
        seen: set[tuple[int, Now, tuple[str, ...]]] = set()
        queue: list[tuple[int, Now, tuple[str, ...]]] = [(0, Now(), ())]
        while queue:
            at = queue.pop()
            if at in seen:
                continue
            seen.add(at)
            place, now, repeated = at
            if place == len(self.procedure.parts):
                self.unfollowed |= now.waiting
                continue
            queue += self.part(place, now, repeated)

    def part(self, place: int, now: Now, repeated: tuple[str, ...]) -> list[tuple[int, Now, tuple[str, ...]]]:
        part = self.procedure.parts[place]
        if not isinstance(part, Step):
            return [(place + 1, after, repeated) for after in self.inner(part, now)]
        found = []
        for after, stated in self.step(part, now):
            outcome = stated
            if isinstance(outcome, Repeat):
                if part.name not in repeated:
                    found.append((self.index(outcome.step), after, (*repeated, part.name)))
                    continue
                outcome = outcome.afterwards
            if isinstance(outcome, GoTo):
                found.append((self.index(outcome.step), after, repeated))
            elif outcome is None or isinstance(outcome, Proceed):
                found.append((place + 1, after, repeated))
        return found

    def index(self, name: str) -> int:
        parts = self.procedure.parts
        return next(place for place, part in enumerate(parts) if isinstance(part, Step) and part.name == name)

    def inner(self, part: Part, now: Now) -> set[Now]:
        if isinstance(part, Choice):
            return {after for way in part.ways for after in self.sequence(list(way.parts), now)}
        assert isinstance(part, Together)
        one, two = (list(branch.parts) for branch in part.branches)
        found: set[Now] = set()
        for places in combinations(range(len(one) + len(two)), len(one)):
            first, second = iter(one), iter(two)
            mixed = [next(first) if place in places else next(second) for place in range(len(one) + len(two))]
            found |= self.sequence(mixed, now)
        return found

    def sequence(self, parts: list[Part], now: Now) -> set[Now]:
        states = {now}
        for part in parts:
            assert isinstance(part, Step)
            states = {
                after for state in states for after, outcome in self.step(part, state) if not isinstance(outcome, Stop)
            }
        return states

    def step(self, step: Step, now: Now) -> list[tuple[Now, object]]:
        skipped: list[tuple[Now, object]] = [(now, None)] if step.when else []
        self.come_to.setdefault(step.name, set()).add((now.done, now.last))
        own = any(doing.action in self.acts for doing in step.does)
        waiting = frozenset() if own else now.waiting
        after = Now(now.done or own, own, waiting | {step.name})
        outcomes: list[object] = [None, *(check.otherwise for check in step.checks if isinstance(check, Check))]
        return [*skipped, *((after, outcome) for outcome in outcomes)]


def walked(text: str, acts: tuple[str, ...]) -> tuple[Passing, Procedure, Walker]:
    loaded = office(text, TRADE)
    procedure = loaded.procedures["work"]
    walker = Walker(procedure, acts)
    walker.walk()
    return Passing(loaded), procedure, walker


ACTS = st.lists(st.sampled_from(ACTIONS), min_size=1, max_size=3, unique=True).map(tuple)


@settings(max_examples=200, deadline=None)
@given(procedure_texts(side_by_side=False), ACTS)
def test_what_comes_before_on_every_path_is_what_walking_every_path_finds(text: str, acts: tuple[str, ...]) -> None:
    passing, procedure, walker = walked(text, acts)
    for step in procedure.steps():
        ways = walker.come_to.get(step.name)
        if not ways:
            continue
        begins = len(step.does) > 1 and step.does[0].action in acts
        before = all(done for done, _ in ways)
        event(f"before: {before}")
        assert passing.before(procedure, step, acts) == (before or begins)
        assert passing.before(procedure, step, acts, directly=True) == all(last for _, last in ways)


@settings(max_examples=150, deadline=None)
@given(procedure_texts(side_by_side=False), ACTS)
def test_what_follows_on_every_path_is_what_walking_every_path_finds(text: str, acts: tuple[str, ...]) -> None:
    passing, procedure, walker = walked(text, acts)
    for step in procedure.steps():
        if step.name in walker.come_to:
            assert passing.after(procedure, step, acts) == (step.name not in walker.unfollowed)


@settings(max_examples=120, deadline=None)
@given(procedure_texts(side_by_side=True), ACTS)
def test_with_branches_in_whatever_order_nothing_is_taken_for_sure_that_is_not(
    text: str, acts: tuple[str, ...]
) -> None:
    passing, procedure, walker = walked(text, acts)
    for step in procedure.steps():
        ways = walker.come_to.get(step.name)
        if not ways:
            continue
        if passing.before(procedure, step, acts) and not (len(step.does) > 1 and step.does[0].action in acts):
            assert all(done for done, _ in ways)
        if passing.after(procedure, step, acts):
            assert step.name not in walker.unfollowed
