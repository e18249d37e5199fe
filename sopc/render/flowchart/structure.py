"""Reads the shape of a procedure out of a chart: its main line, its side-by-side branches and its asides."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from sopc.render.flowchart.chart import Chart, Edge, EdgeKind, Node, Symbol

_CHOICE_LENGTH = 4


@dataclass(frozen=True, slots=True)
class Block:
    """Branches between the symbol that opens them and the one where they meet again (if they do).

    `parallel` tells branches that are all done (between double bars) from branches of which one is chosen.
    """

    opener: str
    closer: str | None
    branches: tuple[tuple[str, ...], ...]
    parallel: bool


@dataclass(frozen=True, slots=True)
class Structure:
    """Main line from start to end without the branches' inner symbols, the blocks, and all other chains."""

    spine: tuple[str, ...]
    blocks: tuple[Block, ...]
    asides: tuple[tuple[str, ...], ...]


def read_structure(chart: Chart) -> Structure:
    """Return the structure; every node of the chart is in exactly one of spine, branch or aside."""
    return _Reader(chart).read()


def main_successor(node: Node, exits: Collection[Edge]) -> str | None:
    """Return where the straight-down flow goes: the first main exit, or a decision's first exit not back."""
    for edge in exits:
        if edge.kind is EdgeKind.MAIN:
            return edge.target
    if node.symbol is Symbol.DECISION:
        return next((edge.target for edge in exits if edge.kind is not EdgeKind.LOOP), None)
    return None


class _Reader:
    def __init__(self, chart: Chart) -> None:
        self._chart = chart
        self._nodes = {node.id: node for node in chart.nodes}
        self._exits: dict[str, list[Edge]] = {node.id: [] for node in chart.nodes}
        self._entries: dict[str, int] = dict.fromkeys(self._nodes, 0)
        for edge in chart.edges:
            self._exits[edge.source].append(edge)
            self._entries[edge.target] += 1
        self._placed: set[str] = set()
        self._blocks: list[Block] = []

    def read(self) -> Structure:
        spine = self._follow(self._chart.nodes[0].id, frozenset(), outermost=True)
        asides: list[tuple[str, ...]] = []
        order = self._in_order(spine)
        for node in order:
            for edge in self._exits[node]:
                if edge.target not in self._placed:
                    aside = self._follow(edge.target, frozenset(), outermost=False)
                    asides.append(tuple(aside))
                    order.extend(aside)
        for left in self._chart.nodes:
            if left.id not in self._placed:
                asides.append(tuple(self._follow(left.id, frozenset(), outermost=False)))
        return Structure(tuple(spine), tuple(self._blocks), tuple(asides))

    def _in_order(self, spine: list[str]) -> list[str]:
        inner = {block.opener: block for block in self._blocks}
        order: list[str] = []
        for node in spine:
            order.append(node)
            if node in inner:
                order.extend(member for branch in inner[node].branches for member in branch)
        return order

    def _follow(self, start: str, stop: Collection[str], outermost: bool) -> list[str]:
        """Walk the straight-down flow, marking what is passed; blocks inside a branch are laid in line."""
        chain: list[str] = []
        here: str | None = start
        while here is not None and here not in self._placed and here not in stop:
            chain.append(here)
            self._placed.add(here)
            block = self._open_block(here)
            if block is None:
                here = main_successor(self._nodes[here], self._exits[here])
                continue
            heads, closer, parallel = block
            within = frozenset(stop) | ({closer} if closer else set())
            branches = [tuple(self._follow(head, within, outermost=False)) for head in heads]
            if outermost:
                self._blocks.append(Block(here, closer, tuple(b for b in branches if b), parallel))
            else:
                chain.extend(member for branch in branches for member in branch)
            here = closer
        return chain

    def _open_block(self, here: str) -> tuple[list[str], str | None, bool] | None:
        node = self._nodes[here]
        heads = list(dict.fromkeys(e.target for e in self._exits[here] if e.kind is not EdgeKind.LOOP))
        heads = [head for head in heads if head not in self._placed]
        if len(heads) < 2:
            return None
        if node.symbol is Symbol.PARALLEL_MODE:
            return heads, self._meeting(heads, parallel=True), True
        if node.symbol is Symbol.DECISION and len(heads) == 3:
            closer = self._meeting(heads, parallel=False)
            if closer is not None and self._short_and_apart(heads, closer):
                main = main_successor(node, self._exits[here])
                aside = [head for head in heads if head != main]
                return [aside[0], main or heads[0], aside[1]], closer, False
        return None

    def _meeting(self, heads: list[str], parallel: bool) -> str | None:
        """Return the first symbol that the straight-down flow from every head comes to."""
        walks = [list(self._walk(head)) for head in heads]
        for node in walks[0]:
            bar = self._nodes[node].symbol is Symbol.PARALLEL_MODE and self._entries[node] > 1
            if (bar or not parallel) and all(node in walk for walk in walks[1:]):
                return node
        return None

    def _short_and_apart(self, heads: list[str], closer: str) -> bool:
        seen: set[str] = set()
        for head in heads:
            walk = list(self._walk(head))
            inner = walk[: walk.index(closer)]
            if not inner or len(inner) > _CHOICE_LENGTH or seen & set(inner):
                return False
            if any(len(self._exits[node]) > 1 for node in inner):
                return False
            seen |= set(inner)
        return True

    def _walk(self, start: str) -> Iterator[str]:
        passed: set[str] = set()
        here: str | None = start
        while here is not None and here not in passed and here not in self._placed:
            yield here
            passed.add(here)
            onward = [edge for edge in self._exits[here] if edge.kind is not EdgeKind.LOOP]
            here = main_successor(self._nodes[here], onward)
            # A rejoining line of any kind leads on when there is no other way.
            if here is None and len(onward) == 1:
                here = onward[0].target
