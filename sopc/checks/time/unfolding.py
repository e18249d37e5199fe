"""Limits across performed procedures whose length nobody knows beforehand: what they perform is unfolded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from sopc.checks.paths import NodeKind, paths_of
from sopc.checks.report import finding, line, title
from sopc.checks.time.clashes import Clash, clash_of, told, without
from sopc.checks.time.durations import Lengths
from sopc.checks.time.hardest import Hardest
from sopc.checks.time.scenarios import ClauseKind, Performed, Scenario, Simulator, TimeClause, slowest
from sopc.findings import Finding, Note
from sopc.model.nouns import Decider, Procedure
from sopc.trade.network import Bound, Link
from sopc.trade.quantities import show_duration

# ── What is performed as part of the network ────────────────────────────────────────────────────


class Unfolding:
    """Binds performed procedures by all that happens in them.

    One whose steps simply follow each other is played in its place: exact. One that parts its ways takes, from its
    quickest to its slowest, as long as its answers will have it; nobody is taken to know before its end.
    """

    def __init__(self, lengths: Lengths) -> None:
        self.lengths = lengths
        self.hardest = Hardest(lengths)
        self._within: set[str] = set()
        self._played: dict[str, Scenario | None] = {}

    def __call__(self, scenario: Scenario, performed: Performed, start: int, end: int) -> bool:
        """Bind what is performed between two points; return whether a machine ends it."""
        procedure = self.lengths.office.procedures.get(performed.name)
        if procedure is None or performed.name in self._within:
            scenario.bounds.append(slowest(self.hardest, performed, start, end))
            return False
        inside = self._inside(procedure)
        if inside is None:
            self._turns_out(scenario, performed, start, end)
            return False
        _splice(scenario, inside, performed, start, end)
        return inside.last[0][1]

    def _inside(self, procedure: Procedure) -> Scenario | None:
        """The one way the procedure goes to its normal end, or None when there are several."""
        if procedure.name not in self._played:
            self._within.add(procedure.name)
            played = self._play(procedure) if _straight(procedure) else None
            self._within.discard(procedure.name)
            whole = played is not None and played.end is not None and not played.broken_off
            self._played[procedure.name] = played if whole and played is not None and len(played.last) == 1 else None
        return self._played[procedure.name]

    def _play(self, procedure: Procedure) -> Scenario:
        """Its only way; limits that it cannot keep even by itself are told there, and left out here."""
        played = Simulator(self.lengths, procedure, self).play({})
        if clash_of(played.network()) is None:
            return played
        return Simulator(self.lengths, replace(procedure, limits=()), self).play({})

    def _turns_out(self, scenario: Scenario, performed: Performed, start: int, end: int) -> None:
        """Between its quickest and its slowest, as the answers fall."""
        least, most = self.lengths.procedure(performed.name).least, self.hardest.procedure(performed.name)
        if least >= most:
            scenario.bounds.append(slowest(self.hardest, performed, start, end))
            return
        clause = TimeClause(ClauseKind.PERFORMS, performed.name, performed.span, 0, True, Decider.OUTCOME)
        over = scenario.points
        scenario.points += 1
        scenario.links.append(Link(start, least, most, over, clause))
        scenario.bounds.append(Bound(end, over, 0, None))
        if performed.ends:
            scenario.bounds.append(Bound(over, end, 0, None))


def _straight(procedure: Procedure) -> bool:
    """Whether only one way leads to the normal end: nothing is chosen or skipped, a no stops all or changes nothing."""
    paths = paths_of(procedure)
    for node in paths.nodes:
        if node.kind in (NodeKind.CHOICE, NodeKind.WHEN, NodeKind.REPEAT):
            return False
        targets = {edge.target for edge in paths.after[node.index]}
        if node.kind is NodeKind.CHECK and len([at for at in targets if paths.nodes[at].kind is not NodeKind.STOP]) > 1:
            return False
    return True


def _splice(scenario: Scenario, inside: Scenario, performed: Performed, start: int, end: int) -> None:
    """Take the network of a performed procedure into that of the way it is performed on."""
    shift = scenario.points - 1
    scenario.points += inside.points - 1

    def moved(point: int) -> int:
        if point == 0:
            return start
        return end if point == inside.end else point + shift

    def renamed(clause: object) -> object:
        own = isinstance(clause, TimeClause) and clause.kind is ClauseKind.LIMIT and not clause.of
        return replace(clause, of=performed.name) if own and isinstance(clause, TimeClause) else clause

    for bound in inside.bounds:
        moments = moved(bound.source), moved(bound.target)
        scenario.bounds.append(Bound(*moments, bound.weight, renamed(bound.clause)))
    for link in inside.links:
        scenario.links.append(
            Link(moved(link.activation), link.low, link.high, moved(link.contingent_end), renamed(link.clause))
        )
    if performed.ends:
        scenario.bounds.append(Bound(moved(inside.last[0][0]), end, 0, None))
    if performed.begins and inside.occurrences and not inside.occurrences[0].places:
        scenario.bounds.append(Bound(start, moved(inside.occurrences[0].start), 0, None))


# ── The check ───────────────────────────────────────────────────────────────────────────────────


@dataclass(slots=True)
class Unfolded:
    """Gathers over all ways of a procedure which limits need to know beforehand how long something performed takes."""

    simulator: Simulator
    performs: bool
    _found: list[Finding] = field(default_factory=list)

    @staticmethod
    def of(lengths: Lengths, procedure: Procedure) -> Unfolded:
        """Begin for a procedure; one that performs nothing has nothing to unfold."""
        performs = any(step.performs for step in procedure.steps()) or any(
            node.kind is NodeKind.PERFORM for node in paths_of(procedure).nodes
        )
        return Unfolded(Simulator(lengths, procedure, Unfolding(lengths)), performs)

    def look(self, scenario: Scenario, dropped: set[TimeClause]) -> None:
        """Look at one way, of which all limits hold that are not `dropped` when what is performed is at its slowest."""
        if not self.performs:
            return
        unfolded = self.simulator.play(scenario.answers)
        if unfolded.broken_off or len(unfolded.links) == len(scenario.links):
            return
        while True:
            clash = clash_of(without(unfolded.network(), dropped))
            if clash is None:
                return
            self._found.append(self._told(unfolded, clash))
            dropped.add(clash.blamed)

    def findings(self) -> Iterator[Finding]:
        """One finding for each limit."""
        yield from self._found

    def _told(self, unfolded: Scenario, clash: Clash) -> Finding:
        used = {part.clause for part in clash.parts}
        open_links = [link for link in unfolded.links if _turning_out(link.clause) and link.clause in used]
        return _undecided(self.simulator, clash, open_links[0]) if open_links else told(self.simulator, unfolded, clash)


def _turning_out(clause: object) -> bool:
    return isinstance(clause, TimeClause) and clause.kind is ClauseKind.PERFORMS


def _undecided(simulator: Simulator, clash: Clash, link: Link) -> Finding:
    clause = link.clause
    assert isinstance(clause, TimeClause)
    assert link.high is not None
    named = f"“{title(simulator.office.procedures, clause.name)}”"
    takes = f"{show_duration(link.low)} or up to {show_duration(link.high)}"
    return finding(
        "T11",
        clash.blamed.span,
        f"Whether this limit can be kept is undecided: {named} takes {takes}, as the answers in it fall, and nobody "
        "knows that beforehand.",
        floor="Staff would have to begin at a moment that they can only guess.",
        fix=f"Count from the end of {named}, do it before and not beside the other branch, or write its steps here.",
        notes=[Note(f"it is performed at {line(clause.span)}", clause.span)],
        asked_by=clash.blamed.asked_by,
    )
