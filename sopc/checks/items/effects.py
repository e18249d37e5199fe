"""What steps do to the conditions of items, as bit sets: what they need, take away and bring about."""

from __future__ import annotations

from collections import deque
from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass, field

from sopc.checks.paths import outcomes_of, performed_by, performed_in
from sopc.model.nouns import (
    Action,
    Check,
    Doing,
    GoTo,
    Office,
    Performing,
    Procedure,
    Repeat,
    Step,
    Stop,
    Task,
)
from sopc.source import Span


@dataclass(frozen=True, slots=True)
class Effect:
    """One act on the items: first `needs` must hold; then `takes` go, then `brings` come.

    The sets are bits: condition number + item number × number of conditions.
    """

    what: str  # the name of the action or procedure
    performs: bool
    span: Span
    needs: int
    takes: int
    brings: int

    def after(self, held: int) -> int:
        """The conditions that hold afterwards. What it needs counts as holding from then on; if not, it is told."""
        return ((held | self.needs) & ~self.takes) | self.brings


@dataclass(frozen=True, slots=True)
class Change:
    """What one edge of the graph does to a set of conditions: (set without `takes`) with `brings`."""

    takes: int = 0
    brings: int = 0

    def after(self, state: int) -> int:
        """The conditions that hold afterwards."""
        return (state & ~self.takes) | self.brings

    def then(self, takes: int, brings: int) -> Change:
        """This change followed by another."""
        return Change(self.takes | takes, (self.brings & ~takes) | brings)


UNCHANGED = Change()


def acts_of(work: Step | Task) -> list[Doing | Performing]:
    """What a step or task does and performs, in the order of its text."""
    return sorted((*work.does, *work.performs), key=lambda act: (act.span.line, act.span.column))


