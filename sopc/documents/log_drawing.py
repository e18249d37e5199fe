"""Draws the grid of a log leaf: all lines in a few paths, so that a year of empty sheets renders fast."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from sopc.documents.log_grid import (
    HEAD_POINTS,
    LINE_STEP,
    MM_PER_POINT,
    PADDING,
    Cell,
    Lane,
    Leaf,
    Line,
    box_widths,
    head_lines,
    label_lines,
    mm,
)
from sopc.render.fonts import Weight

HATCH_PITCH = 2.0
TICK_BOX = 4.4
GROUP_OF_ROWS = 5


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: where its base line starts (anchor "start") or has its middle, in millimetres."""

    x: float
    y: float
    text: str
    points: float
    weight: int = 400
    anchor: str = "start"

    @property
    def left(self) -> float:
        """Where the text begins."""
        if self.anchor == "start":
            return self.x
        return self.x - mm(self.text, self.points, Weight(self.weight)) / 2


@dataclass(frozen=True, slots=True)
class Block:
    """Lines of text of one look at one pitch under each other: one box for the layout engine instead of many."""

    left: float
    top: float
    pitch: float
    points: float
    weight: int
    lines: tuple[str, ...]


@dataclass(slots=True)
class Drawing:
    """Paths by how they are inked, and the texts; lengths in millimetres."""

    width: float
    height: float
    thin: list[str] = field(default_factory=list)
    heavy: list[str] = field(default_factory=list)
    grey: list[str] = field(default_factory=list)
    white: list[str] = field(default_factory=list)
    hatch: list[str] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    turned: list[Text] = field(default_factory=list)  # read from below

    def blocks(self) -> list[Block]:
        """The texts, those that stand evenly under each other as one."""
        columns: dict[tuple[float, float, int], list[Text]] = {}
        for text in self.texts:
            columns.setdefault((round(text.left, 2), text.points, text.weight), []).append(text)
        return [block for texts in columns.values() for block in _stacks(texts)]


LONE_PITCH = 4.0
BASE_BELOW_MIDDLE = 0.3555  # ems from the middle of a line to its base line, for the bundled face


def _stacks(texts: list[Text]) -> Iterator[Block]:
    texts = sorted(texts, key=lambda text: text.y)
    start = 0
    while start < len(texts):
        end = start + 1
        pitch = texts[end].y - texts[start].y if end < len(texts) else 0.0
        while end < len(texts) and pitch > 2.0 and abs(texts[end].y - texts[end - 1].y - pitch) < 0.01:
            end += 1
        lines = texts[start:end]
        pitch = pitch if end - start > 1 else LONE_PITCH
        size = lines[0].points * MM_PER_POINT
        top = lines[0].y - pitch / 2 - BASE_BELOW_MIDDLE * size
        words = tuple(line.text for line in lines)
        yield Block(round(lines[0].left, 2), round(top, 2), round(pitch, 3), lines[0].points, lines[0].weight, words)
        start = end


def draw(leaf: Leaf) -> Drawing:
    """Return everything inked in the grid of one leaf."""
    drawing = Drawing(round(leaf.width, 2), round(leaf.height, 2))
    _shade(leaf, drawing)
    _rule(leaf, drawing)
    _head(leaf, drawing)
    _labels(leaf, drawing)
    _boxes(leaf, drawing)
    return drawing


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    if y1 == y2:
        return f"M{_number(x1)} {_number(y1)}H{_number(x2)}"
    if x1 == x2:
        return f"M{_number(x1)} {_number(y1)}V{_number(y2)}"
    return f"M{_number(x1)} {_number(y1)}L{_number(x2)} {_number(y2)}"


def _box(x: float, y: float, width: float, height: float) -> str:
    return f"M{_number(x)} {_number(y)}h{_number(width)}v{_number(height)}h{_number(-width)}z"


