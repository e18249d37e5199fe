"""What has surely been done when a step is reached, and what surely follows it, on every path of a procedure.

Must-analysis on the control-flow graph: where ways meet, only what was done on all of them counts; where branches
done side by side meet, what any of them did. An action counts as done once its step was carried out, whatever the
answer to a question after it was. A procedure that is performed counts as doing what it does on all its ways to its
normal end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence, Set
from functools import partial
from itertools import pairwise

from sopc.checks.paths import JUMPS, NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.model.nouns import Office, Procedure, Step

Acts = tuple[str, ...]
Joined = Callable[[Iterable[bool]], bool]


class Passing:
    """Answers for one office; what was worked out is kept."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self._surely: dict[tuple[str, Acts], bool] = {}
        self._states: dict[tuple[str, Acts, bool], list[bool]] = {}

    # ── Before ──────────────────────────────────────────────────────────────────────────────────

    def surely(self, name: str, acts: Acts) -> bool:
        """Whether a procedure does one of these actions on every path to its normal end."""
        key = (name, acts)
        if key not in self._surely:
            self._surely[key] = False  # a circle of procedures does nothing for sure
            procedure = self.office.procedures.get(name)
            if procedure is not None:
                paths = paths_of(procedure)
                reached = paths.end in paths.reachable()
                self._surely[key] = reached and self._passed(procedure, acts, False)[paths.end]
        return self._surely[key]

    def before(self, procedure: Procedure, step: Step, acts: Acts, directly: bool = False) -> bool:
        """Whether on every path to this step one of these actions was done; `directly`: in the step just before.

        Where the procedure itself does not say so, it is enough that it is only ever performed by others, each time
        after one of these actions.
        """
        paths = paths_of(procedure)
        reachable = paths.reachable()
        passed = self._passed(procedure, acts, directly)
        nodes = [node.index for node in paths.nodes if node.kind is NodeKind.STEP and node.step is step]
        if not nodes or not all(index in reachable for index in nodes):
            return False
        if all(passed[index] for index in nodes) or (not directly and _within(step, acts)):
            return True
        return not directly and self._before_all_of_it(procedure, acts, frozenset())

    def _before_all_of_it(self, procedure: Procedure, acts: Acts, seen: frozenset[str]) -> bool:
        """Whether the procedure is never begun but as a part of others, and there always after these actions."""
        if procedure.name in seen or self._begun_alone(procedure.name):
            return False
        places = [
            (other, node)
            for other in self.office.procedures.values()
            for node in paths_of(other).nodes
            if procedure.name in _performs(node)
        ]
        if not places:
            return False
        seen = seen | {procedure.name}
        return all(
            self._passed(other, acts, False)[node.index] or self._before_all_of_it(other, acts, seen)
            for other, node in places
        )

    def _begun_alone(self, name: str) -> bool:
        afterwards = {done for visit in self.office.visits.values() for done in visit.afterwards}
        staged = {stage.procedure for circuit in self.office.circuits.values() for stage in circuit.stages}
        tasks = {work.procedure for task in self.office.tasks.values() for work in task.performs}
        return name in afterwards | staged | tasks

    def _passed(self, procedure: Procedure, acts: Acts, directly: bool) -> list[bool]:
        """For each node whether it was passed on every path that comes there."""
        key = (procedure.name, acts, directly)
        if key not in self._states:
            paths = paths_of(procedure)
            self._states[key] = _settle(
                paths, lambda node: self._effect(node, acts, directly), all if directly else any
            )
        return self._states[key]

    def _effect(self, node: PathNode, acts: Acts, directly: bool) -> bool | None:
        """What passing a node makes of it: done, (directly) no longer the last thing done, or as it was."""
        if node.kind is NodeKind.STEP and node.step is not None:
            if {doing.action for doing in node.step.does}.intersection(acts):
                return True
            if any(self.surely(work.procedure, acts) for work in node.step.performs):
                return True
            return False if directly else None
        if node.kind is NodeKind.PERFORM:
            return True if self.surely(node.performs, acts) else (False if directly else None)
        return None

    # ── After ───────────────────────────────────────────────────────────────────────────────────

    def after(self, procedure: Procedure, step: Step, acts: Acts) -> bool:
        """Whether on every path from this step to the normal end one of these actions follows; a stop is exempt."""
        paths = paths_of(procedure)
        follows = _follows(paths, lambda node: self._effect(node, acts, False))
        nodes = [node.index for node in paths.nodes if node.kind is NodeKind.STEP and node.step is step]
        reachable = paths.reachable()
        return bool(nodes) and all(index in reachable and follows[index] for index in nodes)


