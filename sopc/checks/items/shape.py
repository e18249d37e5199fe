"""Do the paths lead somewhere: every step reached, every loop left, every answer followed by something."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, PathNode, Paths, outcomes_of, paths_of, performed_in
from sopc.checks.report import finding, line, title
from sopc.checks.walk import as_sentence, said
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Office, Procedure, Repeat, Step

ENDS = frozenset({NodeKind.STOP, NodeKind.END})
COUNTED = 9
"""Passes that somebody at work may be expected to keep count of: those that one digit says."""


def check(office: Office) -> Iterator[Finding]:
    """Hold what paths promise.

    1. Some path leads to every step (O10).
    2. From every step some path leads to an end (O11).
    3. Every repeat has a limit (O12), and says what follows when it is used up (O15).
    4. `go to` never leads back: a way back is a repeat with a limit (O13).
    5. Every check says what follows on “no” (O14).
    6. No procedure performs itself, directly or through others (O16).
    7. No jump leads into or out of a branch done side by side (O17).
    8. A repeat leads back, never ahead (O18).
    9. A procedure has steps (O19).
    10. The limit of a repeat is one that people can keep count of (O24).
    """
    for procedure in office.procedures.values():
        if not any(True for _ in procedure.steps()):
            yield _empty(procedure)
        paths = paths_of(procedure)
        yield from _unreached(procedure, paths)
        trapped = _trapped(paths)
        yield from _circles(procedure, paths, trapped)
        yield from _jumps(paths, trapped)
        places = {step.name: place for place, step in enumerate(procedure.steps())}
        for step in procedure.steps():
            yield from _answers(step)
            yield from _repeats_ahead(step, places)
    yield from _performing_circles(office)


def _empty(procedure: Procedure) -> Finding:
    return finding(
        "O19",
        procedure.span,
        f"“{procedure.title}” has no steps.",
        floor="The page has a head and nothing to do; what it is said to meet, it does not.",
        fix='Write what is done: `step first "…" { }`.',
    )


def _unreached(procedure: Procedure, paths: Paths) -> Iterator[Finding]:
    reachable = paths.reachable()
    told = False
    for node in paths.nodes:
        if node.index in reachable:
            told = told and node.kind is not NodeKind.STEP
            continue
        # What follows an unreached step is unreached because of it: one finding for the stretch.
        if node.kind is not NodeKind.STEP or node.step is None or told:
            continue
        told = True
        before = [earlier for earlier in paths.nodes[: node.index] if earlier.index in reachable]
        yield _unreached_step(procedure, paths, node, before)


def _unreached_step(procedure: Procedure, paths: Paths, node: PathNode, before: list[PathNode]) -> Finding:
    leaving = next((each.step for each in reversed(before) if each.step is not None), None)
    where = (
        f" What stands before it, “{leaving.title}” ({line(leaving.span)}), always goes elsewhere." if leaving else ""
    )
    return finding(
        "O10",
        node.span,
        f"No path leads to “{node.text}”.{where}",
        floor="The step is printed, and no one who follows the page ever does it.",
        fix="Let a step before it go on to it (drop its `next …`), or take the step out.",
        notes=[Note("this one goes elsewhere", leaving.span)] if leaving else [],
    )


def _trapped(paths: Paths) -> frozenset[int]:
    """Nodes from which no end can be reached; what is left open elsewhere counts as an end."""
    exits = {node.index for node in paths.nodes if node.kind in ENDS}
    for node in paths.nodes:
        kinds = {edge.kind for edge in paths.after[node.index]}
        if not kinds or (node.kind is NodeKind.REPEAT and EdgeKind.USED_UP not in kinds):
            exits.add(node.index)
    return paths.reachable() - paths.leading_to(exits)


def _circles(procedure: Procedure, paths: Paths, trapped: frozenset[int]) -> Iterator[Finding]:
    if not trapped:
        return
    inside = [paths.nodes[index] for index in sorted(trapped)]
    steps = [node for node in inside if node.kind is NodeKind.STEP]
    first = steps[0] if steps else inside[0]
    back = [edge for index in sorted(trapped) for edge in paths.after[index] if paths.back(edge)]
    walk = [WalkStep(as_sentence(said(node.step)), node.span) for node in steps if node.step is not None]
    if back:
        target = paths.nodes[back[0].target].step
        walk.append(WalkStep(f"Back to {said(target)}, and so on for ever" if target else "And so on"))
    yield finding(
        "O11",
        first.span,
        f"From “{first.text}” on, “{procedure.title}” never comes to an end.",
        floor="Staff go round in a circle, and the item is never finished.",
        walk=walk,
        fix="Let one of these steps ask something (`check “…” else …`), or end with `next stop “…”`.",
        cause=f"circle {procedure.name}",
    )


def _jumps(paths: Paths, trapped: frozenset[int]) -> Iterator[Finding]:
    for edge in paths.edges:
        source, target = paths.nodes[edge.source], paths.nodes[edge.target]
        if paths.crosses(edge):
            yield _crossing(source, target)
        elif edge.kind is EdgeKind.GO_TO and paths.back(edge) and edge.source not in trapped:
            yield _back(edge, source, target)


def _crossing(source: PathNode, target: PathNode) -> Finding:
    goal = target.step.title if target.step else target.text
    into = "into" if len(target.places) >= len(source.places) else "out of"
    return finding(
        "O17",
        source.span,
        f"This leads to “{goal}”, {into} a part done side by side with others.",
        floor="What the other branch is doing at that moment, and whether it is done again, no one can say.",
        fix="Go only to steps of the same branch; put the check behind the side-by-side part if all of it is repeated.",
    )


def _back(edge: PathEdge, source: PathNode, target: PathNode) -> Finding:
    goal = target.step
    name, shown = (goal.name, goal.title) if goal else ("…", target.text)
    return finding(
        "O13",
        edge.fails.span if edge.fails else source.span,
        f"This goes back to “{shown}” ({line(target.span)}) and may do so without end.",
        floor="An item that will not come right is done over and over; no one is told when to give up.",
        fix=f"Write `repeat from {name} at most 2 times then stop “…”` with the number that is right.",
    )


def _answers(step: Step) -> Iterator[Finding]:
    for check in step.checks:
        if check.otherwise is None:
            yield finding(
                "O14",
                check.span,
                f"“{check.question}” has no answer for “no”.",
                floor="Someone looks, sees that it is not so, and the page leaves them standing there.",
                fix="Say it: `else repeat from … at most 2 times then stop “…”`, `else stop “…”` or `else continue`.",
            )
    for _, outcome in outcomes_of(step):
        if not isinstance(outcome, Repeat):
            continue
        if outcome.at_most is None:
            yield finding(
                "O12",
                outcome.span,
                f"The repeat from “{outcome.step}” has no limit.",
                floor="An item that will not come right is done over and over; no one is told when to give up.",
                fix=f"`repeat from {outcome.step} at most 2 times then stop “…”`, with the number that is right.",
            )
            continue
        if outcome.at_most > COUNTED:
            yield _uncounted(outcome)
        if outcome.afterwards is None:
            times = "1 time" if outcome.at_most == 1 else f"{outcome.at_most} times"
            yield finding(
                "O15",
                outcome.span,
                f"After repeating {times} from “{outcome.step}” the page does not say what follows.",
                floor="The last pass fails too, and staff have to make up what to do with the item.",
                fix="Add `then stop “what to do with it”`, or another outcome.",
            )


def _uncounted(outcome: Repeat) -> Finding:
    return finding(
        "O24",
        outcome.span,
        f"“{outcome.step}” is repeated up to {outcome.at_most} times: nobody counts so far.",
        floor="An item that will not come right is done over and over, and what follows the last pass never comes.",
        fix="Write after how many passes it is plain that something else is wrong: one, two or three.",
    )


def _repeats_ahead(step: Step, places: dict[str, int]) -> Iterator[Finding]:
    for _, outcome in outcomes_of(step):
        if isinstance(outcome, Repeat) and places.get(outcome.step, 0) > places[step.name]:
            yield finding(
                "O18",
                outcome.span,
                f"“{outcome.step}” comes only later: nothing of it has been done that could be repeated.",
                floor="Staff skip what lies between, and count passes of something they never began.",
                fix=f"To skip ahead write `go to {outcome.step}`; to repeat name an earlier step.",
            )


def _performing_circles(office: Office) -> Iterator[Finding]:
    calls = {
        procedure.name: [
            (name, step) for step in procedure.steps() for name in performed_in(step) if name in office.procedures
        ]
        for procedure in office.procedures.values()
    }
    done: set[str] = set()
    for start in calls:
        circle = _circle_from(start, calls, done)
        if circle:
            yield _performing_circle(office, circle)


def _circle_from(start: str, calls: dict[str, list[tuple[str, Step]]], done: set[str]) -> list[tuple[str, Step]]:
    """The first circle of calls found from `start`, as (procedure performed, step that does it)."""
    if start in done:
        return []
    trail: list[tuple[str, Step | None, int]] = [(start, None, 0)]
    while trail:
        name, via, place = trail.pop()
        if place == len(calls[name]):
            done.add(name)
            continue
        trail.append((name, via, place + 1))
        inner, step = calls[name][place]
        known = [each[0] for each in trail]
        if inner in known:
            around = trail[known.index(inner) + 1 :]
            done.update(known)
            return [(each, by) for each, by, _ in around if by is not None] + [(inner, step)]
        if inner not in done:
            trail.append((inner, step, 0))
    return []


def _performing_circle(office: Office, circle: list[tuple[str, Step]]) -> Finding:
    last = circle[-1][1]
    names = [title(office.procedures, name) for name, _ in circle]
    if len(circle) == 1:
        sentence = f"The procedure “{names[0]}” performs itself."
    else:
        sentence = f"Procedures perform each other in a circle: “{'”, “'.join((names[-1], *names))}”."
    return finding(
        "O16",
        last.span,
        sentence,
        floor="Whoever follows the pages turns from one to the next and never comes back.",
        walk=[
            WalkStep(f"“{step.title}” performs “{title(office.procedures, name)}”", step.span) for name, step in circle
        ],
        fix="Take one of these `perform` out, or repeat with a limit inside one procedure.",
    )
