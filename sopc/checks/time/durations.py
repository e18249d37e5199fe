"""How long steps and whole procedures take, in seconds, from what the text states."""

from __future__ import annotations

from dataclasses import dataclass, field

from sopc.model.nouns import Choice, Decider, Duration, Office, Part, Performers, Procedure, Step, Task
from sopc.source import Span
from sopc.trade.quantities import Quantity


@dataclass(frozen=True, slots=True)
class Length:
    """Seconds from start to end. `most` None: nothing ends it for sure.

    `sure` is what must be allowed for: the least of what staff decide, the most of what a machine or the
    outcome decides.
    """

    least: int
    most: int | None
    sure: int

    def then(self, other: Length) -> Length:
        """One after the other."""
        most = None if self.most is None or other.most is None else self.most + other.most
        return Length(self.least + other.least, most, self.sure + other.sure)


NOTHING = Length(0, 0, 0)
UNSTATED = Length(0, None, 0)


def rounded_up(quantity: Quantity) -> int:
    """Whole seconds, rounded up: a bound that must be waited out."""
    return -(-quantity.base.numerator // quantity.base.denominator)


def rounded_down(quantity: Quantity) -> int:
    """Whole seconds, rounded down: a bound that must not be passed."""
    return quantity.base.numerator // quantity.base.denominator


def stated(duration: Duration) -> Length:
    """The length a duration states."""
    least = rounded_up(duration.least)
    most = None if duration.most is None else rounded_down(duration.most)
    sure = most if duration.contingent and most is not None else least
    return Length(least, most, sure)


def contact_of(office: Office, step: Step | Task) -> tuple[int, int | None, str, Span] | None:
    """The contact time a step or task must last: least and most seconds, the supply, and where that is stated.

    Only for an action that lasts contact time; the longest contact time among the supplies used.
    """
    actions = (office.actions.get(doing.action) for doing in step.does)
    if not any(action is not None and action.holds_contact_time for action in actions):
        return None
    found: tuple[int, int | None, str, Span] | None = None
    for name in step.using:
        supply = office.supplies.get(name)
        if supply is None or supply.contact is None:
            continue
        least, most = rounded_up(supply.contact[0]), rounded_down(supply.contact[1])
        if found is None or least > found[0]:
            upper = most if most > least else None
            found = (least, upper, name, supply.contact_span or supply.span)
    return found


class Lengths:
    """Lengths of the procedures of one office, each worked out once. Repeats are left out: one pass."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self._known: dict[str, Length] = {}

    def procedure(self, name: str) -> Length:
        """The length of a procedure from its start to its normal end; a circle counts as unstated."""
        known = self._known.get(name)
        if known is not None:
            return known
        procedure = self.office.procedures.get(name)
        if procedure is None:
            return UNSTATED
        self._known[name] = UNSTATED
        self._known[name] = self._parts(procedure.parts)
        return self._known[name]

    def of(self, procedure: Procedure) -> Length:
        """The length of this procedure."""
        return self.procedure(procedure.name)

    def step(self, step: Step) -> Length:
        """The length of a step when it is done: what it states, at least what it performs and its contact time."""
        length = stated(step.takes) if step.takes is not None else UNSTATED
        inner = NOTHING
        for performing in step.performs:
            inner = inner.then(self.procedure(performing.procedure))
        contact = contact_of(self.office, step)
        needed = max(inner.least, contact[0] if contact else 0)
        sure = max(length.sure, inner.sure, contact[0] if contact else 0)
        most = length.most
        if step.takes is None:
            most = inner.most if step.performs else None
        if most is not None:
            most = max(most, needed)
        return Length(max(length.least, needed), most, sure)

    def way(self, parts: tuple[Part, ...]) -> Length:
        """The length of a way or branch."""
        return self._parts(parts)

    def _parts(self, parts: tuple[Part, ...]) -> Length:
        total = NOTHING
        for part in parts:
            total = total.then(self._part(part))
        return total

    def _part(self, part: Part) -> Length:
        if isinstance(part, Step):
            length = self.step(part)
            return Length(0, length.most, length.sure) if part.when else length
        if isinstance(part, Choice):
            inside = [self._parts(way.parts) for way in part.ways]
        else:
            inside = [self._parts(branch.parts) for branch in part.branches]
        if not inside:
            return NOTHING
        first = min if isinstance(part, Choice) else max
        mosts = [length.most for length in inside if length.most is not None]
        return Length(
            first(length.least for length in inside),
            max(mosts) if len(mosts) == len(inside) else None,
            max(length.sure for length in inside),
        )


Hands = dict[str, tuple[int, int | None]]


MACHINES = ""  # stands among the roles for what machines do by themselves


def hands_on(office: Office, procedure: Procedure) -> Hands:
    """Seconds of work by role and for MACHINES, (least, most), over one pass, what is performed included.

    What a machine decides binds nobody. Of roles any one of which may do it the first named is counted; in a procedure
    performed, one who performs it, if they may.
    """
    return _Work(Lengths(office)).parts(procedure.parts)


@dataclass(slots=True)
class _Work:
    lengths: Lengths
    within: set[str] = field(default_factory=set)  # procedures being gone through: a circle ends there
    at_it: tuple[str, ...] = ()  # the roles that perform the procedure gone through

    def parts(self, parts: tuple[Part, ...]) -> Hands:
        total: Hands = {}
        for part in parts:
            if isinstance(part, Step):
                more = self.step(part)
            elif isinstance(part, Choice):
                more = _widest([self.parts(way.parts) for way in part.ways])
            else:
                more = {}
                for branch in part.branches:
                    more = _added(more, self.parts(branch.parts))
            total = _added(total, more)
        return total

    def step(self, step: Step) -> Hands:
        found = self._done(step)
        return {role: (0, most) for role, (_, most) in found.items()} if step.when else found

    def _done(self, step: Step) -> Hands:
        if step.performs and step.takes is None:
            return self._performed(step)
        length = self.lengths.step(step)
        if step.takes is not None and step.takes.decider is Decider.MACHINE:
            return {MACHINES: (length.least, length.most)}
        if step.by is None:
            return {}
        return {
            role: (length.least * number, None if length.most is None else length.most * number)
            for number, role in self._doers(step.by)
        }

    def _doers(self, by: Performers) -> tuple[tuple[int, str], ...]:
        known = [each for each in by.roles if each[1] in self.at_it]
        return by.roles if by.joined else tuple(known or by.roles)[:1]

    def _performed(self, step: Step) -> Hands:
        total: Hands = {}
        before = self.at_it
        if step.by is not None:
            self.at_it = tuple(role for _, role in self._doers(step.by))
        for performing in step.performs:
            procedure = self.lengths.office.procedures.get(performing.procedure)
            if procedure is None or procedure.name in self.within:
                continue
            self.within.add(procedure.name)
            total = _added(total, self.parts(procedure.parts))
            self.within.discard(procedure.name)
        self.at_it = before
        return total


def _added(one: Hands, other: Hands) -> Hands:
    found = dict(one)
    for role, (least, most) in other.items():
        low, high = found.get(role, (0, 0))
        found[role] = (low + least, None if high is None or most is None else high + most)
    return found


def _widest(ways: list[Hands]) -> Hands:
    found: Hands = {}
    for role in dict.fromkeys(role for way in ways for role in way):
        ranges = [way.get(role, (0, 0)) for way in ways]
        mosts = [most for _, most in ranges if most is not None]
        found[role] = (min(least for least, _ in ranges), max(mosts) if len(mosts) == len(ranges) else None)
    return found
