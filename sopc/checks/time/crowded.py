"""Limits that are kept only if one person works in two branches at the same time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sopc.checks.report import finding, line, listed, title
from sopc.checks.time.durations import stated
from sopc.checks.time.scenarios import ClauseKind, Occurrence, Scenario, Simulator, TimeClause
from sopc.findings import Finding, Note
from sopc.model.nouns import Decider, Office, Step
from sopc.trade.network import Bound, Conflict, Network, consistency
from sopc.trade.quantities import show_duration


@dataclass(frozen=True, slots=True)
class Alone:
    """Work in several branches side by side of which each part is for the only one of a role on duty."""

    role: str
    steps: tuple[Step, ...]
    seconds: int


@dataclass(slots=True)
class Crowded:
    """Gathers over all ways of a procedure which limits hold only if somebody does two things at once."""

    simulator: Simulator
    _found: dict[TimeClause, Alone] = field(default_factory=dict)

    def look(self, scenario: Scenario, network: Network) -> None:
        """Note the limits of one way that are broken when branches for one person are done one after the other."""
        more = tuple(_one_after_another(self.simulator.office, scenario))
        while more:
            bounds = tuple(bound for bound in network.bounds if bound.clause not in self._found)
            verdict = consistency(Network(network.points, (*bounds, *more), network.links))
            if not isinstance(verdict, Conflict):
                return
            clauses = [bound.clause for bound in verdict.bounds]
            limit = next((each for each in clauses if isinstance(each, TimeClause) and _is_limit(each)), None)
            alone = next((each for each in clauses if isinstance(each, Alone)), None)
            if limit is None or alone is None:
                return
            self._found[limit] = alone

    def findings(self) -> Iterator[Finding]:
        """One finding for each limit."""
        for limit, alone in self._found.items():
            yield self._told(limit, alone)

    def _told(self, limit: TimeClause, alone: Alone) -> Finding:
        who = title(self.simulator.office.roles, alone.role)
        steps = listed([f"“{step.title}”" for step in alone.steps])
        return finding(
            "T10",
            limit.span,
            f"This limit is kept only if {steps} go on at the same time; all of it is {who}'s work, "
            f"{show_duration(alone.seconds)} in all, and one is on duty.",
            floor="Nobody has four hands: one branch waits for the other, and the limit is passed.",
            fix="Let another role do one of the branches (`by …`), allow more time, or correct `on duty` of "
            f"{alone.role}. Where a step needs no hands, say `by machine` or `until …`.",
            notes=[Note(f"“{step.title}” stands at {line(step.span)}", step.span) for step in alone.steps[:4]],
            asked_by=limit.asked_by,
        )


def _is_limit(clause: TimeClause) -> bool:
    return clause.kind is ClauseKind.LIMIT


def _one_after_another(office: Office, scenario: Scenario) -> Iterator[Bound]:
    """What comes after the branches comes no sooner than all hands-on work in them after what came before."""
    by_fork: dict[int, list[Occurrence]] = {}
    for each in scenario.occurrences:
        for fork, _ in each.places:
            by_fork.setdefault(fork, []).append(each)
    for fork, inside in by_fork.items():
        points = {point for each in inside for point in (each.start, each.end)}
        waits = [bound for bound in scenario.bounds if bound.weight <= 0]
        before = {bound.target for bound in waits if bound.source in points} - points
        after = {bound.source for bound in waits if bound.target in points} - points
        for alone in _alone(office, fork, inside):
            yield from (Bound(later, first, -alone.seconds, alone) for first in before for later in after)


def _alone(office: Office, fork: int, inside: list[Occurrence]) -> Iterator[Alone]:
    for role in office.roles.values():
        if role.on_duty[1] > 1:
            continue
        work = [(each, seconds) for each in inside if (seconds := _hands(office, each.step, role.name))]
        branches = {dict(each.places)[fork] for each, _ in work}
        if len(branches) > 1:
            steps = tuple(dict.fromkeys(each.step for each, _ in work))
            yield Alone(role.name, steps, sum(seconds for _, seconds in work))


def _hands(office: Office, step: Step, role: str) -> int:
    """Seconds at the least for which a step has the hands of the role; none while it only waits for a chemical."""
    if step.by is None or step.takes is None or step.takes.decider is not Decider.STAFF or step.runs:
        return 0
    roles = [name for _, name in step.by.roles]
    if role not in roles or not (step.by.joined or set(roles) == {role}):
        return 0
    if any(office.supplies[name].contact is not None for name in step.using if name in office.supplies):
        return 0
    return stated(step.takes).least
