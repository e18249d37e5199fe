"""Limits that run over steps which do not say how long they take: whether they can be kept is undecided."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from sopc.checks.report import finding, line, shortened
from sopc.checks.time.clashes import without
from sopc.checks.time.hardest import ENDLESS
from sopc.checks.time.scenarios import ClauseKind, Scenario, Simulator, TimeClause, Unstated
from sopc.findings import Finding, Note
from sopc.trade.controllability import NotControllable, controllable, is_controllable
from sopc.trade.network import Bound, Network, minimal_interval
from sopc.trade.quantities import show_duration

MOST_WAYS = 8  # ways on which the steps of one limit are gathered
MOST_NOTES = 4


@dataclass(slots=True)
class _Open:
    """What a limit leaves open: the steps without a time, and the least seconds that it has left for them."""

    clause: TimeClause
    steps: dict[str, Unstated] = field(default_factory=dict)
    left: int | None = None
    ways: int = 0


@dataclass(slots=True)
class Undecided:
    """Gathers over all ways of a procedure which limits cannot be judged for want of a time."""

    simulator: Simulator
    _found: dict[TimeClause, _Open] = field(default_factory=dict)

    def look(self, scenario: Scenario, network: Network) -> None:
        """Note the limits of one way that can be broken by a step without a time; `network` itself holds."""
        if not scenario.unstated:
            return
        done = {clause for clause, known in self._found.items() if known.ways >= MOST_WAYS}
        while True:
            known = without(network, done)
            blamed = _blamed(_stretched(known, scenario.unstated))
            if blamed is None:
                return
            done.add(blamed)
            self._note(known, scenario, blamed)

    def _note(self, network: Network, scenario: Scenario, blamed: TimeClause) -> None:
        known = self._found.setdefault(blamed, _Open(blamed))
        known.ways += 1
        alone = _of_one_limit(network, blamed)
        mattering = [each for each in scenario.unstated if not is_controllable(_stretched(alone, [each]))]
        for each in mattering or _jointly(alone, scenario.unstated):
            known.steps.setdefault(each.title, each)
            left = _left(alone, each)
            if left is not None and (known.left is None or left < known.left):
                known.left = left

    def findings(self) -> Iterator[Finding]:
        """One finding for each limit."""
        for known in self._found.values():
            yield self._told(known)

    def _told(self, known: _Open) -> Finding:
        steps = list(known.steps.values())
        several = len(steps) > 1
        named, say, them = shortened([f"“{each.title}”" for each in steps], 3), "does not say", "it"
        if several:
            say, them = "do not say", "them"
        long = "how long they take" if several else "how long it takes"
        if all(each.most is not None for each in steps):
            long = f"how quickly {'they' if several else 'it'} can be done, only how long at most"
        sentence = f"{_whether(known.clause)} is undecided: {named} {say} {long}."
        if known.left is not None:
            sentence += f" All else leaves {them} at most {show_duration(known.left)}."
        return finding(
            "T07",
            known.clause.span,
            sentence,
            floor="It is printed as if it could be kept, and nothing shows that there is time enough for it.",
            fix=f"Add `takes … to …` to {'each' if several else 'the step'}, measured with a clock.",
            notes=[Note(f"“{each.title}” stands at {line(each.span)}", each.span) for each in steps[:MOST_NOTES]],
            asked_by=known.clause.asked_by,
        )


def _whether(clause: TimeClause) -> str:
    if clause.kind is ClauseKind.LIMIT:
        return "Whether this limit can be kept"
    return f"Whether the time of “{clause.name}” is enough"


def _stretched(network: Network, steps: Sequence[Unstated]) -> Network:
    """The network with these steps as slow as they may be."""
    slow = (Bound(each.end, each.start, -(ENDLESS if each.most is None else each.most), None) for each in steps)
    return Network(network.points, (*network.bounds, *slow), network.links)


def _blamed(network: Network) -> TimeClause | None:
    """The line that allows too little, or None when all can be kept."""
    answer = controllable(network)
    if not isinstance(answer, NotControllable):
        return None
    named = [use.clause for use in answer.uses if (use.seconds or 0) > 0] + [use.clause for use in answer.uses]
    lines = [clause for clause in named if isinstance(clause, TimeClause)]
    return next((clause for clause in lines if clause.kind is ClauseKind.LIMIT), next(iter(lines), None))


def _of_one_limit(network: Network, kept: TimeClause) -> Network:
    clauses = {bound.clause for bound in network.bounds}
    limits = {each for each in clauses if isinstance(each, TimeClause) and each.kind is ClauseKind.LIMIT}
    return without(network, limits - {kept})


def _jointly(network: Network, steps: Sequence[Unstated]) -> list[Unstated]:
    """The steps that together take too long at their longest, none of them doing so alone."""
    bounded = [each for each in steps if each.most is not None]
    return [each for each in bounded if not is_controllable(_stretched(*_endless(network, each)))] or list(steps)


def _endless(network: Network, step: Unstated) -> tuple[Network, list[Unstated]]:
    """The network in which nothing says how long this step takes at most, and the step so."""
    own = (step.start, step.end)
    bounds = tuple(each for each in network.bounds if (each.source, each.target) != own or each.weight <= 0)
    return Network(network.points, bounds, network.links), [replace(step, most=None)]


def _left(network: Network, step: Unstated) -> int | None:
    """Seconds a step without any time may take at most, the machines at whichever end leaves less."""
    if step.most is not None:
        return None
    ends = [minimal_interval(network.pinned(longest), step.start, step.end).latest for longest in (True, False)]
    return min((end for end in ends if end is not None), default=None)