def steps_in_order(procedure: Procedure, order: Sequence[Acts]) -> tuple[Acts, Acts] | None:
    """The first two groups of steps that do not keep their order; None when all do.

    On every path a step of the later group is come to only after one of the earlier, and after one of the earlier a
    step of the later group follows before the normal end; a stop is exempt.
    """
    paths = paths_of(procedure)
    reachable = paths.reachable()
    for earlier, later in pairwise(order):
        before = _settle(paths, partial(_is_step, earlier), any)
        after = _follows(paths, partial(_is_step, later))
        ends = [(node.index, names) for node in paths.nodes for names in (earlier, later) if _is_step(names, node)]
        kept = all(before[index] if names is later else after[index] for index, names in ends)
        if not kept or not all(index in reachable for index, _ in ends):
            return earlier, later
    return None


def _is_step(names: Acts, node: PathNode) -> bool | None:
    return True if node.kind is NodeKind.STEP and node.step is not None and node.step.name in names else None


def _follows(paths: Paths, effect: Callable[[PathNode], bool | None]) -> list[bool]:
    """For each node whether on every path from it to the normal end something of that effect follows."""
    made = [bool(effect(node)) for node in paths.nodes]
    follows = [True] * len(paths.nodes)
    follows[paths.end] = False
    changed = True
    while changed:
        changed = False
        for node in reversed(paths.nodes[:-1]):
            new = _onward(paths, node, made, follows)
            if new != follows[node.index]:
                follows[node.index], changed = new, True
    return follows


def _onward(paths: Paths, node: PathNode, made: list[bool], follows: list[bool]) -> bool:
    """Whether it follows once this node is left."""
    if node.kind is NodeKind.STOP:
        return True
    ways = [made[edge.target] or follows[edge.target] for edge in paths.after[node.index]]
    # All branches of a fork are gone through, so one of them is enough.
    return any(ways) if node.kind is NodeKind.FORK else all(ways)


def _within(step: Step, acts: Acts) -> bool:
    """Whether a step of several actions begins with one of these."""
    return len(step.does) > 1 and step.does[0].action in acts


def _performs(node: PathNode) -> set[str]:
    if node.kind is NodeKind.PERFORM:
        return {node.performs}
    if node.kind is NodeKind.STEP and node.step is not None:
        return {work.procedure for work in node.step.performs}
    return set()


def _settle(paths: Paths, effect: Callable[[PathNode], bool | None], joined: Joined) -> list[bool]:
    """The greatest fixpoint: whether it holds on entering each node, on every path.

    `joined` says whether it takes one branch or all of them where branches meet.
    """
    reachable = paths.reachable()
    state = [True] * len(paths.nodes)
    state[0] = False
    made = [effect(node) for node in paths.nodes]
    if True not in made:
        return [index not in reachable for index in range(len(state))]

    def leaving(edge: PathEdge) -> bool:
        done = made[edge.source]
        return state[edge.source] if done is None else done

    changed = True
    while changed:
        changed = False
        for index in range(1, len(state)):
            if index not in reachable:
                continue
            new = _into(paths, index, reachable, leaving, joined)
            if new != state[index]:
                state[index], changed = new, True
    return state


def _into(paths: Paths, index: int, reachable: Set[int], leaving: Callable[[PathEdge], bool], joined: Joined) -> bool:
    edges = [edge for edge in paths.before[index] if edge.source in reachable]
    fork = paths.forks.get(index)
    if fork is None:
        return all(leaving(edge) for edge in edges)
    jumped = all(leaving(edge) for edge in edges if edge.kind in JUMPS)
    branches: dict[int, bool] = {}
    for edge in edges:
        if edge.kind not in JUMPS:
            branch = paths.branch_of(edge, fork)
            branches[branch] = branches.get(branch, True) and leaving(edge)
    return jumped and joined(branches.values())
