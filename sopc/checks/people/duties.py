"""Are duties kept apart: where a step asks for another person than an earlier one, is there always one?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import combinations

from sopc.checks.along import unwound, walk
from sopc.checks.paths import NodeKind, PathEdge, Paths, paths_of
from sopc.checks.report import asked_by, finding, listed, title
from sopc.checks.walk import said, walk_told
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Performers, Procedure, Step

Done = frozenset[str]
"""The steps with separated duties that were done so far."""

Pairs = frozenset[frozenset[str]]
"""Which two steps must not be done by one person."""


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what separated duties promise.

    1. On every path, with the fewest people on duty, the steps of that path can be given out so that each step
       that says `another person than` has one (P13). One person does one step throughout, repeats included.
    2. What a step is to be separated from is done before it, or beside it, on some path (P14).
    """
    for procedure in office.procedures.values():
        if any(step.another for step in procedure.steps()):
            yield from _procedure(office, procedure)


def _procedure(office: Office, procedure: Procedure) -> Iterator[Finding]:
    paths = paths_of(procedure)
    asking = [step for step in procedure.steps() if step.another]
    pairs = frozenset(
        frozenset((step.name, other))
        for step in asking
        if step.another
        for other in step.another.steps
        if other != step.name
    )
    named = {name for pair in pairs for name in pair}
    before: dict[str, set[str]] = {step.name: set() for step in asking}
    blamed: set[str] = set()
    staff = Staff(office, procedure)
    for (index, done), came in walk(paths, frozenset[str](), lambda edge, at: at | _done(paths, edge, named)):
        node = paths.nodes[index]
        if node.kind is not NodeKind.STEP or node.step is None or node.step.name not in named:
            continue
        step = node.step
        if step.name in before:
            before[step.name] |= done
        if step.name not in blamed and staff.fits(done, pairs) and not staff.fits(done | {step.name}, pairs):
            blamed.add(step.name)
            yield _nobody_else(office, paths, step, unwound(came, (index, done)), pairs)
    for step in asking:
        yield from _no_one(procedure, paths, step, before[step.name])


def _done(paths: Paths, edge: PathEdge, named: set[str]) -> Done:
    node = paths.nodes[edge.source]
    started = node.kind is NodeKind.STEP and node.step is not None and node.step.name in named
    return frozenset((node.step.name,)) if started and node.step is not None else frozenset()


@dataclass(frozen=True, slots=True)
class Staff:
    """The fewest people of an office on duty, and what each of them may do in one procedure."""

    office: Office
    procedure: Procedure

    def people(self) -> list[str]:
        """One entry a person: the role. As many are counted as one step asks for: until then it waits (P08)."""
        asked = [team for step in self.procedure.steps() if step.by for team in step.by.roles]
        found: list[str] = []
        for role in self.office.roles.values():
            at_once = [number for number, name in asked if name == role.name]
            found += [role.name] * max(1, role.on_duty[0], *at_once)
        return found

    def may(self, person: str, role: str) -> bool:
        """Whether one of this role does the work of that."""
        return person == role or role in self.office.roles[person].stands_in_for

    def fits(self, done: Done, pairs: Pairs) -> bool:
        """Whether the steps done can be given out so that no person has two that are to be kept apart."""
        steps = [step for step in self.procedure.steps() if step.name in done]
        return self._given_out(steps, {}, pairs)

    def _given_out(self, steps: list[Step], given: dict[str, frozenset[int]], pairs: Pairs) -> bool:
        if not steps:
            return True
        step, *rest = steps
        barred: set[int] = set()
        for other, people in given.items():
            barred |= people if frozenset((step.name, other)) in pairs else set()
        return any(self._given_out(rest, {**given, step.name: team}, pairs) for team in self._teams(step, barred))

    def _teams(self, step: Step, barred: set[int]) -> Iterator[frozenset[int]]:
        """Every team of people who may do a step together."""
        free = [(number, role) for number, role in enumerate(self.people()) if number not in barred]
        for slots in _slots(step.by):
            for team in combinations(free, len(slots)):
                if self._fills(slots, [role for _, role in team]):
                    yield frozenset(number for number, _ in team)

    def _fills(self, slots: tuple[str, ...], people: list[str]) -> bool:
        if not slots:
            return True
        first, *rest = slots
        return any(
            self.may(person, first) and self._fills(tuple(rest), people[:place] + people[place + 1 :])
            for place, person in enumerate(people)
        )


def _slots(by: Performers | None) -> list[tuple[str, ...]]:
    """The teams that a step asks for, as roles: one team when they do it together, else one for each role."""
    if by is None:
        return [()]
    teams = [(role,) * number for number, role in by.roles]
    return [tuple(role for team in teams for role in team)] if by.joined else teams


def _nobody_else(office: Office, paths: Paths, step: Step, path: list[PathEdge], pairs: Pairs) -> Finding:
    before = [node.step for edge in path if (node := paths.nodes[edge.source]).kind is NodeKind.STEP and node.step]
    apart = {other for pair in pairs if step.name in pair for other in pair - {step.name}}
    others = [each for each in dict.fromkeys(before) if each.name in apart]
    asking = next((each for each in (step, *others) if each.another), step)
    roles = {role: office.roles[role] for each in (step, *others) if each.by for _, role in each.by.roles}
    people = listed([f"{max(1, role.on_duty[0])} × {role.title}" for role in roles.values()])
    return finding(
        "P13",
        asking.another.span if asking.another else step.span,
        f"“{step.title}” must be done by another person than {listed([f'“{each.title}”' for each in others], 'or')}, "
        f"but with the fewest people on duty ({people}) nobody else is left.",
        floor="The one who did the work vouches for it too: a second look that is none.",
        walk=walk_told(paths, path, [""] * len(path)),
        fix=f"Let another role do “{step.title}” (`by … or …`), let one stand in, or raise `on duty`.",
        notes=[Note(f"{said(each)} is done by {_who(office, each)}", each.span) for each in others],
        asked_by=asked_by(office, step),
    )


def _who(office: Office, step: Step) -> str:
    if step.by is None:
        return "no one who is named"
    return listed([title(office.roles, role) for _, role in step.by.roles], "and" if step.by.joined else "or")


def _no_one(procedure: Procedure, paths: Paths, step: Step, before: set[str]) -> Iterator[Finding]:
    assert step.another is not None
    for name in step.another.steps:
        if name != step.name and (name in before or _beside(paths, step.name, name)):
            continue
        other = procedure.step(name)
        yield finding(
            "P14",
            step.another.span,
            f"“{step.title}” asks for another person than “{other.title if other else name}”, which no path does "
            f"before it.",
            floor="There is nobody yet to be another person than: the reader passes over it.",
            fix="Say it in the later of the two steps.",
            notes=[Note("the other step", other.span)] if other else [],
        )


def _beside(paths: Paths, one: str, other: str) -> bool:
    """Whether two steps stand in different branches of one fork."""
    here, there = (paths.nodes[paths.entries[name]].places for name in (one, other))
    return any(a.fork == b.fork and a.branch != b.branch for a, b in zip(here, there, strict=False))
