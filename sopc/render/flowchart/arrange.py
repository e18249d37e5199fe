"""Gives every symbol a row and a lane; the rows are the ranks that Graphviz finds."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from enum import Enum
from itertools import pairwise

from sopc.render import engine
from sopc.render.flowchart.chart import Chart, EdgeKind, Symbol
from sopc.render.flowchart.structure import Block, Structure, read_structure


class Lane(Enum):
    """Where across the page a symbol stands."""

    MAIN = "main"
    BRANCH = "branch"
    SIDE = "side"


@dataclass(frozen=True, slots=True)
class Cell:
    """The place of one symbol: its row from the top, its lane, and within a block its column of how many.

    For the symbols that open and close side-by-side branches `columns` is the number of branches between.
    """

    row: int
    lane: Lane
    column: int = 0
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Places of all symbols; `blocks` are those whose branches stand side by side.

    `level` gives the question beside which the head of an aside stands.
    """

    cells: dict[str, Cell]
    rows: int
    side_lane: bool
    blocks: tuple[Block, ...]
    structure: Structure
    level: Mapping[str, str] = field(default_factory=dict)

    def row_members(self) -> list[list[str]]:
        """Return the node ids of each row from left to right."""
        members: list[list[str]] = [[] for _ in range(self.rows)]
        for node, cell in self.cells.items():
            members[cell.row].append(node)
        for row in members:
            row.sort(key=lambda node: (self.cells[node].lane is Lane.SIDE, self.cells[node].column, node))
        return members


def arrange(chart: Chart, side_lane: bool, stacked: Collection[str] = ()) -> Arrangement:
    """Place the symbols.

    With `side_lane` the asides stand beside the main line, without it below its end; what only one question
    leads to stands level with it, so that no page ends between the two. Branches opened by a node in `stacked`
    stand one below the other instead of side by side.
    """
    structure = read_structure(chart)
    blocks = tuple(block for block in structure.blocks if block.opener not in stacked and _roomy(block, chart))
    level = _level_with(chart, structure, blocks) if side_lane else {}
    names = {node.id: f"n{index:04d}" for index, node in enumerate(chart.nodes)}
    spots = _spots(engine.layout(dot_source(chart, structure, side_lane, blocks, names, level)))
    levels = sorted({y for _, y in spots.values()}, reverse=True)
    rows = {node: levels.index(spots[names[level.get(node, node)]][1]) for node in names}
    cells = {node: Cell(rows[node], Lane.MAIN) for node in rows}
    for aside in structure.asides if side_lane else ():
        cells.update({node: Cell(rows[node], Lane.SIDE) for node in aside})
    for block in blocks:
        count = len(block.branches)
        ordered = sorted(block.branches, key=lambda branch: spots[names[branch[0]]][0])
        for column, branch in enumerate(ordered):
            cells.update({node: Cell(rows[node], Lane.BRANCH, column, count) for node in branch})
        for bar in (block.opener, block.closer) if block.parallel else ():
            if bar is not None:
                cells[bar] = Cell(rows[bar], Lane.MAIN, 0, count)
    used = side_lane and bool(structure.asides)
    return Arrangement(cells, len(levels), used, blocks, structure, level)


def _level_with(chart: Chart, structure: Structure, blocks: Collection[Block]) -> dict[str, str]:
    """Return the heads of asides that stand level with the one question of the main line that leads to them."""
    inner = {node for block in blocks for branch in block.branches for node in branch}
    inner |= {node for block in blocks for node in (block.opener, block.closer) if node is not None}
    aside_nodes = {node for aside in structure.asides for node in aside}
    decisions = {node.id for node in chart.nodes if node.symbol is Symbol.DECISION}
    askers = decisions - inner - aside_nodes
    found: dict[str, str] = {}
    for aside in structure.asides:
        entries = [edge for edge in chart.edges if edge.target == aside[0]]
        if aside[0] not in decisions and len(entries) == 1 and entries[0].source in askers - set(found.values()):
            found[aside[0]] = entries[0].source
    return found


def _roomy(block: Block, chart: Chart) -> bool:
    """Tell whether no line has to leave a branch that is shut in between two others."""
    if any(len(branch) == 0 for branch in block.branches) or len(block.branches) < 2:
        return False
    inner = {node for branch in block.branches[1:-1] for node in branch}
    members = {node for branch in block.branches for node in branch} | {block.closer}
    for edge in chart.edges:
        if edge.source in inner and (edge.target not in members or edge.kind is not EdgeKind.MAIN):
            return False
    return True


