"""Which conditions surely hold at each point of a procedure, and a path on which one does not.

What an edge does to one condition is to bring it, to take it, or to leave it. Such changes go through the
meeting of paths unchanged, so the greatest fixpoint over the graph says exactly what holds on every path
(Kildall, "A unified approach to global program optimization", POPL 1973). A limit on repeats excludes no
case: to go round a loop once more changes a condition no further.
"""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from heapq import heappop, heappush

from sopc.checks.along import departs, onward, unwound
from sopc.checks.items.effects import UNCHANGED, Change, Effect, ItemEffects
from sopc.checks.paths import NodeKind, PathEdge, Paths, paths_of
from sopc.model.nouns import Office, Procedure

_State = tuple[int, bool]  # a node, and whether the condition holds there


@dataclass(frozen=True, slots=True)
class Clash:
    """Two branches side by side: `one` needs or brings `mask`, `other` may take it."""

    fork: int
    one: int
    other: int
    mask: int


class Flow:
    """The conditions that hold on every path to each node of one procedure."""

    def __init__(self, office: Office, procedure: Procedure, items: ItemEffects) -> None:
        self.office = office
        self.procedure = procedure
        self.items = items
        self.paths: Paths = paths_of(procedure)
        self.effects: dict[int, list[Effect]] = {}
        self.changes: dict[PathEdge, Change] = {}
        self.all = items.everywhere((1 << items.words.width) - 1)
        self.start = items.everywhere(items.words.mask(procedure.from_conditions))
        self.promised = items.everywhere(items.words.mask(procedure.to_conditions))
        self._read_effects()
        self.harm: dict[int, list[int]] = {}
        self.help: dict[int, list[int]] = {}
        self.clashes = self._find_clashes()
        self.holds = self._settle()

    def _read_effects(self) -> None:
        by_step: dict[str, list[Effect]] = {}
        for node in self.paths.nodes:
            if node.kind is NodeKind.STEP and node.step is not None:
                effects = self.items.of_step(node.step)
                self.effects[node.index] = by_step[node.step.name] = effects
            elif node.kind is NodeKind.PERFORM:
                effect = self.items.performing(node.performs, (), node.span)
                self.effects[node.index] = [effect] if effect else []
        for edge in self.paths.edges:
            self.changes[edge] = self._change(edge, by_step)

    def _change(self, edge: PathEdge, by_step: dict[str, list[Effect]]) -> Change:
        source = self.paths.nodes[edge.source]
        if edge.fails is not None and source.step is not None:
            return self.items.failed(source.step, edge.fails, by_step.get(source.step.name, []))
        change = UNCHANGED
        if edge.completes is not None:
            change = self.items.completed(by_step.get(edge.completes.name, []))
        if source.kind is NodeKind.PERFORM:
            done = self.items.completed(self.effects[source.index])
            change = change.then(done.takes, done.brings)
        return change

    def _find_clashes(self) -> list[Clash]:
        found: list[Clash] = []
        for fork in self.paths.joins:
            count = len(self.paths.after[fork])
            takes, uses, brings = [0] * count, [0] * count, [0] * count
            for node, branch in self.paths.inside(fork):
                for effect in self.effects.get(node.index, ()):
                    uses[branch] |= effect.needs | effect.brings
                    brings[branch] |= effect.brings
                for edge in self.paths.after[node.index]:
                    takes[branch] |= self.changes[edge].takes
            self.harm[fork], self.help[fork] = takes, brings
            found += (
                Clash(fork, one, other, uses[one] & takes[other])
                for one in range(count)
                for other in range(count)
                if one != other and uses[one] & takes[other]
            )
        return found

    def clashing(self, fork: int) -> int:
        """The conditions two branches of this fork are at odds about."""
        mask = 0
        for clash in self.clashes:
            if clash.fork == fork:
                mask |= clash.mask
        return mask

    def _settle(self) -> list[int]:
        reachable = self.paths.reachable()
        state = [self.all] * len(self.paths.nodes)
        state[0] = self.start
        changed = True
        while changed:
            changed = False
            for index in range(1, len(state)):
                if index not in reachable:
                    continue
                new = self._into(index, state, reachable)
                if new != state[index]:
                    state[index] = new
                    changed = True
        return state

    def _into(self, index: int, state: list[int], reachable: Set[int]) -> int:
        fork = self.paths.forks.get(index)
        meeting = self.all
        branches: dict[int, int] = {}
        for edge in self.paths.before[index]:
            if edge.source not in reachable or self.paths.crosses(edge):
                continue
            held = self.changes[edge].after(state[edge.source])
            if fork is None:
                meeting &= held
            else:
                branch = self.paths.branch_of(edge, fork)
                branches[branch] = branches.get(branch, self.all) & held
        return meeting if fork is None else self._joined(fork, branches)

    def _joined(self, fork: int, branches: dict[int, int]) -> int:
        """What holds once all branches are done: what one of them leaves and no other may take."""
        joined = self.clashing(fork)
        for branch, held in branches.items():
            others = 0
            for number, takes in enumerate(self.harm[fork]):
                others |= takes if number != branch else 0
            joined |= held & ~others
        return joined

    def missing(self, index: int) -> list[tuple[Effect, int]]:
        """What acts at a node need that some path does not give, act by act; clashes are told elsewhere."""
        state = self.holds[index]
        for place in self.paths.nodes[index].places:
            state |= self.clashing(place.fork)
        found: list[tuple[Effect, int]] = []
        for effect in self.effects.get(index, ()):
            lacking = effect.needs & ~state
            if lacking:
                found.append((effect, lacking))
            state = effect.after(state)
        return found

    def path_without(self, index: int, bit: int) -> list[PathEdge]:
        """A path to a node on which this one condition does not hold there; empty at the start.

        The one with the fewest departures (a “no”, a skipped step, a repeat), then the shortest. Branches
        side by side are walked one after the other, or only the one that leads to the node.
        """
        first = (0, bool(self.start & bit))
        came: dict[_State, tuple[_State, PathEdge] | None] = {}
        queue: list[tuple[int, int, _State, tuple[_State, PathEdge] | None]] = [(0, 0, first, None)]
        count = 0
        while queue:
            departures, _, at, how = heappop(queue)
            if at in came:
                continue
            came[at] = how
            if at == (index, False):
                return unwound(came, at)
            for edge, target in onward(self.paths, at[0], index):
                change = self.changes[edge]
                held = bool(change.brings & bit) or (at[1] and not change.takes & bit)
                joining = self.paths.forks.get(target)
                if joining is not None and self.clashing(joining) & bit:
                    held = True
                count += 1
                cost = departures + departs(edge)
                heappush(queue, (cost, count, (target, held), (at, edge)))
        return []
