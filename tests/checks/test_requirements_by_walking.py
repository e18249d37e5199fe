"""What surely came before a step, and what surely follows it, against walking every path of small random procedures."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import event, given, settings
from hypothesis import strategies as st

from sopc.checks.requirements.passing import Passing
from sopc.model.nouns import Check, Procedure, Step
from tests.checks.path_walker import PathWalker
from tests.checks.small_offices import office
from tests.checks.test_order_by_walking import ACTIONS, TRADE, procedure_texts


@dataclass(frozen=True)
class Now:
    """What was done so far: one of the actions at all, in the last step, and the steps since which it was not."""

    done: bool = False
    last: bool = False
    waiting: frozenset[str] = frozenset()


class Walker(PathWalker[Now]):
    """Notes how each step was come to, and after which nothing followed."""

    def __init__(self, procedure: Procedure, acts: tuple[str, ...]) -> None:
        super().__init__(procedure)
        self.acts = acts
        self.come_to: dict[str, set[tuple[bool, bool]]] = {}
        self.unfollowed: set[str] = set()

    def at_the_end(self, now: Now) -> None:
        self.unfollowed |= now.waiting

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
    walker.walk(Now())
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
