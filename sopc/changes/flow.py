"""Compares the steps of two procedures as a tree: what came, went, moved, and what became of each choice and branch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sopc.changes.matching import matched, staying
from sopc.changes.meaning import likeness
from sopc.changes.saying import leaf_words
from sopc.model.nouns import Branch, Choice, Part, Procedure, Step, Together, Way, steps_of

ROOT = "root"
Holder = Choice | Together | Way | Branch


@dataclass(frozen=True, slots=True)
class Node:
    """A step or a container of steps, with where it stands."""

    id: str
    parent: str
    record: Step | Holder
    steps: frozenset[str]


@dataclass(frozen=True, slots=True)
class Tree:
    """A procedure's parts by id, in the order of the text, and each container's children in theirs."""

    nodes: dict[str, Node] = field(default_factory=dict)
    children: dict[str, list[str]] = field(default_factory=dict)


def tree_of(procedure: Procedure) -> Tree:
    """The tree of a procedure; steps go by name, containers by number."""
    tree = Tree()
    tree.children[ROOT] = []
    _grow(tree, ROOT, procedure.parts)
    return tree


def _grow(tree: Tree, parent: str, parts: tuple[Part, ...]) -> None:
    for part in parts:
        if isinstance(part, Step):
            _add(tree, f"step {part.name}", parent, part, frozenset({part.name}))
            continue
        own = f"container {len(tree.nodes)}"
        _add(tree, own, parent, part, _names((part,)))
        arms: tuple[Way | Branch, ...] = part.ways if isinstance(part, Choice) else part.branches
        for arm in arms:
            id = f"container {len(tree.nodes)}"
            _add(tree, id, own, arm, _names(arm.parts))
            _grow(tree, id, arm.parts)


def _add(tree: Tree, id: str, parent: str, record: Step | Holder, steps: frozenset[str]) -> None:
    tree.nodes[id] = Node(id, parent, record, steps)
    tree.children[parent].append(id)
    if not isinstance(record, Step):
        tree.children[id] = []


def _names(parts: tuple[Part, ...]) -> frozenset[str]:
    return frozenset(step.name for step in steps_of(parts))


@dataclass(frozen=True, slots=True)
class Flow:
    """What became of what: pairs of nodes, and the nodes that came, went or moved (containers, then contents)."""

    old: Tree
    new: Tree
    pairs: tuple[tuple[Node, Node], ...]
    added: tuple[Node, ...]
    removed: tuple[Node, ...]
    moved: tuple[tuple[Node, Node], ...]
    step_names: dict[str, str]


def compare_flow(old: Procedure, new: Procedure) -> Flow:
    """Match two procedures' parts; what comes or goes with its container is not named again."""
    before, after = tree_of(old), tree_of(new)
    old_steps = {step.name: step for step in old.steps()}
    new_steps = {step.name: step for step in new.steps()}
    step_pairs = matched(old_steps, new_steps, lambda step: f"{step.title} {leaf_words(step)}")
    names = dict(step_pairs)
    became = {f"step {one}": f"step {two}" for one, two in step_pairs}
    became |= _match_containers(before, after, names, ROOT, ROOT, [])
    came_from = {two: one for one, two in became.items()}
    pairs = tuple((before.nodes[one], after.nodes[two]) for one, two in became.items())
    added = [node for node in after.nodes.values() if node.id not in came_from]
    removed = [node for node in before.nodes.values() if node.id not in became]
    gone, come = {node.id for node in removed}, {node.id for node in added}
    return Flow(
        before,
        after,
        pairs,
        tuple(node for node in added if node.parent not in come),
        tuple(node for node in removed if node.parent not in gone),
        tuple(_moved(before, after, became, came_from)),
        names,
    )


def _match_containers(
    before: Tree, after: Tree, names: dict[str, str], one: str, two: str, taken: list[str]
) -> dict[str, str]:
    """Containers below two matched ones that are the same: those with most of their steps or words in common."""
    became: dict[str, str] = {}
    free = [before.nodes[id] for id in _containers(before)] if one == ROOT else _below(before, one)
    for node in free:
        if isinstance(node.record, Way | Branch) and one == ROOT:
            continue
        others = [after.nodes[id] for id in _containers(after)] if two == ROOT else _below(after, two)
        same = [other for other in others if type(other.record) is type(node.record) and other.id not in taken]
        scored = [(_sameness(node, other, names), -place) for place, other in enumerate(same)]
        if not scored or max(scored)[0] < 0.34:
            continue
        best = same[-max(scored)[1]]
        taken.append(best.id)
        became[node.id] = best.id
        if isinstance(node.record, Choice | Together):
            became |= _match_containers(before, after, names, node.id, best.id, taken)
    return became


def _containers(tree: Tree) -> list[str]:
    return [node.id for node in tree.nodes.values() if not isinstance(node.record, Step)]


def _below(tree: Tree, id: str) -> list[Node]:
    return [tree.nodes[child] for child in tree.children[id] if not isinstance(tree.nodes[child].record, Step)]


def _sameness(one: Node, two: Node, names: dict[str, str]) -> float:
    renamed = {names.get(name, name) for name in one.steps}
    together = renamed | two.steps
    share = len(renamed & two.steps) / len(together) if together else 0.0
    return max(share, likeness(heading(one.record), heading(two.record)) * 0.9)


def heading(record: Step | Holder) -> str:
    """The words over a part: a step's title, a choice's question, a way's or branch's title."""
    if isinstance(record, Choice):
        return record.question
    return "" if isinstance(record, Together) else record.title


def _moved(before: Tree, after: Tree, became: dict[str, str], came_from: dict[str, str]) -> Iterator[tuple[Node, Node]]:
    """Parts that stand under another container, or out of order among those that stayed."""
    for parent, children in after.children.items():
        home = ROOT if parent == ROOT else came_from.get(parent, "")
        known = [id for id in children if id in came_from]
        stayed = [id for id in known if before.nodes[came_from[id]].parent == home]
        places = {id: place for place, id in enumerate(before.children.get(home, []))}
        order = [places[came_from[id]] for id in stayed]
        keep = staying(order)
        still = {stayed[place] for place in keep}
        for id in known:
            if id not in still:
                yield before.nodes[came_from[id]], after.nodes[id]


def stands_after(tree: Tree, node: Node) -> str:
    """Where a part stands: after which, or first, and in which way or branch."""
    siblings = tree.children[node.parent]
    place = siblings.index(node.id)
    ahead = tree.nodes[siblings[place - 1]] if place else None
    inside = tree.nodes.get(node.parent)
    within = f" in “{heading(inside.record)}”" if inside and heading(inside.record) else ""
    if ahead is None:
        return f"first{within}"
    return f"after {describe(ahead)}{within}"


def describe(node: Node) -> str:
    """A part by number and words: step 4 “Rinse”, the choice “Which way?”."""
    record = node.record
    if isinstance(record, Step):
        return f"step {record.number} “{record.title}”"
    if isinstance(record, Together):
        titles = " and ".join(f"“{branch.title}”" for branch in record.branches)
        return f"branches {titles} side by side"
    word = "choice" if isinstance(record, Choice) else "way" if isinstance(record, Way) else "branch"
    return f"{word} “{heading(record)}”"


def content(node: Node) -> str:
    """A part and what is in it, in one line."""
    record = node.record
    if isinstance(record, Step):
        return record.title
    parts = record.parts if isinstance(record, Way | Branch) else (record,)
    steps = "; ".join(step.title for step in steps_of(parts))
    return f"{describe(node)}: {steps}" if steps else describe(node)
