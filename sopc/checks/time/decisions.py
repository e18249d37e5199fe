"""Which ways through a procedure must be looked at to know that its time limits hold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import permutations, product

from sopc.checks.paths import EdgeKind, NodeKind, PathNode, Paths
from sopc.checks.time.longest_ways import longest_ways
from sopc.checks.time.scenarios import ALWAYS, Answer, Simulator, mixed, no_after
from sopc.model.nouns import Choice, Part, Repeat, Step, Stop, steps_of
from sopc.source import Span

MOST_COMBINATIONS = 128
MOST_PASSES = 4


@dataclass(frozen=True, slots=True)
class Decision:
    """A node where the way parts, and the answers worth looking at; the first is the plain case."""

    node: int
    answers: tuple[int, ...]
    worst: int


def decisions(simulator: Simulator) -> list[Decision]:
    """Every parting of ways that changes what limits bind, or how long it takes.

    Where no step that a limit names is touched, the longest way is the hardest: more steps in a row only add
    to what must be waited for. Such a choice goes its longest way only, and that which may be longest where steps
    do not say how quickly they are done; such a repeat is tried with no pass more and with all of them.
    """
    procedure = simulator.procedure
    named = {name for limit in procedure.limits for name in limit.unless}
    for limit in procedure.limits:
        named |= {point.step for point in (limit.earlier, limit.later) if point.step is not None}
    found: list[Decision] = []
    worst_ways = _worst_ways(simulator, procedure.parts)
    for node in simulator.paths.nodes:
        decision = _decision(simulator, node, named, worst_ways)
        if decision is not None:
            found.append(decision)
    return found


def _worst_ways(simulator: Simulator, parts: tuple[Part, ...]) -> dict[Span, tuple[int, ...]]:
    """The longest way of each choice, and the one that may be longest where that is another."""
    found: dict[Span, tuple[int, ...]] = {}
    for part in parts:
        if isinstance(part, Step):
            continue
        inside = part.ways if isinstance(part, Choice) else part.branches
        if isinstance(part, Choice):
            sure = [simulator.lengths.way(way.parts).sure for way in part.ways]
            slow = [simulator.unhurried.way(way.parts) for way in part.ways]
            longest = [lengths.index(max(lengths)) for lengths in (sure, slow) if lengths]
            found[part.span] = tuple(dict.fromkeys(longest)) or (0,)
        for each in inside:
            found |= _worst_ways(simulator, each.parts)
    return found


def _decision(
    simulator: Simulator, node: PathNode, named: set[str], worst_ways: dict[Span, tuple[int, ...]]
) -> Decision | None:
    paths = simulator.paths
    if node.kind is NodeKind.CHOICE:
        ways = len(paths.after[node.index])
        worst = worst_ways.get(node.span, (0,))
        return _choice(simulator, node, named, ways, worst)
    if node.kind is NodeKind.WHEN and node.step is not None:
        parts = node.step.name in named or node.step.onward is not None  # else doing it only takes longer
        return Decision(node.index, _each_pass(paths, node, 2), 0) if parts else None
    if node.kind is not NodeKind.CHECK or node.check is None:
        return None
    outcome = node.check.otherwise
    no = next((edge for edge in paths.after[node.index] if edge.fails is not None), None)
    if no is None or outcome is None:
        return None
    if not isinstance(outcome, Repeat) or outcome.at_most is None:
        ends = paths.nodes[no.target].kind is NodeKind.STOP
        yes = next((edge for edge in paths.after[node.index] if edge.fails is None), None)
        plain = ends or (yes is not None and yes.target == no.target)
        return None if plain else Decision(node.index, (0, ALWAYS, *_changing(paths, node)), 0)
    return _repeat(paths, node, outcome, named)


def _choice(
    simulator: Simulator, node: PathNode, named: set[str], ways: int, worst: tuple[int, ...]
) -> Decision | None:
    inside = _steps_in_choice(simulator.procedure.parts, node.span)
    free = all(step.name not in named and step.onward is None and not step.checks for step in inside)
    answers = worst if free else _each_pass(simulator.paths, node, ways)
    return Decision(node.index, answers, worst[0]) if ways > 1 else None


def _each_pass(paths: Paths, node: PathNode, ways: int) -> tuple[int, ...]:
    """Every way; where a repeat leads back before it, also one way first and another afterwards."""
    plain = tuple(range(ways))
    turned = (mixed(one, other, passes) for passes in _turns(paths, node) for one, other in permutations(plain, 2))
    return (*plain, *turned)


def _changing(paths: Paths, node: PathNode) -> tuple[int, ...]:
    """Answers at a check that change where a repeat leads back before it: no and then yes, yes and then no.

    A no may lead out of the repeat, so that the longest way says no on the last pass only.
    """
    passes = _turns(paths, node)
    return (*passes, *map(no_after, passes))


def _turns(paths: Paths, node: PathNode) -> tuple[int, ...]:
    """After how many passes an answer may turn: after the first, and before the last; none where nothing repeats."""
    again = [
        paths.nodes[edge.source].at_most or 0
        for edge in paths.edges
        if edge.kind is EdgeKind.AGAIN and edge.target <= node.index <= edge.source
    ]
    return tuple(dict.fromkeys((1, max(1, sum(again))))) if again else ()


def _steps_in_choice(parts: tuple[Part, ...], span: Span) -> list[Step]:
    found: list[Step] = []
    for part in parts:
        if isinstance(part, Step):
            continue
        ways = part.ways if isinstance(part, Choice) else part.branches
        for way in ways:
            if isinstance(part, Choice) and part.span == span:
                found += steps_of(way.parts)
            else:
                found += _steps_in_choice(way.parts, span)
    return found


def _repeat(paths: Paths, node: PathNode, outcome: Repeat, named: set[str]) -> Decision | None:
    first = paths.entries.get(outcome.step)
    if first is None or first > node.index or not outcome.at_most:
        return None
    inside = paths.nodes[first : node.index + 1]
    free = not any(each.step is not None and each.step.name in named for each in inside)
    passes = [*range(min(outcome.at_most, MOST_PASSES) + 1), *[outcome.at_most][: outcome.at_most > MOST_PASSES]]
    goes_on = outcome.afterwards is not None and not isinstance(outcome.afterwards, Stop)
    if free and not goes_on:
        return Decision(node.index, (0,), outcome.at_most)
    answers = (0, outcome.at_most) if free else tuple(passes)
    if goes_on:
        answers = (*answers, ALWAYS, *_used_up(paths, node, outcome.at_most))
    return Decision(node.index, answers, outcome.at_most)


def _used_up(paths: Paths, node: PathNode, at_most: int) -> tuple[int, ...]:
    """Answers that use a repeat up within another: at the beginning and never again, or late only."""
    around = [edge for edge in paths.edges if edge.kind is EdgeKind.AGAIN and edge.target <= node.index <= edge.source]
    return (at_most + 1, *map(no_after, _turns(paths, node))) if len(around) > 1 else ()


def ways_of(simulator: Simulator) -> tuple[list[Mapping[int, Answer]], bool]:
    """The ways to look at as answers, plainest first, and whether they are all there are."""
    ways, complete = combinations(decisions(simulator))
    longest, known = longest_ways(simulator)
    return [*ways, *longest], complete and known


def combinations(found: list[Decision]) -> tuple[list[dict[int, int]], bool]:
    """The answers to look at, plainest first, and whether they are all there are.

    Above 128 combinations each decision is varied alone, and all are taken at their longest.
    """
    count = 1
    for decision in found:
        count *= len(decision.answers)
    worst = {decision.node: decision.worst for decision in found}
    free = {decision.node for decision in found if len(decision.answers) == 1}
    if count <= MOST_COMBINATIONS:
        nodes = [decision.node for decision in found]
        mixed = [dict(zip(nodes, answers, strict=True)) for answers in product(*(each.answers for each in found))]
        mixed.sort(key=lambda answers: sum(1 for answer in answers.values() if answer))
        hard = [answers | {node: worst[node] for node in free} for answers in mixed] if free else []
        return mixed + [answers for answers in hard if answers not in mixed], True
    plain = {decision.node: decision.answers[0] for decision in found}
    varied = [plain | {decision.node: answer} for decision in found for answer in decision.answers[1:]]
    return [plain, *varied[:MOST_COMBINATIONS], worst], False
