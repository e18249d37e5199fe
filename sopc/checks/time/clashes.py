"""Puts a conflict of time limits into words: each line with its time, the sum, and the smallest change that mends."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sopc.checks.paths import EdgeKind, NodeKind
from sopc.checks.report import as_written, finding, line, listed, title
from sopc.checks.time.scenarios import ClauseKind, Scenario, Simulator, TimeClause
from sopc.findings import Finding, WalkStep
from sopc.model.nouns import Decider, Point, Procedure
from sopc.source import Span
from sopc.trade.controllability import Kind, NotControllable, Use, controllable
from sopc.trade.controllability_repairs import DynamicRepair, dynamic_repairs
from sopc.trade.network import Bound, Conflict, Link, Network, consistency, repairs
from sopc.trade.quantities import show_duration
from sopc.trade.semireducible import Role

MOST_MENDS = 3  # ways to mend that are offered


@dataclass(frozen=True, slots=True)
class Part:
    """One line's part in a sum: `seconds` below zero must pass, above zero are allowed."""

    clause: TimeClause
    seconds: int
    role: Role
    times: int = 1


@dataclass(frozen=True, slots=True)
class Mend:
    """One line changed from `before` to `after` seconds repairs everything."""

    clause: TimeClause
    role: Role
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Clash:
    """Lines that cannot all be kept, short by so many seconds (None: without end), and what would mend it.

    `fatal` are times of machines that leave no timing at all, when `kind` says that there are some.
    """

    parts: tuple[Part, ...]
    shortfall: int | None
    kind: Kind
    mends: tuple[Mend, ...]
    fatal: tuple[tuple[TimeClause, int], ...] = ()

    @property
    def blamed(self) -> TimeClause:
        """The line the finding is shown at: the limit that allows too little."""
        allowing = [part for part in self.parts if part.seconds > 0]
        limits = [part for part in (*allowing, *self.parts) if part.clause.kind is ClauseKind.LIMIT]
        return (limits or allowing or list(self.parts))[0].clause


def clash_of(network: Network) -> Clash | None:
    """What cannot be kept whatever the machines take, or None when all can."""
    verdict = consistency(network)
    if isinstance(verdict, Conflict):
        return of_conflict(network, verdict)
    if not network.links:
        return None
    answer = controllable(network)
    return of_uncontrollable(network, answer) if isinstance(answer, NotControllable) else None


def of_conflict(network: Network, conflict: Conflict) -> Clash:
    """The clash of limits that no timing keeps."""
    parts = _parts((bound.clause, bound.weight, Role.BOUND, 1) for bound in conflict.bounds)
    mends = _against_machines(network, conflict) if network.links else []
    if not mends:
        # Where other limits are broken as well, no one change mends all: then the one that mends this.
        found = repairs(network, conflict) or repairs(only(network, conflict.clauses), conflict)
        mends = [
            Mend(repair.clause, Role.BOUND, repair.bounds[0].weight, repair.bounds[0].weight + repair.delta)
            for repair in found
            if isinstance(repair.clause, TimeClause) and not repair.clause.fixed
        ]
    return Clash(parts, conflict.shortfall, Kind.INCONSISTENT, tuple(mends))


def _against_machines(network: Network, conflict: Conflict) -> list[Mend]:
    """Changes after which the limits can be kept whatever the machines take, not only on a good day."""
    uses = tuple(Use(Role.BOUND, bound, bound.weight, 1) for bound in conflict.bounds)
    return _mends(dynamic_repairs(network, NotControllable(Kind.INCONSISTENT, uses, conflict.shortfall)))


def _mends(found: Iterable[DynamicRepair]) -> list[Mend]:
    return [
        Mend(change.clause, change.role, _before(change.of, change.role), _after(change.of, change.role, change.delta))
        for change in found
        if isinstance(change.clause, TimeClause) and not change.clause.fixed
    ]


def of_uncontrollable(network: Network, answer: NotControllable) -> Clash:
    """The clash of limits that can be kept only with luck about the machine's time."""
    parts = _parts((use.clause, use.seconds or 0, use.role, use.times) for use in answer.uses)
    found = dynamic_repairs(network, answer) or dynamic_repairs(only(network, answer.clauses), answer)
    mends = _mends(found)
    named = [(link.clause, seconds) for link, seconds in answer.unworkable]
    fatal = tuple(dict.fromkeys((clause, time) for clause, time in named if isinstance(clause, TimeClause)))
    return Clash(parts, answer.shortfall, answer.kind, tuple(mends), fatal)


