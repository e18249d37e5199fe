"""Do chemicals that must not come together meet one after the other, on a surface or item not rinsed in between."""

from __future__ import annotations

from collections import deque
from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations

from sopc.checks.paths import NodeKind, paths_of
from sopc.checks.report import asked_by, finding, title
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Branch, Category, Choice, Office, Part, Procedure, Step, Task, Together, steps_of
from sopc.source import Span


@dataclass(frozen=True, slots=True)
class Residue:
    """What may still be there: a supply, where and on what (empty: anything); and the step or task that used it."""

    supply: str
    area: str
    items: frozenset[str]
    carried: frozenset[str]  # instruments it is on: they take it along to another place
    where: str = field(compare=False)
    span: Span = field(compare=False)


Residues = frozenset[Residue]
NONE: Residues = frozenset()
INSTRUMENTS = (Category.CRITICAL, Category.SEMICRITICAL)
NO_ITEMS: frozenset[str] = frozenset()
Call = tuple[Procedure, Residue | None]
"""A procedure to be gone through, with one residue there at its start, or none."""
Going = Generator[Call, Residues, Residues]
"""Asks for what procedures performed on the way leave; ends with what is left."""


def check(office: Office) -> Iterator[Finding]:
    """Hold that no step uses a supply where one it must not come together with may still be (L23).

    Every path counts, and what procedures use that are performed on the way. An action that `removes chemicals` leaves
    nothing behind of what it is done to. Supplies used in one and the same step are P03's.
    """
    partners = _partners(office)
    if not partners:
        return
    walker = _Walker(office, partners)
    for procedure in office.procedures.values():
        walker.go((procedure, None))
        walker.side_by_side(procedure.parts, procedure)
    for task in office.tasks.values():
        walker.task(task)
    yield from walker.found.values()


def _partners(office: Office) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for supply in office.supplies.values():
        for other in supply.not_with:
            found.setdefault(supply.name, set()).add(other)
            found.setdefault(other, set()).add(supply.name)
    return found


