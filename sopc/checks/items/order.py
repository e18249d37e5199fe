"""Is the order right: does every item have the conditions an action needs, on every path?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.items import answers, fitness, shape
from sopc.checks.items.effects import Effect, ItemEffects, Vocabulary, single_bits
from sopc.checks.items.flow import Clash, Flow
from sopc.checks.paths import NodeKind, PathEdge
from sopc.checks.report import asked_by, finding, line, listed, title
from sopc.checks.walk import Turn, last_turn, missed, walk_along
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Procedure, Step
from sopc.source import Span


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what the order of work promises.

    1. On every path every item has what an action needs when it is done to it (O01).
    2. At every normal end every item has what the procedure promises (O02); `stop` is exempt.
    3. A branch relies on nothing that another branch does at the same time (O03).
    4. No branch takes from an item what another needs or brings at the same time (O04).
    5. A procedure is performed on items that have the conditions it starts from (O05).
    6. What `shape` and `fitness` promise: paths that lead somewhere (O10 to O17), the right kind of item
       (O06, O07, O09), conditions that do not contradict each other (O08).
    7. One way of every question fits, whatever the case (`answers`, O22 and O23).
    """
    yield from fitness.check(office)
    yield from shape.check(office)
    yield from answers.check(office)
    words = Vocabulary(office)
    for procedure in office.procedures.values():
        yield from _procedure(office, procedure, words)


def _procedure(office: Office, procedure: Procedure, words: Vocabulary) -> Iterator[Finding]:
    items = ItemEffects(words, procedure)
    if not items.items:
        return
    flow = Flow(office, procedure, items)
    told: set[tuple[int, frozenset[int]]] = set()
    for clash in flow.clashes:
        pair = (clash.fork, frozenset((clash.one, clash.other)))
        if pair not in told:
            told.add(pair)
            yield _at_odds(flow, clash)
    reachable = flow.paths.reachable()
    for node in flow.paths.nodes:
        if node.index not in reachable or node.index not in flow.effects or node.step is None:
            continue
        for effect, mask in flow.missing(node.index):
            yield from _unmet(flow, node.index, node.step, effect, mask)
    end = flow.paths.end
    broken = flow.promised & ~flow.holds[end]
    if broken and end in reachable:
        yield from _promise(flow, broken)


def _by_path(flow: Flow, index: int, mask: int) -> list[tuple[list[PathEdge], int]]:
    """Group missing conditions by the path that shows them missing: one fault, one finding."""
    groups: dict[tuple[str, tuple[int, ...]], tuple[list[PathEdge], int]] = {}
    for bit in single_bits(mask):
        held = flow.holds[index] & bit
        path = flow.path_without(index, 0 if held else bit)
        turn = last_turn(flow, path, bit)
        key = (turn.step.name if turn else "", tuple(id(edge) for edge in path))
        known = groups.get(key)
        groups[key] = (path, bit | (known[1] if known else 0))
    return list(groups.values())


def _named(flow: Flow, mask: int) -> tuple[str, str, str]:
    """Conditions in words, items in words, and the first condition's name."""
    split = flow.items.split(mask)
    conditions = [title(flow.office.conditions, name).lower() for name, _ in split]
    items = dict.fromkeys(item for _, having in split for item in having)
    shown = listed([title(flow.office.items, item) for item in items])
    return listed(conditions), shown, split[0][0]


def _first(mask: int) -> int:
    return mask & -mask


def _unmet(flow: Flow, index: int, step: Step, effect: Effect, mask: int) -> Iterator[Finding]:
    for path, part in _by_path(flow, index, mask):
        yield _one_unmet(flow, index, step, effect, part, path)


def _one_unmet(flow: Flow, index: int, step: Step, effect: Effect, mask: int, path: list[PathEdge]) -> Finding:
    conditions, items, first = _named(flow, mask)
    act = _act(flow, effect)
    beside = _brought_beside(flow, index, mask)
    walk = walk_along(flow, path, _first(mask), title(flow.office.conditions, first).lower())
    reason, notes = _why(flow, index, path, _first(mask), first)
    floor = f"Whoever follows the page comes to “{step.title}” with {items} not {conditions}."
    if beside is not None:
        return finding(
            "O03",
            effect.span,
            f"{act} needs {items} {conditions}, but only the branch beside it brings that.",
            floor=floor,
            walk=walk,
            fix=f"Move “{step.title}” behind the side-by-side part, or into “{beside}” after what it relies on.",
            notes=notes,
            asked_by=_asking(flow, effect),
            cause=_cause(flow, first),
        )
    return finding(
        "O05" if effect.performs else "O01",
        effect.span,
        f"{act} {'starts from' if effect.performs else 'needs'} {items} {conditions}, {reason}.",
        floor=floor,
        walk=walk,
        fix=_mend(flow, first, step),
        notes=notes,
        asked_by=_asking(flow, effect),
        cause=_cause(flow, first),
    )


def _cause(flow: Flow, name: str) -> str:
    """What is missing everywhere is missing for one reason: no action in the office brings it."""
    return "" if _bringers(flow, name) else f"no action brings {name}"


def _asking(flow: Flow, effect: Effect) -> tuple[str, ...]:
    """The sources behind what an act needs."""
    kind = flow.office.procedures if effect.performs else flow.office.actions
    return asked_by(flow.office, kind.get(effect.what))