class Vocabulary:
    """The conditions of an office as bits, and what each action and procedure does in terms of them."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self.names = tuple(office.conditions)
        self.bit = {name: 1 << place for place, name in enumerate(self.names)}
        self.width = len(self.names)
        self.excluded = dict.fromkeys(self.names, 0)
        for name, condition in office.conditions.items():
            for other in condition.excludes:
                if other in self.bit:
                    self.excluded[name] |= self.bit[other]
                    self.excluded[other] |= self.bit[name]
        wanted = {name for action in office.actions.values() for name in action.needs}
        wanted |= {name for procedure in office.procedures.values() for name in procedure.from_conditions}
        self.by_products = frozenset(self.names) - wanted  # what nothing needs comes about whatever a check says
        self._takes: dict[str, int] = {}

    def mask(self, names: Iterable[str]) -> int:
        """The bits of these conditions; names that are not declared are left out."""
        found = 0
        for name in names:
            found |= self.bit.get(name, 0)
        return found

    def driven_out(self, names: Iterable[str]) -> int:
        """The conditions that cannot hold once these do."""
        found = 0
        for name in names:
            found |= self.excluded.get(name, 0)
        return found

    def action(self, action: Action) -> tuple[int, int, int]:
        """What an action needs, takes away and brings about."""
        takes = self.mask(action.undoes) | self.driven_out(action.brings)
        return self.mask(action.needs), takes, self.mask(action.brings)

    def procedure(self, procedure: Procedure) -> tuple[int, int, int]:
        """What performing a procedure needs of an item, may take away and promises."""
        brings = self.mask(procedure.to_conditions)
        return self.mask(procedure.from_conditions), self._may_take(procedure), brings

    def _may_take(self, procedure: Procedure) -> int:
        known = self._takes.get(procedure.name)
        if known is not None:
            return known
        self._takes[procedure.name] = 0  # a circle of procedures ends here; it is reported as such
        takes = self.driven_out(procedure.to_conditions)
        for step in procedure.steps():
            takes |= self._step_may_take(step)
            for check in step.checks:
                takes |= self._denied(step) if _stays_denied(procedure, step, check) else 0
        self._takes[procedure.name] = takes
        return takes

    def _step_may_take(self, step: Step) -> int:
        takes = 0
        for doing in step.does:
            action = self.office.actions.get(doing.action)
            takes |= self.action(action)[1] if action else 0
        for name in performed_in(step):
            inner = self.office.procedures.get(name)
            takes |= self._may_take(inner) if inner else 0
        for check in step.checks:
            takes |= self.mask(check.loses)
        return takes

    def _denied(self, step: Step) -> int:
        """What a step would bring, and a check of it denies when it is answered no."""
        brings = 0
        for doing in step.does:
            action = self.office.actions.get(doing.action)
            brings |= self.mask(action.brings) if action else 0
        for performing in step.performs:
            inner = self.office.procedures.get(performing.procedure)
            brings |= self.mask(inner.to_conditions) if inner else 0
        return brings


def _stays_denied(procedure: Procedure, step: Step, check: Check) -> bool:
    """Whether a procedure may end well after this “no” without doing the step again.

    It cannot where the “no” stops, or goes back until all passes are used up and then stops, if every way leads back
    through the step.
    """
    outcome = check.otherwise
    if isinstance(outcome, Repeat) and isinstance(outcome.afterwards, Stop):
        jumps = any(isinstance(each, GoTo) for other in procedure.steps() for _, each in outcomes_of(other))
        return bool(step.when) or jumps or step not in procedure.parts
    return outcome is not None and not isinstance(outcome, Stop)


def with_performed(office: Office, names: Iterable[str], but: Container[str] = ()) -> list[Procedure]:
    """The procedures of these names and all that they perform, each once, in the order in which they are met.

    Those named by `but` are left out, with what only they perform.
    """
    found: dict[str, Procedure] = {}
    queue = deque(names)
    while queue:
        procedure = office.procedures.get(queue.popleft())
        if procedure is None or procedure.name in found or procedure.name in but:
            continue
        found[procedure.name] = procedure
        queue += performed_by(procedure)
    return list(found.values())


@dataclass(slots=True)
class ItemEffects:
    """The effects of one procedure's steps on the items it handles."""

    words: Vocabulary
    procedure: Procedure
    items: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        known = self.words.office.items
        self.items = tuple(dict.fromkeys(name for name in self.procedure.handles if name in known))

    def spread(self, mask: int, items: Iterable[str]) -> int:
        """The same conditions for each of these items."""
        return sum(mask << (self.items.index(item) * self.words.width) for item in items)

    def everywhere(self, mask: int) -> int:
        """The same conditions for every item handled."""
        return self.spread(mask, self.items)

    def split(self, mask: int) -> list[tuple[str, list[str]]]:
        """Bits as condition → items, in the order of declaration."""
        found: dict[str, list[str]] = {}
        for place, name in enumerate(self.words.names):
            for number, item in enumerate(self.items):
                if mask >> (number * self.words.width + place) & 1:
                    found.setdefault(name, []).append(item)
        return list(found.items())

    def items_of(self, doing: Doing) -> tuple[str, ...]:
        """The handled items an action is done on."""
        named = tuple(dict.fromkeys(item for item in doing.items if item in self.items))
        return named if doing.items else self.items

    def items_for(self, procedure: Procedure, named: tuple[str, ...]) -> tuple[str, ...]:
        """The handled items a performed procedure works on."""
        if named:
            return tuple(dict.fromkeys(item for item in named if item in self.items))
        shared = tuple(item for item in self.items if item in procedure.handles)
        return shared or (self.items if procedure.handles else ())

    def performing(self, name: str, named: tuple[str, ...], span: Span) -> Effect | None:
        """The effect of performing another procedure, or None when it does not concern the items."""
        inner = self.words.office.procedures.get(name)
        if inner is None:
            return None
        items = self.items_for(inner, named)
        needs, takes, brings = self.words.procedure(inner)
        return Effect(name, True, span, *(self.spread(mask, items) for mask in (needs, takes, brings)))

    def of_step(self, step: Step) -> list[Effect]:
        """The effects of a step in the order of its text."""
        found: list[Effect] = []
        for act in acts_of(step):
            if isinstance(act, Performing):
                effect = self.performing(act.procedure, act.items, act.span)
                found += [effect] if effect else []
                continue
            action = self.words.office.actions.get(act.action)
            if action is None:
                continue
            items = self.items_of(act)
            masks = (self.spread(mask, items) for mask in self.words.action(action))
            found.append(Effect(act.action, False, act.span, *masks))
        return found

    def worked_on(self, step: Step) -> tuple[str, ...]:
        """The handled items that a step works on; all when it names none."""
        found: dict[str, None] = {}
        for doing in step.does:
            found |= dict.fromkeys(self.items_of(doing))
        for performing in step.performs:
            inner = self.words.office.procedures.get(performing.procedure)
            found |= dict.fromkeys(self.items_for(inner, performing.items)) if inner else {}
        return tuple(found) or self.items

    def completed(self, effects: list[Effect]) -> Change:
        """What a step changes when it is done and its checks are answered yes.

        What an act needs counts as holding from then on: if it does not, that is reported there, once.
        """
        change = UNCHANGED
        for effect in effects:
            change = change.then(0, effect.needs).then(effect.takes, effect.brings)
        return change

    def failed(self, step: Step, check: Check, effects: list[Effect]) -> Change:
        """What a step changes when a check is answered no: nothing is brought, what it undoes is gone.

        A condition the step would have brought does not hold, even if it did before: the check denies it. What it
        brings that nothing needs came about all the same, and what that excludes is gone: washed in vain is wet.
        """
        brings = undoes = needs = 0
        for effect in effects:
            brings |= effect.brings
            needs |= effect.needs
            undoes |= effect.takes if effect.performs else 0
        for doing in step.does:
            action = self.words.office.actions.get(doing.action)
            if action is not None:
                driven = self.words.driven_out(name for name in action.brings if name in self.words.by_products)
                undoes |= self.spread(self.words.mask(action.undoes) | driven, self.items_of(doing))
        loses = self.spread(self.words.mask(check.loses), self.worked_on(step))
        gone = brings | undoes | loses
        return Change(gone, needs & ~gone)


def single_bits(mask: int) -> Iterator[int]:
    """Every bit of a set, lowest first."""
    while mask:
        low = mask & -mask
        yield low
        mask ^= low
