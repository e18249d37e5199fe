"""Follows a person of one role through a procedure and all that it performs, with what they carry along."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from sopc.checks.along import unwound, walk_all
from sopc.checks.paths import NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.checks.walk import walk_told
from sopc.findings import WalkStep
from sopc.model.nouns import Office, Procedure, Step

Carried = TypeVar("Carried", bound=Hashable)
Way = Callable[[], tuple[WalkStep, ...]]  # put into words where a finding asks for it


def roles_of(procedure: Procedure) -> list[str]:
    """The roles that work by a procedure, in the order of its steps."""
    named = [role for step in procedure.steps() if step.by for _, role in step.by.roles]
    return list(dict.fromkeys(named))


def does(step: Step, role: str) -> bool:
    """Whether somebody of this role may do the step."""
    return step.by is not None and any(name == role for _, name in step.by.roles)


@dataclass(slots=True)
class Follower(Generic[Carried]):
    """Every path of every procedure, for each role, from where nothing is known (`start`) and as it is performed.

    `after`: what a step makes of what is carried; `at`: told of each step come to, with the way that led there;
    `entering`: what is carried into a performed procedure. There must be finitely many things to carry.
    """

    office: Office
    start: Carried
    after: Callable[[Step, Carried], Carried]
    at: Callable[[Procedure, Step, Carried, Way], None]
    entering: Callable[[Procedure, Carried], Carried]
    _left: dict[tuple[str, str, Carried], tuple[Carried, ...]] = field(default_factory=dict)

    def follow_all(self) -> None:
        """Go through all procedures."""
        for procedure in self.office.procedures.values():
            for role in roles_of(procedure):
                self._leaves(procedure, role, self.start, tuple)

    def _leaves(self, procedure: Procedure, role: str, entry: Carried, way: Way) -> tuple[Carried, ...]:
        """What may be carried out of a procedure that is begun so, `way` having led there."""
        key = (procedure.name, role, entry)
        if key in self._left:
            return self._left[key]
        self._left[key] = (self.start,)  # a circle of procedures ends here; it is reported as such
        paths, ends = paths_of(procedure), dict[Carried, None]()
        for (index, carried), came in walk_all(paths, entry, lambda edge, at: self._after(paths, edge, at, role)):
            node = paths.nodes[index]
            if index == paths.end:
                ends[carried] = None
            elif node.kind in (NodeKind.STEP, NodeKind.PERFORM):
                self._look(procedure, paths, node, role, carried, way, unwound(came, (index, carried)))
        self._left[key] = tuple(ends)
        return self._left[key]

    def _after(self, paths: Paths, edge: PathEdge, carried: Carried, role: str) -> Iterable[Carried]:
        node = paths.nodes[edge.source]
        names = _performed(node, role)
        if names:
            return self._through(names, carried, role, tuple)
        if node.kind is not NodeKind.STEP or node.step is None or not does(node.step, role):
            return (carried,)
        return (self.after(node.step, carried),)

    def _through(self, names: tuple[str, ...], carried: Carried, role: str, way: Way) -> tuple[Carried, ...]:
        states: tuple[Carried, ...] = (carried,)
        for name in names:
            inner = self.office.procedures.get(name)
            if inner is None or role not in roles_of(inner):
                continue
            entries = [self.entering(inner, state) for state in states]
            ends = dict.fromkeys(end for entry in entries for end in self._leaves(inner, role, entry, way))
            states = tuple(ends) or (self.start,)
        return states

    def _look(
        self,
        procedure: Procedure,
        paths: Paths,
        node: PathNode,
        role: str,
        carried: Carried,
        way: Way,
        path: list[PathEdge],
    ) -> None:
        names = _performed(node, role)
        mine = node.kind is NodeKind.STEP and node.step is not None and does(node.step, role)
        if not names and not mine:
            return

        def told() -> tuple[WalkStep, ...]:
            return (*way(), *walk_told(paths, path, [""] * len(path)))

        if names:
            self._through(names, carried, role, told)
        elif node.step is not None:
            self.at(procedure, node.step, carried, told)


def _performed(node: PathNode, role: str) -> tuple[str, ...]:
    """The procedures carried out at a node, as far as the role does the step that they are part of."""
    if node.kind is NodeKind.PERFORM:
        return (node.performs,)
    if node.kind is not NodeKind.STEP or node.step is None or not does(node.step, role):
        return ()
    return tuple(each.procedure for each in node.step.performs)
