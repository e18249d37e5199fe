"""Puts a path through a procedure into words: the steps taken, the answers given, what came and went."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sopc.checks.items.flow import Flow
from sopc.checks.paths import EdgeKind, NodeKind, PathEdge, PathNode, Paths
from sopc.findings import WalkStep
from sopc.model.nouns import Step

LONGEST_RUN = 3  # unremarkable steps in a row that are still listed one by one


@dataclass(frozen=True, slots=True)
class Turn:
    """Where a condition was taken away for the last time on a path."""

    step: Step
    by: str  # the action or procedure, empty when the answer "no" did it


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    node: PathNode
    plain: bool


def said(step: Step) -> str:
    """A step as people speak of it: its printed number and its title."""
    return f"step {step.number} “{step.title}”" if step.number else f"“{step.title}”"


def as_sentence(text: str) -> str:
    """The text with a capital at its beginning."""
    return text[:1].upper() + text[1:]


def walk_along(flow: Flow, path: list[PathEdge], bit: int, condition: str) -> tuple[WalkStep, ...]:
    """Return the witness: every decision on the path, every step, and where the condition came or went."""
    turns: list[str] = []
    held = bool(flow.start & bit)
    for edge in path:
        change = flow.changes[edge]
        now = bool(change.brings & bit) or (held and not change.takes & bit)
        turns.append("" if now == held else f"now {condition}" if now else f"no longer {condition}")
        held = now
    return walk_told(flow.paths, path, turns)


def walk_told(paths: Paths, path: list[PathEdge], turns: Iterable[str]) -> tuple[WalkStep, ...]:
    """Return a path in words: every decision on it, every step, and behind each what `turns` says of its edge."""
    lines: list[_Line] = []
    for edge, turned in zip(path, turns, strict=True):
        lines += _lines(paths, edge, f": {turned}" if turned else "")
    return tuple(_shortened(lines))


def _lines(paths: Paths, edge: PathEdge, turned: str) -> list[_Line]:
    node = paths.nodes[edge.source]
    if node.kind is NodeKind.STEP and node.step is not None:
        lines = [_Line(said(node.step) + turned, node, not turned)]
        if edge.kind is EdgeKind.GO_TO:
            lines.append(_Line(f"on to {_target(paths, edge)}", node, False))
        return lines
    if node.kind is NodeKind.CHECK:
        if edge.fails is None:
            return [_Line(f"“{node.text}” yes{turned}", node, False)] if turned else []
        answer = f"“{node.text}” no{turned}"
        if edge.kind is EdgeKind.GO_TO:
            answer += f"; on to {_target(paths, edge)}"
        return [_Line(answer, node, False)]
    texts = {
        EdgeKind.SKIP: f"{said(node.step)} is skipped: not “{node.text}”" if node.step else "",
        EdgeKind.WAY: f"“{node.text}” {edge.label}",
        EdgeKind.BRANCH: f"side by side, in the branch “{edge.label}”",
        EdgeKind.AGAIN: f"back to {_target(paths, edge)}",
        EdgeKind.USED_UP: "no pass is left",
    }
    if node.kind is NodeKind.PERFORM:
        return [_Line(f"the procedure “{node.text}” is performed{turned}", node, False)]
    text = texts.get(edge.kind, "")
    if node.kind is NodeKind.FORK and len(paths.after[node.index]) < 2:
        return []
    return [_Line(text, node, False)] if text else []


def _target(paths: Paths, edge: PathEdge) -> str:
    step = paths.nodes[edge.target].step
    return said(step) if step else ""


def _shortened(lines: list[_Line]) -> list[WalkStep]:
    found: list[WalkStep] = []
    run: list[_Line] = []
    for line in lines:
        if line.plain:
            run.append(line)
            continue
        found += [*_run(run), _told(line)]
        run = []
    return found + _run(run)


def _run(lines: list[_Line]) -> list[WalkStep]:
    if len(lines) <= LONGEST_RUN:
        return [_told(line) for line in lines]
    between = len(lines) - 2
    middle = WalkStep(f"({between} steps that change nothing here)")
    return [_told(lines[0]), middle, _told(lines[-1])]


def _told(line: _Line) -> WalkStep:
    return WalkStep(as_sentence(line.text), line.node.span)


def last_turn(flow: Flow, path: list[PathEdge], bit: int) -> Turn | None:
    """Where on the path the condition was lost for the last time; None when it never held."""
    held = bool(flow.start & bit)
    turn: Turn | None = None
    for edge in path:
        change = flow.changes[edge]
        now = bool(change.brings & bit) or (held and not change.takes & bit)
        node = flow.paths.nodes[edge.source]
        if held and not now and node.step is not None:
            turn = Turn(node.step, _culprit(flow, edge, bit))
        held = now
    return turn


def missed(flow: Flow, path: list[PathEdge], bit: int) -> tuple[Step, bool] | None:
    """The last step on the path that would have brought the condition, and whether it was skipped.

    When it was done, a check answered no denied it. None when no step on the path would have brought it.
    """
    for edge in reversed(path):
        node = flow.paths.nodes[edge.source]
        skipped = edge.kind is EdgeKind.SKIP
        if node.step is None or not (skipped or edge.fails is not None):
            continue
        place = node.index + 1 if skipped else _step_node(flow, node.step)
        if any(effect.brings & bit for effect in flow.effects.get(place, ())):
            return node.step, skipped
    return None


def _step_node(flow: Flow, step: Step) -> int:
    place = flow.paths.entries.get(step.name, 0)
    return place + 1 if flow.paths.nodes[place].kind is NodeKind.WHEN else place


def _culprit(flow: Flow, edge: PathEdge, bit: int) -> str:
    if edge.fails is not None or edge.completes is None:
        return ""
    effects = flow.effects.get(_step_node(flow, edge.completes), [])
    return next((effect.what for effect in reversed(effects) if effect.takes & bit), "")
