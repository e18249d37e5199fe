"""How wide the lanes of a chart are, and which stretch across the page each symbol takes."""

from __future__ import annotations

from dataclasses import dataclass

from sopc.render.flowchart.arrange import Arrangement, Cell, Lane
from sopc.render.flowchart.chart import Chart, EdgeKind, Symbol, TypeSizes
from sopc.render.flowchart.scene import Rect
from sopc.render.flowchart.shapes import Unit, set_unit

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


def set_all(chart: Chart, arrangement: Arrangement, columns: Columns, sizes: TypeSizes) -> dict[str, Unit]:
    """Set every step to the width of its cell."""
    exits: dict[str, int] = {}
    for edge in chart.edges:
        exits[edge.source] = exits.get(edge.source, 0) + 1
    units: dict[str, Unit] = {}
    for node in chart.nodes:
        left, right = columns.span(arrangement.cells[node.id])
        crowded = node.symbol is Symbol.DECISION and exits.get(node.id, 0) > 3
        units[node.id] = set_unit(node, round(right - left, 2), sizes, crowded)
    return units


def is_bar(unit: Unit) -> bool:
    """Tell whether the symbol is a double bar, which lines may meet anywhere along its length."""
    return unit.node.symbol is Symbol.PARALLEL_MODE


def centre(columns: Columns, cell: Cell) -> float:
    """Return the x where the flow enters and leaves a cell."""
    left, right = columns.span(cell)
    return (left + right) / 2


def symbol_rect(unit: Unit, left: float, top: float) -> Rect:
    """Return where a unit's symbol lies when the unit's corner is placed."""
    return unit.outline.rect.moved(left, top)


def goes_back(kind: EdgeKind, source: Cell, target: Cell) -> bool:
    """Tell whether a line runs against the reading direction."""
    return target.row <= source.row
