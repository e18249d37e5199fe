"""Are hands cleaned as soon as gloves come off: what is done once a piece is off, by the same person, on every path?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from sopc.checks.along import walk_all
from sopc.checks.paths import NodeKind, PathEdge, paths_of
from sopc.checks.people.following import Follower, Way
from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Procedure, Step

Worn = frozenset[str]
"""The pieces worn that ask for something once they are off; none when that is not known."""


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what is to be done once a piece of protective equipment is off.

    On every path, the next step of the role that wore it does one of the actions that the piece names (P17), also
    within a procedure that is performed, or is that procedure, if its first act is such an action on all its ways.
    What is worn when a procedure begins by itself is not known.
    """
    if not any(piece.once_off for piece in office.ppe.values()):
        return
    watcher = _Watcher(office)
    Follower(office, Worn(), watcher.after, watcher.at, watcher.entering).follow_all()
    yield from watcher.found.values()


@dataclass(slots=True)
class _Watcher:
    """Looks at what comes off, from one step of a person to the next."""

    office: Office
    found: dict[tuple[str, str], Finding] = field(default_factory=dict)

    def after(self, step: Step, worn: Worn) -> Worn:
        """The pieces worn once a step was done; one that does not say leaves what was."""
        marked = Worn(name for name in step.wearing if self.office.ppe[name].once_off)
        return marked if step.says_wearing else worn

    def at(self, procedure: Procedure, step: Step, worn: Worn, way: Way) -> None:
        """Tell of a step that is come to with soiled hands, once."""
        off = worn - set(step.wearing) if step.says_wearing else Worn()
        if off and not self._cleans(step, off) and (procedure.name, step.name) not in self.found:
            self.found[procedure.name, step.name] = self._told(step, off, way)

    def entering(self, inner: Procedure, worn: Worn) -> Worn:
        """What is carried into a performed procedure: nothing that its own first act settles."""
        return Worn() if worn and self._begins_so(inner, worn) else worn

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

    def _told(self, step: Step, off: frozenset[str], way: Way) -> Finding:
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
            walk=way(),
            fix=f"Put a step before it that `does {pieces[0].once_off[-1]}`, wearing none of them, or performs the "
            "procedure for it.",
            notes=[Note(f"“{piece.title}” asks for it", piece.span) for piece in pieces],
            asked_by=asked_by(office, *pieces),
        )