def hatch_lines(x: float, y: float, width: float, height: float) -> Iterator[str]:
    """Lines rising at 45°, 2 mm apart square to them, cut to the box; in step across neighbouring boxes."""
    step = HATCH_PITCH * 2**0.5
    low, high = x + y, x + y + width + height
    total = (int(low // step) + 1) * step
    while total < high:
        left = max(x, total - y - height)
        right = min(x + width, total - y)
        if right - left > 0.05:
            yield _line(left, total - left, right, total - right)
        total += step


# ── Closed days and boxes that are not due ──────────────────────────────────────────────────────


def _shade(leaf: Leaf, drawing: Drawing) -> None:
    """Closed days grey and hatched from edge to edge; boxes that are not due struck by a short line."""
    xs, ys = leaf.lane_edges(), leaf.line_edges()
    for row, line in enumerate(leaf.lines):
        if line.closed:
            _closed_area(drawing, xs[0], ys[row], xs[-1] - xs[0], ys[row + 1] - ys[row])
    for index, lane in enumerate(leaf.lanes):
        if lane.closed:
            _closed_area(drawing, xs[index], ys[0], xs[index + 1] - xs[index], ys[-1] - ys[0])
    for row, line in enumerate(leaf.lines):
        for index, cell in enumerate(line.cells):
            if cell is Cell.NOT_DUE:
                middle, half = (ys[row] + ys[row + 1]) / 2, min(3.0, (xs[index + 1] - xs[index]) / 4)
                centre = (xs[index] + xs[index + 1]) / 2
                drawing.heavy.append(_line(centre - half, middle, centre + half, middle))


def _closed_area(drawing: Drawing, x: float, y: float, width: float, height: float) -> None:
    drawing.grey.append(_box(x, y, width, height))
    drawing.hatch.extend(hatch_lines(x, y, width, height))


# ── Lines ───────────────────────────────────────────────────────────────────────────────────────


def _rule(leaf: Leaf, drawing: Drawing) -> None:
    xs, ys = leaf.lane_edges(), leaf.line_edges()
    bottom = ys[-1]
    drawing.heavy.append(_box(0, 0, leaf.width, leaf.height))
    drawing.heavy.append(_line(0, ys[0], leaf.width, ys[0]))
    drawing.heavy.append(_line(xs[0], 0, xs[0], bottom))
    for row, y in enumerate(ys[1:-1], start=1):
        (drawing.heavy if _heavier(leaf, row) else drawing.thin).append(_line(0, y, leaf.width, y))
    for index in range(1, len(leaf.lanes)):
        new_date = leaf.lanes[index].group != leaf.lanes[index - 1].group and len(_shorts(leaf)) > 1
        top = 0.0 if leaf.lanes[index].group < 0 or leaf.lanes[index].group != leaf.lanes[index - 1].group else None
        if top is None:
            top = _date_height(leaf.lanes[index])
        (drawing.heavy if new_date else drawing.thin).append(_line(xs[index], top, xs[index], bottom))


def _shorts(leaf: Leaf) -> set[str]:
    return {lane.title for lane in leaf.lanes if lane.group >= 0 and not lane.closed}


def _date_height(lane: Lane) -> float:
    return len(lane.date_label) * HEAD_POINTS * LINE_STEP * MM_PER_POINT + 0.9


def _heavier(leaf: Leaf, row: int) -> bool:
    """Whether a heavier rule stands above a row: every fifth of numbered rows, and between weeks."""
    line = leaf.lines[row]
    if line.label.isdigit():
        return (int(line.label) - 1) % GROUP_OF_ROWS == 0
    if leaf.stub == "Date":
        return line.label.startswith("Mon")
    return row % GROUP_OF_ROWS == 0


# ── Words ───────────────────────────────────────────────────────────────────────────────────────


def _head(leaf: Leaf, drawing: Drawing) -> None:
    step = HEAD_POINTS * LINE_STEP * MM_PER_POINT
    bottom = leaf.head_height - 1.3
    drawing.texts.append(Text(PADDING, bottom, leaf.stub, HEAD_POINTS, 600))
    xs = leaf.lane_edges()
    seen = -1
    for index, lane in enumerate(leaf.lanes):
        if lane.group >= 0 and lane.group != seen:
            seen = lane.group
            _date_head(leaf, drawing, index)
        lines = head_lines(lane, leaf.widths[index])
        room = step if lane.boxes else 0.0
        top = bottom - room - step * (len(lines) - 1)
        for number, (text, weight) in enumerate(lines):
            drawing.texts.append(Text(xs[index] + PADDING, top + number * step, text, HEAD_POINTS, weight.value))
        for centre, word in _box_centres(leaf, index):
            drawing.texts.append(Text(centre, bottom, word, HEAD_POINTS, 400, "middle"))


def _date_head(leaf: Leaf, drawing: Drawing, index: int) -> None:
    """Weekday and day over all the boxes of that date."""
    lane = leaf.lanes[index]
    same = [place for place, other in enumerate(leaf.lanes) if other.group == lane.group]
    xs = leaf.lane_edges()
    centre = (xs[same[0]] + xs[same[-1] + 1]) / 2
    step = HEAD_POINTS * LINE_STEP * MM_PER_POINT
    alone = len(_shorts(leaf)) < 2
    first = leaf.head_height - 1.3 - step * (len(lane.date_label) - 1) if alone else step
    for number, text in enumerate(lane.date_label):
        points = 7.0 if lane.closed else HEAD_POINTS
        weight = 400 if lane.closed else 600
        drawing.texts.append(Text(centre, first + number * step, text, points, weight, "middle"))


def _box_centres(leaf: Leaf, index: int) -> list[tuple[float, str]]:
    lane = leaf.lanes[index]
    shares = box_widths(lane)
    scale = leaf.widths[index] / sum(shares) if shares else 0.0
    centres, left = [], leaf.lane_edges()[index]
    for share, word in zip(shares, lane.boxes, strict=True):
        centres.append((left + share * scale / 2, word))
        left += share * scale
    return centres


def _labels(leaf: Leaf, drawing: Drawing) -> None:
    ys = leaf.line_edges()
    for row, line in enumerate(leaf.lines):
        middle = (ys[row] + ys[row + 1]) / 2
        if line.closed:
            _closed_row(leaf, drawing, line, middle)
        else:
            _stacked(drawing, line, leaf.stub_width, middle)
    xs = leaf.lane_edges()
    for index, lane in enumerate(leaf.lanes):
        if lane.closed and leaf.lines:
            _closed_lane(leaf, drawing, lane.closed, (xs[index] + xs[index + 1]) / 2)


def _stacked(drawing: Drawing, line: Line, width: float, middle: float) -> None:
    lines = label_lines(line, width)
    steps = [points * LINE_STEP * MM_PER_POINT for _, _, points in lines]
    base = middle - sum(steps) / 2
    for (text, weight, points), step in zip(lines, steps, strict=True):
        drawing.texts.append(Text(PADDING, base + 0.78 * step, text, points, weight.value))
        base += step


def _closed_row(leaf: Leaf, drawing: Drawing, line: Line, middle: float) -> None:
    base = middle + 0.95
    drawing.texts.append(Text(PADDING, base, line.label, 8.0))
    words = f"CLOSED: {line.closed}"
    left = leaf.stub_width + 3.0
    wide = mm(words, 7.5, Weight.SEMIBOLD)
    drawing.white.append(_box(left - 1, middle - 1.75, min(wide + 2.5, leaf.width - left - 1), 3.5))
    drawing.texts.append(Text(left, base, words, 7.5, 600))


def _closed_lane(leaf: Leaf, drawing: Drawing, why: str, centre: float) -> None:
    """The word and the reason, read from below, at the top of the column."""
    words = f"CLOSED: {why}"
    room = sum(leaf.heights) - 3.0
    if mm(words, 7.5, Weight.SEMIBOLD) > room:
        words = "CLOSED"
    length = mm(words, 7.5, Weight.SEMIBOLD)
    low = leaf.head_height + 1.5 + length
    drawing.white.append(_box(centre - 1.75, low - length - 1, 3.5, length + 2))
    drawing.turned.append(Text(centre + 0.95, low, words, 7.5, 600))


def _boxes(leaf: Leaf, drawing: Drawing) -> None:
    """Tick boxes of choices, and words in the corner of a box."""
    xs, ys = leaf.lane_edges(), leaf.line_edges()
    centres = {index: _box_centres(leaf, index) for index, lane in enumerate(leaf.lanes) if lane.boxes}
    for row, line in enumerate(leaf.lines):
        middle = (ys[row] + ys[row + 1]) / 2
        if line.closed:
            continue
        for index, places in centres.items():
            if line.cells and line.cells[index] is not Cell.OPEN:
                continue
            for centre, _ in places:
                half = TICK_BOX / 2
                drawing.thin.append(_box(centre - half, middle - half, TICK_BOX, TICK_BOX))
        for index, mark in enumerate(line.marks):
            if mark:
                drawing.texts.append(Text(xs[index] + 0.7, ys[row] + 2.4, mark, 6.5))