def _parts(found: Iterable[tuple[object, int, Role, int]]) -> tuple[Part, ...]:
    sums: dict[tuple[TimeClause, int, Role], int] = {}
    for clause, seconds, role, times in found:
        if isinstance(clause, TimeClause):
            key = (clause, seconds, role)
            sums[key] = sums.get(key, 0) + times
    parts = [Part(clause, seconds, role, times) for (clause, seconds, role), times in sums.items()]
    return tuple(sorted(parts, key=lambda part: (part.clause.span, part.seconds)))


def only(network: Network, clauses: Iterable[object]) -> Network:
    """The network with nothing but these clauses and the laws of time."""
    kept = {None, *clauses}
    bounds = tuple(bound for bound in network.bounds if bound.clause in kept)
    return Network(network.points, bounds, tuple(link for link in network.links if link.clause in kept))


def without(network: Network, clauses: set[TimeClause]) -> Network:
    """The network without these clauses."""
    bounds = tuple(bound for bound in network.bounds if bound.clause not in clauses)
    return Network(network.points, bounds, tuple(link for link in network.links if link.clause not in clauses))


def _before(of: Bound | Link, role: Role) -> int:
    if isinstance(of, Bound):
        return of.weight
    return of.low if role is Role.FASTEST else -(of.high or 0)


def _after(of: Bound | Link, role: Role, delta: int) -> int:
    return _before(of, role) + delta


# ── In words ────────────────────────────────────────────────────────────────────────────────────


def told(simulator: Simulator, scenario: Scenario, clash: Clash) -> Finding:
    """The finding for a clash."""
    needed = [part for part in clash.parts if part.seconds < 0]
    allowed = [part for part in clash.parts if part.seconds > 0]
    words = _Words(simulator, clash.blamed.span)
    most = -sum(part.seconds * part.times for part in needed)
    least = sum(part.seconds * part.times for part in allowed)
    sentence = " + ".join(words.part(part) for part in needed)
    if len(needed) > 1 or any(part.times > 1 for part in needed):
        sentence += f" = {show_duration(most)}"
    sentence += ", but " + " and ".join(words.part(part) for part in allowed)
    if len(allowed) > 1 or any(part.times > 1 for part in allowed):
        sentence += f", together {show_duration(least)}"
    over = clash.shortfall if clash.shortfall is not None else most - least
    sentence += f": {show_duration(over)} too long."
    return finding(
        "T01" if clash.kind is Kind.INCONSISTENT else "T02",
        clash.blamed.span,
        sentence[0].upper() + sentence[1:],
        floor=_floor(clash),
        walk=(*_way(simulator, scenario), *words.sum(needed, allowed)),
        fix=_fix(words, clash),
        asked_by=[source for part in clash.parts for source in part.clause.asked_by],
    )


def _floor(clash: Clash) -> str:
    match clash.kind:
        case Kind.INCONSISTENT:
            return "However fast staff work, the limit is broken each time; sooner or later no one heeds it."
        case Kind.NOT_WEAKLY:
            times = [f"“{clause.name}” takes {show_duration(seconds)}" for clause, seconds in clash.fatal]
            return f"On a day when {listed(times)}, no timing is left: staff cannot keep the limit, try as they may."
        case Kind.WEAKLY_ONLY:
            return (
                "Whatever the machine takes, some timing would do; but staff would have to know in advance how long "
                "it will take, and no one does."
            )
        case _:
            return "There are days on which staff cannot keep the limit, try as they may."


def _fix(words: _Words, clash: Clash) -> str:
    # Machines last: what staff or the office decide is changed more easily.
    chosen = sorted(clash.mends, key=_of_the_machine)[:MOST_MENDS]
    if not chosen:
        return (
            "No single one of these lines can give way (law, instructions, labels, nature). Do some of it earlier, "
            "later or side by side (`together`), or move the moment the limit counts from."
        )
    said = " Or ".join(words.mend(mend) for mend in chosen)
    return said[0].upper() + said[1:]