def _act(flow: Flow, effect: Effect) -> str:
    if effect.performs:
        return f"The procedure “{title(flow.office.procedures, effect.what)}”"
    return f"“{title(flow.office.actions, effect.what)}”"


def _why(flow: Flow, index: int, path: list[PathEdge], bit: int, name: str) -> tuple[str, list[Note]]:
    condition = title(flow.office.conditions, name).lower()
    if flow.holds[index] & bit:
        return f"but an act before it in the same step has made it not {condition}", []
    turn = last_turn(flow, path, bit)
    if turn is None:
        return f"but on one path {_never(flow, path, bit)}", []
    place = line(turn.step.span)
    if not turn.by:
        return (
            f"but after a “no” in “{turn.step.title}” ({place}) it is not",
            [Note(f"the answer “no” here means: not {condition}", turn.step.span)],
        )
    by = turn.by
    act = title(flow.office.actions if by in flow.office.actions else flow.office.procedures, by)
    return (
        f"but “{turn.step.title}” took that away ({place})",
        [Note(f"“{act}” takes away: {condition}", turn.step.span)],
    )


def _never(flow: Flow, path: list[PathEdge], bit: int) -> str:
    """Why a condition never came about on a path."""
    chance = missed(flow, path, bit)
    if chance is None:
        return "nothing brings that"
    step, skipped = chance
    place = f"“{step.title}” ({line(step.span)})"
    return f"{place} is skipped" if skipped else f"{place} is answered with “no”"


def _bringers(flow: Flow, name: str) -> list[str]:
    """Actions that bring a condition, those the procedure already uses first."""
    used = {doing.action for step in flow.procedure.steps() for doing in step.does}
    found = [action.name for action in flow.office.actions.values() if name in action.brings]
    return sorted(found, key=lambda action: action not in used)


def _mend(flow: Flow, name: str, step: Step | None) -> str:
    condition = title(flow.office.conditions, name).lower()
    bringers = _bringers(flow, name)
    where = f"before “{step.title}”" if step else "before the end"
    if not bringers:
        return (
            f"No action brings “{condition}”. Declare one that does, "
            f"or let the items come with it (`handles … from {name}`)."
        )
    choice = listed([f"`does {action}`" for action in bringers[:3]], "or")
    return f"On that path, {where}, put a step that makes it {condition}: {choice}."


def _brought_beside(flow: Flow, index: int, mask: int) -> str | None:
    """The title of a branch beside this node that brings what is missing."""
    for place in flow.paths.nodes[index].places:
        for number, brings in enumerate(flow.help[place.fork]):
            if number != place.branch and brings & mask == mask:
                return flow.paths.after[place.fork][number].label
    return None


def _promise(flow: Flow, mask: int) -> Iterator[Finding]:
    procedure = flow.procedure
    span = procedure.handles_span or procedure.span
    for path, part in _by_path(flow, flow.paths.end, mask):
        conditions, items, first = _named(flow, part)
        condition = title(flow.office.conditions, first).lower()
        turn = last_turn(flow, path, _first(part))
        how, notes = _how_lost(turn, condition) if turn else (_never(flow, path, _first(part)), [])
        yield finding(
            "O02",
            span,
            f"“{procedure.title}” promises {items} {conditions}, but one path ends without: {how}.",
            floor=f"Staff would finish the procedure and take {items} to be {conditions}, which it is not.",
            walk=walk_along(flow, path, _first(part), condition),
            fix=_mend(flow, first, None) + f" Or promise less: leave “{condition}” out of `to`.",
            notes=notes,
            asked_by=asked_by(flow.office, procedure),
            cause=_cause(flow, first),
        )


def _how_lost(turn: Turn, condition: str) -> tuple[str, list[Note]]:
    step = turn.step
    note = [Note(f"from here on: not {condition}", step.span)]
    if turn.by:
        return f"lost at {line(step.span)} (“{step.title}”) and not restored", note
    return f"a “no” at {line(step.span)} (“{step.title}”) and nothing that mends it", note


def _at_odds(flow: Flow, clash: Clash) -> Finding:
    conditions, items, _ = _named(flow, clash.mask)
    ways = flow.paths.after[clash.fork]
    one, other = ways[clash.one].label, ways[clash.other].label
    notes = [
        Note(f"“{one}” needs or brings: {conditions}", _place(flow, clash.fork, clash.one, clash.mask, False)),
        Note(f"“{other}” takes it away", _place(flow, clash.fork, clash.other, clash.mask, True)),
    ]
    return finding(
        "O04",
        flow.paths.nodes[clash.fork].span,
        f"Side by side, “{one}” counts on {items} being {conditions} while “{other}” may take that away.",
        floor="Which of the two comes first is left to chance: on one day it works, on the next it does not.",
        fix="Put the two branches one after the other, in the order that is right.",
        notes=notes,
    )


def _place(flow: Flow, fork: int, branch: int, mask: int, taking: bool) -> Span:
    """The first step in a branch that takes these conditions, or that needs or brings them."""
    for node, where in flow.paths.inside(fork):
        if where != branch or node.kind is not NodeKind.STEP:
            continue
        for effect in flow.effects[node.index]:
            touched = effect.takes if taking else effect.needs | effect.brings
            if touched & mask:
                return effect.span
    return flow.paths.nodes[fork].span
