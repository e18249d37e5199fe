"""Is what a program is run with packed as the program asks, wrapped or not, on every path and in what is performed?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sopc.checks.along import unwound, walk_all
from sopc.checks.figures.minimums import PACKAGING, TESTS
from sopc.checks.figures.runs import done_with
from sopc.checks.items.effects import ItemEffects, Vocabulary, acts_of
from sopc.checks.items.flow import Flow
from sopc.checks.paths import NodeKind, PathEdge, PathNode
from sopc.checks.report import asked_by, finding, listed, title
from sopc.checks.walk import walk_told
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Doing, Office, Performing, Procedure, Program, Run, Step


def check(office: Office) -> Iterator[Finding]:
    """Hold what a program says of the packaging of its loads.

    1. A program that suits wrapped loads only, or unwrapped ones only, is run with no others: on every path, be the
       item packed in this procedure, before it is performed, or by another that it performs (L31).
    2. Where no condition says that it means packed, that is undecided (L32).

    A procedure is looked at with items as it says it takes them, and once more as they are handed over.
    """
    bound = {
        id(program): word
        for device in office.devices.values()
        for program in device.programs.values()
        if (word := _one_packaging(program))
    }
    if not bound:
        return
    if not any(condition.wrapped for condition in office.conditions.values()):
        yield from _undecided(office, bound)
        return
    looker = _Looker(office, bound)
    for procedure in office.procedures.values():
        for item in looker.flow(procedure).items.items:
            looker.leaves(procedure, item, looker.stated(procedure), ())
    yield from looker.found.values()


def _one_packaging(program: Program) -> str:
    """The only packaging that a program is for; empty when it is for both, or for tests alone, or does not say."""
    words = [word for word in program.suits if word in PACKAGING]
    return words[0] if len(words) == 1 and TESTS not in program.suits else ""


@dataclass(slots=True)
class _Looker:
    """Goes through procedures with one item, of which it knows which conditions it has that mean wrapped."""

    office: Office
    bound: dict[int, str]  # the packaging that a program (by its identity) is for
    found: dict[tuple[str, str, str, str], Finding] = field(default_factory=dict)
    words: Vocabulary = field(init=False)
    wrapped: int = field(init=False)
    _flows: dict[str, Flow] = field(default_factory=dict)
    _left: dict[tuple[str, str, int], frozenset[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.words = Vocabulary(self.office)
        self.wrapped = self.words.mask(each.name for each in self.office.conditions.values() if each.wrapped)

    def flow(self, procedure: Procedure) -> Flow:
        """The flow of conditions through a procedure, worked out once."""
        if procedure.name not in self._flows:
            self._flows[procedure.name] = Flow(self.office, procedure, ItemEffects(self.words, procedure))
        return self._flows[procedure.name]

    def stated(self, procedure: Procedure) -> int:
        """What a procedure says of an item it takes."""
        return self.words.mask(procedure.from_conditions) & self.wrapped

    def leaves(self, procedure: Procedure, item: str, entry: int, way: tuple[WalkStep, ...]) -> frozenset[int]:
        """In what states the item may leave a procedure that it enters so, `way` having led there."""
        key = (procedure.name, item, entry)
        if key in self._left:
            return self._left[key]
        self._left[key] = frozenset((entry,))  # a circle of procedures ends here; it is reported as such
        flow, ends = self.flow(procedure), set[int]()
        for (index, state), came in walk_all(flow.paths, entry, lambda edge, at: self._after(flow, item, edge, at)):
            node = flow.paths.nodes[index]
            if index == flow.paths.end:
                ends.add(state)
            elif node.kind in (NodeKind.STEP, NodeKind.PERFORM):
                path = unwound(came, (index, state))
                told = (*way, *walk_told(flow.paths, path, [""] * len(path)))
                self._look(procedure, node, item, state, told)
        self._left[key] = frozenset(ends)
        return self._left[key]

    def _after(self, flow: Flow, item: str, edge: PathEdge, state: int) -> Iterable[int]:
        source = flow.paths.nodes[edge.source]
        if source.kind is NodeKind.PERFORM:
            return self._performed(flow, source.performs, (), item, state)
        if edge.completes is not None:
            states = {state}
            for act in acts_of(edge.completes):
                states = {after for before in states for after in self._done(flow, act, item, before)}
            return sorted(states)
        change, shift = flow.changes[edge], flow.items.items.index(item) * self.words.width
        return (((state & ~(change.takes >> shift)) | (change.brings >> shift)) & self.wrapped,)

    def _done(self, flow: Flow, act: Doing | Performing, item: str, state: int) -> Iterable[int]:
        """What one act of a step makes of the state."""
        if isinstance(act, Performing):
            return self._performed(flow, act.procedure, act.items, item, state)
        action = self.office.actions.get(act.action)
        if action is None or item not in flow.items.items_of(act):
            return (state,)
        _, takes, brings = self.words.action(action)
        return (((state & ~takes) | brings) & self.wrapped,)

    def _performed(self, flow: Flow, name: str, named: tuple[str, ...], item: str, state: int) -> Iterable[int]:
        inner = self.office.procedures.get(name)
        if inner is None or item not in flow.items.items_for(inner, named) or not self.flow(inner).items.items:
            return (state,)
        return sorted(self.leaves(inner, self._inside(inner, item), self.stated(inner) | state, ())) or (state,)

    def _inside(self, inner: Procedure, item: str) -> str:
        """The item of a performed procedure that stands for this one."""
        known = self.flow(inner).items.items
        return item if item in known else known[0]

    # ── At one node ─────────────────────────────────────────────────────────────────────────────

    def _look(self, procedure: Procedure, node: PathNode, item: str, state: int, way: tuple[WalkStep, ...]) -> None:
        flow, step = self.flow(procedure), node.step
        if node.kind is NodeKind.PERFORM:
            self._enter(flow, node.performs, (), item, state, way)
            return
        states = {state}
        for act in acts_of(step) if step is not None else ():
            for before in sorted(states):
                if isinstance(act, Performing):
                    self._enter(flow, act.procedure, act.items, item, before, way)
                elif step is not None:
                    self._loaded(flow, step, act, item, before, way)
            states = {after for before in states for after in self._done(flow, act, item, before)}

    def _enter(
        self, flow: Flow, name: str, named: tuple[str, ...], item: str, state: int, way: tuple[WalkStep, ...]
    ) -> None:
        """Look into what is performed, with the item as it comes there."""
        inner = self.office.procedures.get(name)
        if inner is None or item not in flow.items.items_for(inner, named) or not self.flow(inner).items.items:
            return
        # As it says itself, and as it is handed over beyond that.
        self.leaves(inner, self._inside(inner, item), self.stated(inner) | state, way)

    def _loaded(self, flow: Flow, step: Step, act: Doing, item: str, state: int, way: tuple[WalkStep, ...]) -> None:
        action = self.office.actions.get(act.action)
        if action is None or not action.brings or item not in flow.items.items_of(act):
            return
        for run in step.runs:
            device = self.office.devices[run.device]
            program = device.programs[run.program]
            asked = self.bound.get(id(program))
            if asked is None or not done_with(action, device) or (asked == "wrapped") == bool(state):
                continue
            if not state and self.words.mask(action.needs) & self.wrapped:
                continue  # the action asks for it itself, and what it misses is told so (O01)
            key = (flow.procedure.name, step.name, run.program, item)
            if key not in self.found:
                self.found[key] = self._told(program, run, act, item, state, way)

    def _told(
        self, program: Program, run: Run, act: Doing, item: str, state: int, way: tuple[WalkStep, ...]
    ) -> Finding:
        office = self.office
        means = [each for each in office.conditions.values() if each.wrapped]
        held = [each for each in means if self.words.bit[each.name] & state]
        packed = listed([each.title.lower() for each in held or means], "or")
        asks = "wrapped" if not state else "unwrapped"
        has = f"is {packed}" if state else f"is not {packed}"
        floor = (
            "What keeps germs out afterwards is missing: the item is sterile only until it is touched."
            if not state
            else "Steam must get through the pack, and the pack must dry; this program does not give it the time."
        )
        return finding(
            "L31",
            run.span,
            f"“{title(office.actions, act.action)}” is done on {title(office.items, item)} by “{program.title}”, which "
            f"suits {asks} loads only, and here it {has} on some path.",
            floor=floor,
            walk=way,
            fix=f"Run a program that suits {'unwrapped' if not state else 'wrapped'} loads, or "
            f"{'pack it before' if not state else 'leave it unpacked'}; if its instructions say so, let it suit both.",
            notes=[Note("the program stands here", program.span)]
            + [Note(f"“{each.title}” means wrapped", each.span) for each in held or means],
            asked_by=asked_by(office, program),
            cause=f"packed otherwise {run.span}",
        )


def _undecided(office: Office, bound: dict[int, str]) -> Iterator[Finding]:
    told = set[int]()
    for procedure in office.procedures.values():
        for step in procedure.steps():
            for run in step.runs:
                device = office.devices[run.device]
                program = device.programs[run.program]
                actions = [office.actions[each.action] for each in step.does if each.action in office.actions]
                loaded = any(action.brings and done_with(action, device) for action in actions)
                if id(program) not in bound or id(program) in told or not loaded:
                    continue
                told.add(id(program))
                yield finding(
                    "L32",
                    program.span,
                    f"“{program.title}” suits {bound[id(program)]} loads only, and no condition says which items are "
                    "wrapped: whether it is run with the right ones is undecided.",
                    floor="A pack in a program for open trays, or the other way round, would pass unseen.",
                    fix="Say it at the condition that means packed: `is wrapped`.",
                    notes=[Note("it is run here", run.span)],
                )