def _of_the_machine(mend: Mend) -> bool:
    return mend.role is not Role.BOUND or mend.clause.decider is not Decider.STAFF


@dataclass(frozen=True, slots=True)
class _Words:
    simulator: Simulator
    home: Span

    def part(self, part: Part) -> str:
        said, many = self._said(part), _many(part)
        if part.clause.kind is ClauseKind.LIMIT:
            return f"{said}{many}"
        return f"{said} ({line(part.clause.span, self.home)}){many}"

    def _said(self, part: Part) -> str:
        clause, time = part.clause, show_duration(abs(part.seconds))
        office = self.simulator.office
        if clause.kind is ClauseKind.LIMIT:
            verb = "asks for at least" if part.seconds < 0 else "allows"
            return f"{line(clause.span, self.home)} {verb} {time} from {self._moments(clause)}"
        if clause.kind is ClauseKind.CONTACT:
            return f"{title(office.supplies, clause.name)} needs {time} of contact"
        if clause.kind is ClauseKind.PERFORMS:
            return f"performing “{title(office.procedures, clause.name)}” takes {time}"
        if clause.kind is ClauseKind.REACTION:
            return f"staff need {time} to react when the machine is done"
        if part.role is Role.SLOWEST:
            return f"“{clause.name}” may take as long as {time}"
        if part.role is Role.FASTEST:
            return f"“{clause.name}” may be over after {time}"
        return f"“{clause.name}” takes at {'least' if part.seconds < 0 else 'most'} {time}"

    def _moments(self, clause: TimeClause) -> str:
        of = self.simulator.office.procedures[clause.of] if clause.of else self.simulator.procedure
        limit = of.limits[clause.place]
        return f"{self._point(limit.earlier, of)} to {self._point(limit.later, of)}"

    def _point(self, point: Point, of: Procedure) -> str:
        edge = "the start" if point.edge == "starts" else "the end"
        if point.step is None:
            return f"{edge} of the procedure" if of is self.simulator.procedure else f"{edge} of “{of.title}”"
        step = of.step(point.step)
        return f"{edge} of “{step.title if step else point.step}”"

    def sum(self, needed: Sequence[Part], allowed: Sequence[Part]) -> list[WalkStep]:
        """The lines one by one with the sum so far."""
        found: list[WalkStep] = []
        total = 0
        for part in (*needed, *allowed):
            total -= part.seconds * part.times
            said = self._said(part) + _many(part)
            so_far = f"{show_duration(total)}" if part.seconds < 0 else f"{show_duration(total)} over"
            found.append(WalkStep(f"{said[0].upper()}{said[1:]} → {so_far}", part.clause.span))
        return found

    def mend(self, mend: Mend) -> str:
        clause, time = mend.clause, show_duration(abs(mend.after))
        place = line(clause.span, self.home)
        slow = mend.role is Role.SLOWEST or (mend.role is Role.BOUND and mend.before < 0)
        if _of_the_machine(mend):
            end = f"at {'most' if slow else 'least'} {time}"
            if clause.decider is Decider.OUTCOME:
                return f"find a way in which “{clause.name}” takes {end} ({place})."
            return f"choose or validate a machine whose cycle for “{clause.name}” is {end} ({place})."
        if clause.kind is ClauseKind.LIMIT:
            word = "within" if mend.before > 0 else "at least"
            return f"change {place} to `{word} {as_written(mend.after)}`."
        side = "at most" if mend.before > 0 else "at least"
        return f"let “{clause.name}” take {side} {time} ({place})."


def _many(part: Part) -> str:
    return f" ({part.times} times)" if part.times > 1 else ""


def _way(simulator: Simulator, scenario: Scenario) -> list[WalkStep]:
    """The answers that lead to this way, if it is not the plain one."""
    found: list[WalkStep] = []
    for edge in scenario.walked:
        node = simulator.paths.nodes[edge.source]
        if node.kind is NodeKind.CHOICE:
            found.append(WalkStep(f"“{node.text}” {edge.label}", node.span))
        elif edge.kind is EdgeKind.SKIP and node.step is not None:
            found.append(WalkStep(f"“{node.step.title}” is skipped", node.span))
        elif edge.fails is not None:
            found.append(WalkStep(f"“{node.text}” no", node.span))
    return found
