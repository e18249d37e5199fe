"""How long a performed procedure may keep one: every answer no, every pass used, every machine at its slowest."""

from __future__ import annotations

from sopc.checks.paths import outcomes_of
from sopc.checks.time.durations import Lengths, contact_of, rounded_up, stated
from sopc.model.nouns import Choice, Decider, Office, Part, PerformThen, Procedure, Repeat, Step, steps_of
from sopc.source import Span

ENDLESS = 1_000_000_000_000  # seconds; longer than any limit, however often it is passed


class Hardest:
    """Seconds that must be allowed for procedures of one office, each worked out once.

    Never too little, and too much only where passes through the same steps are counted for several repeats, or where
    answers that exclude each other are both taken. What staff decide counts at its least. Where the text
    states no least, one who is not `hurried` counts the most; ENDLESS, if it says nothing.
    """

    def __init__(self, lengths: Lengths, hurried: bool = True) -> None:
        self.office: Office = lengths.office
        self.reaction = rounded_up(self.office.premises.reaction)
        self._hurried = hurried
        self._known: dict[str, int] = {}
        self._silent: dict[str, tuple[Step, ...]] = {}

    def procedure(self, name: str) -> int:
        """Seconds from the start of a procedure to its normal end; a circle counts as nothing, it is told elsewhere."""
        known = self._known.get(name)
        procedure = self.office.procedures.get(name)
        if known is not None or procedure is None:
            return known or 0
        self._known[name] = 0
        self._known[name] = self._parts(procedure.parts) + self._again(procedure) + self._waits(procedure)
        return self._known[name]

    def silent(self, name: str) -> tuple[Step, ...]:
        """The steps of a procedure, and of those it performs, that do not say how long they take."""
        known = self._silent.get(name)
        procedure = self.office.procedures.get(name)
        if known is not None or procedure is None:
            return known or ()
        self._silent[name] = ()
        found: dict[Span, Step] = {}
        for step in procedure.steps():
            if silent(self.office, step):
                found[step.span] = step
            inside = [each.procedure for each in step.performs] if step.takes is None else []
            inside += [each.procedure for _, each in outcomes_of(step) if isinstance(each, PerformThen)]
            found |= {inner.span: inner for each in inside for inner in self.silent(each)}
        self._silent[name] = tuple(found.values())
        return self._silent[name]

    def way(self, parts: tuple[Part, ...]) -> int:
        """Seconds for a way or branch, gone through once."""
        return self._parts(parts)

    def step(self, step: Step) -> int:
        """Seconds for a step done once; neither the reaction to a machine that ends it nor what a no performs."""
        contact = contact_of(self.office, step)
        inner = sum(self.procedure(performing.procedure) for performing in step.performs)
        return max(self._length(step), inner, contact[0] if contact else 0)

    def _parts(self, parts: tuple[Part, ...]) -> int:
        return sum(self._part(part) for part in parts)

    def _part(self, part: Part) -> int:
        if isinstance(part, Step):
            return self._step(part)
        inside = part.ways if isinstance(part, Choice) else part.branches
        return max((self._parts(each.parts) for each in inside), default=0)

    def _step(self, step: Step) -> int:
        machine = step.takes is not None and step.takes.contingent and step.takes.decider is Decider.MACHINE
        performed = [self.procedure(each.procedure) for _, each in outcomes_of(step) if isinstance(each, PerformThen)]
        return self.step(step) + (self.reaction if machine else 0) + sum(performed)

    def _length(self, step: Step) -> int:
        if step.takes is None:
            return ENDLESS if not self._hurried and silent(self.office, step) else 0
        length = stated(step.takes)
        if not self._hurried and not length.least and length.most is not None:
            return length.most
        return length.sure

    def _again(self, procedure: Procedure) -> int:
        """What all passes that the text allows add."""
        steps = list(procedure.steps())
        places = {step.name: place for place, step in enumerate(steps)}
        total = 0
        for place, step in enumerate(steps):
            for repeat in _repeats(step):
                first = places.get(repeat.step, place + 1)
                total += (repeat.at_most or 0) * self._between(procedure, steps[first : place + 1])
        return total

    def _between(self, procedure: Procedure, steps: list[Step]) -> int:
        """One more pass through these steps, which follow each other in the text."""
        names = {step.name for step in steps}
        total = 0
        for part in procedure.parts:
            inside = list(steps_of((part,)))
            if inside and all(step.name in names for step in inside):
                total += self._part(part)
            else:
                total += sum(self._step(step) for step in inside if step.name in names)
        return total

    def _waits(self, procedure: Procedure) -> int:
        """What lower limits make one wait, once for each pass there may be."""
        passes = 1 + sum(repeat.at_most or 0 for step in procedure.steps() for repeat in _repeats(step))
        return passes * sum(rounded_up(limit.least) for limit in procedure.limits if limit.least is not None)


def silent(office: Office, step: Step) -> bool:
    """Whether nothing says how long a step takes: no time of its own, none of a machine, a label or a procedure."""
    return step.takes is None and not step.runs and not step.performs and contact_of(office, step) is None


def _repeats(step: Step) -> list[Repeat]:
    return [outcome for _, outcome in outcomes_of(step) if isinstance(outcome, Repeat)]