@dataclass(slots=True)
class _Walker:
    """Goes through procedures once for each single residue at their start: one does not change what another does.

    Procedures performed are gone through on a stack of their own, so that no chain of them is too long.
    """

    office: Office
    partners: dict[str, set[str]]
    found: dict[tuple[Span, frozenset[str]], Finding] = field(default_factory=dict)
    known: dict[tuple[str, Residue | None], Residues] = field(default_factory=dict)

    def task(self, task: Task) -> None:
        used = [name for name in task.using if name in self.partners]
        there = frozenset(Residue(name, task.area or "", NO_ITEMS, NO_ITEMS, task.title, task.span) for name in used)
        for performing in task.performs:
            procedure = self.office.procedures.get(performing.procedure)
            if procedure is not None:
                there = NONE.union(*(self.go((procedure, each)) for each in (None, *_in_order(there))))

    def go(self, call: Call) -> Residues:
        """What may be left at any end of the procedure."""
        waiting: list[tuple[Call, Going]] = [(call, self._through(*call))]
        answer: Residues | None = None
        while waiting:
            (procedure, residue), going = waiting[-1]
            try:
                asked = next(going) if answer is None else going.send(answer)
            except StopIteration as done:
                answer = self.known[procedure.name, residue] = done.value
                waiting.pop()
                continue
            answer = self._answer(asked, waiting)
            if answer is None:
                waiting.append((asked, self._through(*asked)))
        return self.known[call[0].name, call[1]]

    def _answer(self, asked: Call, waiting: list[tuple[Call, Going]]) -> Residues | None:
        """What is known already; a procedure that performs itself, which is told elsewhere, changes nothing."""
        procedure, residue = asked
        known = self.known.get((procedure.name, residue))
        if known is None and any(inside.name == procedure.name for (inside, _), _ in waiting):
            return frozenset((residue,)) if residue is not None else NONE
        return known

    def _through(self, procedure: Procedure, residue: Residue | None) -> Going:
        paths = paths_of(procedure)
        states: dict[int, Residues] = {0: frozenset((residue,)) if residue is not None else NONE}
        left = NONE
        queue = deque((0,))
        while queue:
            index = queue.popleft()
            node = paths.nodes[index]
            after = states[index]
            if node.kind is NodeKind.STEP and node.step is not None:
                after = yield from self._step(procedure, node.step, after)
            elif node.kind is NodeKind.PERFORM:
                after = yield from self._performed(node.performs, after)
            if node.kind in (NodeKind.END, NodeKind.STOP):
                left |= after
            for edge in paths.after[index]:
                before = states.get(edge.target)
                if before is None or not after <= before:
                    states[edge.target] = (before or NONE) | after
                    queue.append(edge.target)
        return left

    def _performed(self, name: str, there: Residues) -> Going:
        procedure = self.office.procedures.get(name)
        if procedure is None:
            return there
        left = NONE
        for residue in (None, *_in_order(there)):
            left |= yield procedure, residue
        return left

    def side_by_side(self, parts: Iterable[Part], procedure: Procedure) -> None:
        """What one branch uses may meet what another does at the same time."""
        for part in parts:
            inner = part.branches if isinstance(part, Together) else part.ways if isinstance(part, Choice) else ()
            for each in inner:
                self.side_by_side(each.parts, procedure)
            if isinstance(part, Together):
                for one, other in combinations(part.branches, 2):
                    self._branches(procedure, one, other)

    def _branches(self, procedure: Procedure, one: Branch, other: Branch) -> None:
        there = NONE
        for step in steps_of(one.parts):
            there |= self._left_by(procedure, step)
        for step in steps_of(other.parts):
            self._meeting(procedure, step, there)

    def _step(self, procedure: Procedure, step: Step, there: Residues) -> Going:
        self._meeting(procedure, step, there)
        for doing in step.does:
            action = self.office.actions.get(doing.action)
            if action is not None and action.removes_chemicals:
                items = frozenset(doing.items) or self._items(procedure, step)
                there = frozenset(kept for each in there if (kept := self._rinsed(each, step, items)) is not None)
        there |= self._left_by(procedure, step)
        for performing in step.performs:
            there = yield from self._performed(performing.procedure, there)
        return there

    def _meeting(self, procedure: Procedure, step: Step, there: Residues) -> None:
        items = self._items(procedure, step)
        for name in step.using:
            for residue in _in_order(there):
                if residue.supply in self.partners.get(name, ()) and self._meet(residue, step, items):
                    self._tell(step, name, residue)

    def _left_by(self, procedure: Procedure, step: Step) -> Residues:
        items = self._items(procedure, step)
        used = [name for name in step.using if name in self.partners]
        carried = self._carried(step, items)
        return frozenset(Residue(name, step.area or "", items, carried, step.title, step.span) for name in used)

    def _carried(self, step: Step, items: frozenset[str]) -> frozenset[str]:
        """Of these items the instruments that the step does something to; what is noncritical stays in its place."""
        known = (self.office.items[name] for name in items if step.does and name in self.office.items)
        return frozenset(each.name for each in known if each.category in INSTRUMENTS)

    def _rinsed(self, residue: Residue, step: Step, items: frozenset[str]) -> Residue | None:
        """What is left of a residue after a rinse: rinsed off in another room, it still lies where it was used."""
        if not self._meet(residue, step, items):
            return residue
        elsewhere = residue.area and step.area and residue.area != step.area
        return replace(residue, carried=NO_ITEMS) if elsewhere else None

    def _meet(self, residue: Residue, step: Step, items: frozenset[str]) -> bool:
        """Whether a residue lies where a step works: same place or carried there, same items, as far as is said."""
        area = step.area or ""
        if residue.area and area and residue.area != area:
            return not residue.carried.isdisjoint(self._carried(step, items))
        return not residue.items or not items or not residue.items.isdisjoint(items)

    def _items(self, procedure: Procedure, step: Step) -> frozenset[str]:
        named = frozenset(item for doing in step.does for item in doing.items)
        return named or frozenset(procedure.handles)

    def _tell(self, step: Step, name: str, residue: Residue) -> None:
        supplies = self.office.supplies
        one, two = title(supplies, name), title(supplies, residue.supply)
        barring = supplies[name] if residue.supply in supplies[name].not_with else supplies[residue.supply]
        key = (step.span, frozenset((name, residue.supply)))
        self.found.setdefault(
            key,
            finding(
                "L23",
                step.span,
                f"“{step.title}” uses {one} where {two} may still be, from “{residue.where}”: these must never meet.",
                floor="They meet on the surface or in the drain, and may give off harmful gas or spoil each other.",
                walk=[
                    WalkStep(f"“{residue.where}” uses {two}", residue.span),
                    WalkStep("nothing after it removes chemicals"),
                    WalkStep(f"“{step.title}” uses {one}", step.span),
                ],
                fix="Put a rinse between them: a step whose action `removes chemicals`; or use another product.",
                notes=[Note("`not with` stands here", barring.span)],
                asked_by=asked_by(self.office, supplies[name], supplies[residue.supply]),
            ),
        )


def _in_order(there: Residues) -> list[Residue]:
    return sorted(there, key=lambda each: (each.span, each.supply))