def dot_source(
    chart: Chart,
    structure: Structure,
    side_lane: bool,
    blocks: Collection[Block],
    names: dict[str, str],
    level: Mapping[str, str] | None = None,
) -> str:
    """Return the graph in DOT: bare boxes of even size, no text, only lines that set the order of rows.

    What stands level with a question is not in it.
    """
    import graphviz

    graph = graphviz.Digraph(
        graph_attr={
            "rankdir": "TB",
            "newrank": "true",
            "ordering": "out",
            "nodesep": "0.5",
            "ranksep": "0.5",
        },
        node_attr={"shape": "box", "fixedsize": "true", "label": "", "width": "1", "height": "0.5"},
        edge_attr={"arrowhead": "none"},
    )
    for name in sorted(name for node, name in names.items() if node not in (level or {})):
        graph.node(name)
    for source, target, weight in _order_lines(chart, structure, side_lane, blocks, level or {}):
        graph.edge(names[source], names[target], weight=str(weight))
    return str(graph.source)


def _order_lines(
    chart: Chart, structure: Structure, side_lane: bool, blocks: Collection[Block], level: Mapping[str, str]
) -> list[tuple[str, str, int]]:
    """Return which symbol must stand above which other, with how strongly to keep them close."""
    lines: list[tuple[str, str, int]] = []
    beside = {block.opener for block in blocks}
    blocks_at = {block.opener: block for block in structure.blocks}
    ends = [structure.spine[0]]
    for node in structure.spine:
        # Weaker than what holds a branch to its opener: short branches hang from the top, not from below.
        lines += [(end, node, 10 if len(ends) == 1 else 1) for end in ends if end != node]
        ends = [node]
        block = blocks_at.get(node)
        if block is None:
            continue
        if node in beside:
            lines += [(node, branch[0], 10) for branch in block.branches]
            lines += [pair for branch in block.branches for pair in _in_line(branch)]
            ends = [branch[-1] for branch in block.branches]
        else:
            through = (node, *(member for branch in _main_first(block, chart) for member in branch))
            lines += _in_line(through)
            ends = [through[-1]]
    if side_lane:
        return lines + _aside_lines(chart, structure, level)
    below = ends[-1]
    for end in ends[:-1]:
        lines += [(end, aside[0], 1) for aside in structure.asides[:1]]
    for aside in structure.asides:
        lines += _in_line((below, *aside))
        below = aside[-1]
    return lines


def _main_first(block: Block, chart: Chart) -> list[tuple[str, ...]]:
    """Return the branches with the one that the main exit leads to on top, as they follow each other down."""
    main = {e.target for e in chart.edges if e.source == block.opener and e.kind is EdgeKind.MAIN}
    return sorted(block.branches, key=lambda branch: branch[0] not in main)


def _aside_lines(chart: Chart, structure: Structure, level: Mapping[str, str]) -> list[tuple[str, str, int]]:
    """Hang each aside under where it leaves from, below earlier asides, above the place it returns to.

    For one that begins level with a question, the question stands in the place of its head.
    """
    lines: list[tuple[str, str, int]] = []
    spine = {node: index for index, node in enumerate(structure.spine)}
    for block in structure.blocks:
        spine.update({node: spine[block.opener] for branch in block.branches for node in branch})
    before: str | None = None
    for aside in structure.asides:
        sources = [edge.source for edge in chart.edges if edge.target == aside[0] and edge.source not in aside]
        chain = (level.get(aside[0], aside[0]), *aside[1:])
        if chain[0] == aside[0]:
            lines += [(level.get(source, source), chain[0], 2) for source in sources[:1]]
        lines += _in_line(chain)
        if before is not None and (before not in sources[:1] or chain[0] != aside[0]) and before != chain[0]:
            lines.append((before, chain[0], 1))
        before = chain[-1]
        start = min((spine[source] for source in sources if source in spine), default=len(spine))
        for edge in chart.edges:
            if edge.source in aside and edge.kind is not EdgeKind.LOOP and spine.get(edge.target, -1) > start:
                lines.append((level.get(edge.source, edge.source), edge.target, 1))
    return lines


def _in_line(chain: tuple[str, ...]) -> list[tuple[str, str, int]]:
    return [(upper, lower, 10) for upper, lower in pairwise(chain)]


def _spots(answer: bytes) -> dict[str, tuple[float, float]]:
    spots: dict[str, tuple[float, float]] = {}
    for thing in json.loads(answer)["objects"]:
        x, y = thing["pos"].split(",")
        spots[thing["name"]] = (float(x), float(y))
    return spots
