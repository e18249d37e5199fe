"""The fixed parts of a chart page: title, identification, what holds for all steps, legend, foot."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sopc.render import fonts
from sopc.render.flowchart.chart import POINTS_PER_MM, Chart, Paper, Symbol, TypeSizes
from sopc.render.flowchart.scene import Outline, Panel, Rect, Role, Rule, Text
from sopc.render.flowchart.shapes import set_panels
from sopc.render.fonts import LINE_PITCH, Weight

ALL_STEPS = "all steps"
"""Owner of the cautions that belong to no single step."""
_LEGENDS = {
    Symbol.PROCESS: "Step",
    Symbol.MANUAL_OPERATION: "Step by hand",
    Symbol.PREPARATION: "Preparation",
    Symbol.DECISION: "Question",
    Symbol.PREDEFINED_PROCESS: "Another procedure: do it, then come back",
    Symbol.DOCUMENT: "Written down",
    Symbol.DELAY: "Timed wait",
    Symbol.PARALLEL_MODE: "All branches between double bars are done, in any order",
    Symbol.TERMINATOR: "Start or end",
}
_CONNECTED = "A in a circle: goes on at the same letter, on the page named"


@dataclass(frozen=True, slots=True)
class Legend:
    """Where the legend stands: its left, the room it has across, the line it ends above, and the size of its type."""

    left: float
    width: float
    bottom: float
    points: float

    def height(self, symbols: Collection[Symbol], connected: bool) -> float:
        """Return the height that the legend of these symbols takes."""
        rows = self._rows(symbols, connected)
        return (len(rows) * 1.5 + 0.35) * self.points if rows else 0.0

    def entries(self, symbols: Collection[Symbol], connected: bool) -> tuple[list[Outline], list[Text]]:
        """Return small symbols and what they mean, set in rows above the bottom line."""
        outlines: list[Outline] = []
        texts: list[Text] = []
        size = self.points
        rows = self._rows(symbols, connected)
        for index, row in enumerate(rows):
            base = self.bottom - 0.55 * size - (len(rows) - 1 - index) * 1.5 * size
            x = self.left
            for symbol, words in row:
                if symbol is not None:
                    outlines.append(_sign(symbol, x, base, size))
                texts.append(note(x + (2.8 * size if symbol else 0.0), base, words, size, Weight.REGULAR))
                x += self._breadth(symbol, words)
        return outlines, texts

    def _breadth(self, symbol: Symbol | None, words: str) -> float:
        sign = 2.8 * self.points if symbol else 0.0
        return sign + fonts.text_width(words, self.points) + 1.8 * self.points

    def _rows(self, symbols: Collection[Symbol], connected: bool) -> list[list[tuple[Symbol | None, str]]]:
        asked: list[tuple[Symbol | None, str]] = [(each, words) for each, words in _LEGENDS.items() if each in symbols]
        if connected:
            asked.append((None, _CONNECTED))
        rows: list[list[tuple[Symbol | None, str]]] = []
        used = 0.0
        for entry in asked:
            breadth = self._breadth(*entry)
            if not rows or used + breadth - 1.8 * self.points > self.width:
                rows.append([])
                used = 0.0
            rows[-1].append(entry)
            used += breadth
        return rows


def _sign(symbol: Symbol, x: float, base: float, size: float) -> Outline:
    flat = symbol is Symbol.PARALLEL_MODE
    rect = Rect(x, base - (0.55 if flat else 0.85) * size, x + 2.2 * size, base + (-0.15 if flat else 0.15) * size)
    inset = {Symbol.TERMINATOR: 0.5 * size, Symbol.PREDEFINED_PROCESS: 0.3 * size}.get(symbol, 0.0)
    return Outline("", symbol.value, rect, inset)


@dataclass(frozen=True, slots=True)
class Frame:
    """The fixed parts of one page: sheet, title, head and foot, and the area left for the flow."""

    width: float
    height: float
    bounds: Rect
    area: Rect
    texts: tuple[Text, ...] = ()
    rules: tuple[Rule, ...] = ()
    panels: tuple[Panel, ...] = ()
    legend: Legend | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """What stands over the flow of the first page only, from the top of its area down."""

    texts: tuple[Text, ...]
    panels: tuple[Panel, ...]
    height: float
    fits: bool


def head_of(chart: Chart, sizes: TypeSizes, width: float, lines: bool) -> Head:
    """Set what holds for all steps: who and what to wear (with `lines`), then the cautions across the page."""
    texts: list[Text] = []
    y = 0.0
    for line in chart.header if lines else ():
        for part in fonts.wrap(line, sizes.detail, Weight.SEMIBOLD, width):
            texts.append(note(0.0, y + 0.92 * sizes.detail, part, sizes.detail, Weight.SEMIBOLD))
            y += LINE_PITCH * sizes.detail
    y += 0.35 * sizes.step if texts else 0.0
    panels, words, high, excess = set_panels(chart.cautions, ALL_STEPS, width, sizes, sizes.detail)
    texts += [text.moved(0.0, y) for text in words]
    moved = tuple(Panel(p.node, p.signal, p.rect.moved(0.0, y), p.head) for p in panels)
    y += high + (0.6 * sizes.step if panels else 0.0)
    return Head(tuple(texts), moved, y, excess <= 0)


def frame(chart: Chart, paper: Paper, sizes: TypeSizes, page: int, pages: int, steps: str = "") -> Frame:
    """Lay out title, identification, legend and foot of one page; `steps` names the steps that stand on it."""
    width, height = paper.width * POINTS_PER_MM, paper.height * POINTS_PER_MM
    margin = paper.margin * POINTS_PER_MM
    bounds = Rect(margin, margin, width - margin, height - margin)
    texts, y = _title(chart, bounds, sizes, steps)
    identity = "   \u00b7   ".join(part for part in (chart.id, chart.revision and f"Revision {chart.revision}") if part)
    count = f"Page {page} of {pages}"
    room = bounds.width - fonts.text_width(count, sizes.small, Weight.BOLD) - sizes.small
    for index, part in enumerate(fonts.wrap(identity, sizes.small, Weight.REGULAR, room)):
        texts.append(note(bounds.left, y + 0.9 * sizes.small, part, sizes.small, Weight.REGULAR))
        if index == 0:
            texts.append(note(bounds.right, y + 0.9 * sizes.small, count, sizes.small, Weight.BOLD, anchor="end"))
        y += LINE_PITCH * sizes.small
    top = y + 0.45 * sizes.small
    rules = [Rule((bounds.left, top), (bounds.right, top))]
    foot, low = _foot(chart, bounds, sizes)
    texts += foot
    if foot:
        rules.append(Rule((bounds.left, low), (bounds.right, low)))
        low -= 0.2 * sizes.small
    legend = Legend(bounds.left, bounds.width, low, sizes.small)
    low -= legend.height(symbols_of(chart), connected=True)
    area = Rect(bounds.left, top + 0.55 * sizes.step, bounds.right, low - 0.4 * sizes.step)
    return Frame(width, height, bounds, area, tuple(texts), tuple(rules), legend=legend)


def under(around: Frame, head: Head) -> Frame:
    """Return the frame of the first page, with the head on top of its flow."""
    area = around.area
    texts = tuple(text.moved(area.left, area.top) for text in head.texts)
    panels = tuple(Panel(p.node, p.signal, p.rect.moved(area.left, area.top), p.head) for p in head.panels)
    low = Rect(area.left, area.top + head.height, area.right, area.bottom)
    return Frame(
        around.width, around.height, around.bounds, low, (*around.texts, *texts), around.rules, panels, around.legend
    )


def symbols_of(chart: Chart) -> set[Symbol]:
    """Return the symbols that a chart uses."""
    return {node.symbol for node in chart.nodes}


def _title(chart: Chart, bounds: Rect, sizes: TypeSizes, steps: str) -> tuple[list[Text], float]:
    """Set the title with the steps of the page beside it, for which room is kept on every page."""
    texts: list[Text] = []
    longest = max((node.number for node in chart.nodes), key=len, default="")
    kept = fonts.text_width(f"Steps {longest} to {longest}", sizes.step, Weight.BOLD) + sizes.step if longest else 0.0
    y = bounds.top
    for line in fonts.wrap(chart.title, sizes.title, Weight.BOLD, bounds.width - kept):
        texts.append(note(bounds.left, y + 0.75 * sizes.title, line, sizes.title, Weight.BOLD))
        y += LINE_PITCH * sizes.title
    if steps:
        texts.append(note(bounds.right, bounds.top + 0.75 * sizes.title, steps, sizes.step, Weight.BOLD, anchor="end"))
    return texts, y


def note(x: float, y: float, content: str, points: float, weight: Weight, anchor: str = "start") -> Text:
    """Return one line of what is not part of the flow."""
    return Text(x, y, content, points, weight, anchor, role=Role.FURNITURE)


def _foot(chart: Chart, bounds: Rect, sizes: TypeSizes) -> tuple[list[Text], float]:
    lines = [part for line in chart.footer for part in fonts.wrap(line, sizes.small, Weight.REGULAR, bounds.width)]
    pitch = LINE_PITCH * sizes.small
    top = bounds.bottom - len(lines) * pitch
    texts = [
        note(bounds.left, top + index * pitch + 0.9 * sizes.small, line, sizes.small, Weight.REGULAR)
        for index, line in enumerate(lines)
    ]
    return texts, top - 0.4 * sizes.small if lines else bounds.bottom
