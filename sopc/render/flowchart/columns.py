"""How wide the lanes of a chart are, and which stretch across the page each symbol takes."""

from __future__ import annotations

from dataclasses import dataclass

from sopc.render.flowchart.arrange import Arrangement, Cell, Lane
from sopc.render.flowchart.chart import Chart, Symbol, TypeSizes
from sopc.render.flowchart.shapes import DIAMOND_SHARE, Unit, set_unit
from sopc.render.flowchart.spacing import Spacing, label_width

SIDE_AT = 100_000.0
"""Where the side lane begins while its true place is not known yet; far right of everything else."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths in points; x is counted from the middle of the main line."""

    main: float
    block: float
    side: float
    gap: float

    def branch(self, columns: int) -> float:
        """Return the width of one of so many side-by-side branches."""
        return min(self.main, (self.block - (columns - 1) * self.gap) / columns)

    def span(self, cell: Cell) -> tuple[float, float]:
        """Return left and right of a cell."""
        if cell.lane is Lane.SIDE:
            return SIDE_AT, SIDE_AT + self.side
        if cell.columns == 1:
            return -self.main / 2, self.main / 2
        each = self.branch(cell.columns)
        half = (cell.columns * each + (cell.columns - 1) * self.gap) / 2
        if cell.lane is Lane.MAIN:
            return -half, half
        left = -half + cell.column * (each + self.gap)
        return left, left + each

    def reach(self, arrangement: Arrangement) -> float:
        """Return how far the main line and its branches reach to either side of their middle."""
        return max(self.span(cell)[1] for cell in arrangement.cells.values() if cell.lane is not Lane.SIDE)


def set_all(
    chart: Chart, arrangement: Arrangement, columns: Columns, sizes: TypeSizes, space: Spacing
) -> dict[str, Unit]:
    """Set every step to the width of its cell."""
    exits: dict[str, int] = {}
    for edge in chart.edges:
        exits[edge.source] = exits.get(edge.source, 0) + 1
    shares = _choice_shares(chart, arrangement, columns, space)
    units: dict[str, Unit] = {}
    for node in chart.nodes:
        left, right = columns.span(arrangement.cells[node.id])
        crowded = node.symbol is Symbol.DECISION and exits.get(node.id, 0) > 3
        share = shares.get(node.id, DIAMOND_SHARE)
        units[node.id] = set_unit(node, round(right - left, 2), sizes, crowded, share)
    return units


def _choice_shares(chart: Chart, arrangement: Arrangement, columns: Columns, space: Spacing) -> dict[str, float]:
    """Return how broad a decision may be whose exits go across and down into the branches beside it."""
    shares: dict[str, float] = {}
    for block in arrangement.blocks:
        if block.parallel:
            continue
        labels = [label_width(edge, space) for edge in chart.edges if edge.source == block.opener]
        across = columns.branch(len(block.branches)) + columns.gap
        room = 2 * (across - max(labels, default=0.0) - 0.6 * space.em)
        shares[block.opener] = round(min(DIAMOND_SHARE, max(0.4, room / columns.main)), 3)
    return shares


def is_bar(unit: Unit) -> bool:
    """Tell whether the symbol is a double bar, which lines may meet anywhere along its length."""
    return unit.node.symbol is Symbol.PARALLEL_MODE


def centre(columns: Columns, cell: Cell) -> float:
    """Return the x where the flow enters and leaves a cell."""
    left, right = columns.span(cell)
    return (left + right) / 2
