"""Are hands cleaned as soon as gloves come off: what is done once a piece is off, by the same person, on every path?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date

from sopc.checks.along import unwound, walk_all
from sopc.checks.paths import NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.checks.report import asked_by, finding, listed, title
from sopc.checks.walk import walk_told
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Office, Procedure, Step

Worn = tuple[frozenset[str], str]
"""The pieces worn that ask for something once they are off, and the title of the step in which they were."""

NOT_KNOWN: Worn = (frozenset(), "")


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what is to be done once a piece of protective equipment is off.

    On every path, the next step of the role that wore it does one of the actions that the piece names (P17), also
    within a procedure that is performed, or is that procedure, if its first act is such an action on all its ways.
    What is worn when a procedure begins by itself is not known.
    """
    if not any(piece.once_off for piece in office.ppe.values()):
        return
    watcher = _Watcher(office)
    for procedure in office.procedures.values():
        for role in roles_of(procedure):
            watcher.leaves(procedure, role, NOT_KNOWN, ())
    yield from watcher.found.values()


def roles_of(procedure: Procedure) -> list[str]:
    """The roles that work by a procedure, in the order of its steps."""
    named = [role for step in procedure.steps() if step.by for _, role in step.by.roles]
    return list(dict.fromkeys(named))


def does(step: Step, role: str) -> bool:
    """Whether somebody of this role may do the step."""
    return step.by is not None and any(name == role for _, name in step.by.roles)


@dataclass(slots=True)
class _Watcher:
    """Follows one role through procedures and what they perform."""

    office: Office
    found: dict[tuple[str, str], Finding] = field(default_factory=dict)
    _left: dict[tuple[str, str, Worn], frozenset[Worn]] = field(default_factory=dict)

    def leaves(self, procedure: Procedure, role: str, entry: Worn, way: tuple[WalkStep, ...]) -> frozenset[Worn]:
        """What the role may wear at the end of a procedure that it begins so, `way` having led there."""
        key = (procedure.name, role, entry)
        if key in self._left:
            return self._left[key]
        self._left[key] = frozenset((NOT_KNOWN,))
        paths, ends = paths_of(procedure), set[Worn]()
        for (index, worn), came in walk_all(paths, entry, lambda edge, at: self._after(paths, edge, at, role)):
            node = paths.nodes[index]
            if index == paths.end:
                ends.add(worn)
            elif node.kind in (NodeKind.STEP, NodeKind.PERFORM) and (worn[0] or node.step):
                path = unwound(came, (index, worn))
                self._look(paths, procedure, node, role, worn, way, path)
        self._left[key] = frozenset(ends)
        return self._left[key]

    def _after(self, paths: Paths, edge: PathEdge, worn: Worn, role: str) -> Iterable[Worn]:
        node = paths.nodes[edge.source]
        if node.kind is NodeKind.PERFORM:
            return self._performed((node.performs,), worn, role)
        if node.kind is not NodeKind.STEP or node.step is None or not does(node.step, role):
            return (worn,)
        return self._done(node.step, worn, role)

    def _done(self, step: Step, worn: Worn, role: str) -> Iterable[Worn]:
        if step.performs:
            return self._performed(tuple(each.procedure for each in step.performs), worn, role)
        return (self._now(step),) if step.says_wearing else (worn,)

    def _performed(self, names: tuple[str, ...], worn: Worn, role: str) -> Iterable[Worn]:
        states = {worn}
        for name in names:
            inner = self.office.procedures.get(name)
            if inner is not None and role in roles_of(inner):
                entries = [self._entering(inner, state) for state in states]
                states = {end for entry in entries for end in self.leaves(inner, role, entry, ())} or {NOT_KNOWN}
        return sorted(states, key=lambda each: (sorted(each[0]), each[1]))

    def _now(self, step: Step) -> Worn:
        marked = frozenset(name for name in step.wearing if self.office.ppe[name].once_off)
        return marked, step.name if marked else ""

    # ── At one node ─────────────────────────────────────────────────────────────────────────────

    def _look(
        self,
        paths: Paths,
        procedure: Procedure,
        node: PathNode,
        role: str,
        worn: Worn,
        way: tuple[WalkStep, ...],
        path: list[PathEdge],
    ) -> None:
        step = node.step
        if node.kind is NodeKind.PERFORM:
            names: tuple[str, ...] = (node.performs,)
        elif step is None or not does(step, role):
            return
        else:
            names = tuple(each.procedure for each in step.performs)
        told = (*way, *walk_told(paths, path, [""] * len(path)))
        if names:
            self._enter(names, worn, role, told)
        elif step is not None and step.says_wearing:
            off = worn[0] - set(step.wearing)
            if off and not self._cleans(step, off) and (procedure.name, step.name) not in self.found:
                self.found[procedure.name, step.name] = self._told(step, off, told)

    def _enter(self, names: tuple[str, ...], worn: Worn, role: str, way: tuple[WalkStep, ...]) -> None:
        states = {worn}
        for name in names:
            inner = self.office.procedures.get(name)
            if inner is None or role not in roles_of(inner):
                continue
            after: set[Worn] = set()
            for state in states:
                after |= self.leaves(inner, role, self._entering(inner, state), way)
            states = after or {NOT_KNOWN}

    def _entering(self, inner: Procedure, worn: Worn) -> Worn:
        """What is carried into a performed procedure: nothing that its own first act settles."""
        return NOT_KNOWN if worn[0] and self._begins_so(inner, worn[0]) else worn

    def _cleans(self, step: Step, off: frozenset[str]) -> bool:
        """Whether a step does what is to be done once these pieces are off."""
        done = {doing.action for doing in step.does}
        return all(done & set(self.office.ppe[name].once_off) for name in off)

    def _begins_so(self, procedure: Procedure, off: frozenset[str]) -> bool:
        """Whether on all ways through a procedure the first act is to be done once these pieces are off."""
        paths = paths_of(procedure)

        def pass_on(edge: PathEdge, done: bool) -> tuple[bool, ...]:
            node = paths.nodes[edge.source]
            here = node.kind is NodeKind.STEP and node.step is not None and self._cleans(node.step, off)
            return (done or here,)

        for (index, done), _ in walk_all(paths, False, pass_on):
            node = paths.nodes[index]
            if done:
                continue
            if index == paths.end or node.kind in (NodeKind.PERFORM, NodeKind.STOP):
                return False
            if node.kind is NodeKind.STEP and node.step is not None and self._acts(node.step, off):
                return False
        return True

    def _acts(self, step: Step, off: frozenset[str]) -> bool:
        others = bool(step.does or step.runs or step.performs or step.records or off & set(step.wearing))
        return others and not self._cleans(step, off)

    def _told(self, step: Step, off: frozenset[str], way: tuple[WalkStep, ...]) -> Finding:
        office = self.office
        pieces = [office.ppe[name] for name in sorted(off)]
        asked = [title(office.actions, name).lower() for name in pieces[0].once_off]
        names = listed([piece.title.lower() for piece in pieces])
        return finding(
            "P17",
            step.span,
            f"When “{step.title}” begins, {names} came off, and it does not {listed(asked, 'or')} first.",
            floor="Gloves have holes that nobody sees, and soil the hands that take them off: all that is touched next "
            "is soiled too.",
            walk=way,
            fix=f"Put a step before it that `does {pieces[0].once_off[-1]}`, wearing none of them, or performs the "
            "procedure for it.",
            notes=[Note(f"“{piece.title}” asks for it", piece.span) for piece in pieces],
            asked_by=asked_by(office, *pieces),
        )
