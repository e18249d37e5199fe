"""Finds room for a log sheet on paper: widths, heights, how many leaves, and the lines of the grid.

All lengths are millimetres unless a name says points. Sizes for pen entries follow the form-design rules that
print on the sheet must leave room by the entry: 8.5 mm rows, 15 mm initials, 20 mm times and readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum
from itertools import accumulate, pairwise

from sopc.render.fonts import Weight, longest_word, text_width, wrap

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height of an upright leaf."""

MM_PER_POINT = 25.4 / 72
HEAD_POINTS = 8.0
UNDER_POINTS = 7.0
LINE_STEP = 1.18  # distance of base lines in heads and labels, in ems
PADDING = 1.0
HAIR = 0.01  # so that a word that just fits is not cut for the rounding of its width

ROW_WANTED = 8.5
ROW_FLOOR = 7.0
ROW_MOST = 12.0
ROW_CLOSED = 4.6
LANE_CLOSED = 6.6
SHORT_REMARKS = 45.0
TITLE_HEIGHT = 17.0
FOOTER_HEIGHT = 12.5
MARGIN = 12.0
MARGIN_LOW = 9.0
BINDING = 25.0


class Cell(StrEnum):
    """What a box of the grid says before anyone has written in it."""

    OPEN = "open"
    NOT_DUE = "not due"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Lane:
    """One printed column. `boxes` are the words over tick boxes; `stretch` takes what width is left over."""

    title: str
    details: tuple[str, ...] = ()  # unit, what is accepted
    want: float = 20.0
    floor: float = 18.0
    stretch: bool = False
    boxes: tuple[str, ...] = ()
    group: int = -1  # lanes of one date belong together; -1 stands alone on every leaf
    date_label: tuple[str, ...] = ()  # weekday, day
    closed: str = ""  # why the office is closed then, empty when it is open


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its label, what stands under the label, why it is closed, and each box when not all are open."""

    label: str
    under: tuple[str, ...] = ()
    closed: str = ""
    cells: tuple[Cell, ...] = ()
    marks: tuple[str, ...] = ()  # a word printed in the box of each lane, mostly empty


@dataclass(frozen=True, slots=True)
class Table:
    """What a log says for one period before it is cut into leaves."""

    stub: str
    stub_want: float
    lanes: tuple[Lane, ...]
    lines: tuple[Line, ...]
    tight: bool = False  # rows may shrink to 7 mm
    cuts: tuple[int, ...] = ()  # rows before which the table is best cut in two


@dataclass(frozen=True, slots=True)
class Leaf:
    """One page's grid with every edge fixed."""

    portrait: bool
    stub: str
    stub_width: float
    head_height: float
    lanes: tuple[Lane, ...]
    widths: tuple[float, ...]
    lines: tuple[Line, ...]
    heights: tuple[float, ...]

    @property
    def width(self) -> float:
        return self.stub_width + sum(self.widths)

    @property
    def height(self) -> float:
        return self.head_height + sum(self.heights)

    def lane_edges(self) -> tuple[float, ...]:
        """Left edge of each lane, then the right edge of the last."""
        return tuple(accumulate(self.widths, initial=self.stub_width))

    def line_edges(self) -> tuple[float, ...]:
        """Upper edge of each row, then the lower edge of the last."""
        return tuple(accumulate(self.heights, initial=self.head_height))


@dataclass(frozen=True, slots=True)
class TooWide:
    """Even across a landscape leaf there is no room: what is needed and what there is."""

    needed: float
    available: float


def text_box(paper: str, portrait: bool) -> tuple[float, float]:
    """Width and height inside the margins; the binding edge is left of a portrait, top of a landscape leaf."""
    short, long = PAPERS[paper]
    if portrait:
        return round(short - BINDING - MARGIN, 1), round(long - MARGIN - MARGIN_LOW, 1)
    return round(long - 2 * MARGIN, 1), round(short - BINDING - MARGIN_LOW, 1)


def mm(text: str, points: float, weight: Weight = Weight.REGULAR) -> float:
    """Set width of a text."""
    return text_width(text, points, weight) * MM_PER_POINT


def head_lines(lane: Lane, width: float) -> list[tuple[str, Weight]]:
    """Lines of a column head, title first, broken to the width."""
    room = (width - 2 * PADDING) / MM_PER_POINT
    lines = [(text, Weight.SEMIBOLD) for text in wrap(lane.title, HEAD_POINTS, Weight.SEMIBOLD, room) if text]
    for detail in lane.details:
        lines += [(text, Weight.REGULAR) for text in wrap(detail, HEAD_POINTS, Weight.REGULAR, room)]
    return lines


def label_lines(line: Line, width: float) -> list[tuple[str, Weight, float]]:
    """Lines of a row label with their sizes in points."""
    room = (width - 2 * PADDING) / MM_PER_POINT
    lines = [(text, Weight.SEMIBOLD, 8.5) for text in wrap(line.label, 8.5, Weight.SEMIBOLD, room)]
    for text in line.under:
        lines += [(part, Weight.REGULAR, UNDER_POINTS) for part in wrap(text, UNDER_POINTS, Weight.REGULAR, room)]
    return lines


def stacked_height(sizes: list[float]) -> float:
    """Height of lines of these sizes (points) set one under the other, with padding."""
    return sum(sizes) * LINE_STEP * MM_PER_POINT + 2 * 0.9


class Room(IntEnum):
    """How much room entries get: what they want; remarks cut to a shorter line; the least a pen can do with."""

    WANTED = 0
    SHORT_REMARKS = 1
    LEAST = 2


def lane_floor(lane: Lane, room: Room) -> float:
    """Least width of a lane: the entry's, or the longest word of its head."""
    if lane.closed:
        return LANE_CLOSED
    words = [longest_word(lane.title, HEAD_POINTS, Weight.SEMIBOLD)]
    words += [longest_word(detail, HEAD_POINTS, Weight.REGULAR) for detail in lane.details]
    heading = max(words) * MM_PER_POINT + 2 * PADDING + HAIR
    boxes = sum(box_widths(lane))
    entry = lane.floor if room is Room.LEAST else lane.want
    if room is Room.SHORT_REMARKS and lane.stretch:
        entry = min(lane.want, SHORT_REMARKS)
    return max(entry, heading, boxes)


def box_widths(lane: Lane) -> list[float]:
    """Least width for each tick box with its word."""
    return [max(8.0, mm(word, HEAD_POINTS) + 2 * PADDING) for word in lane.boxes]


TRIES = (
    (True, Room.WANTED),
    (True, Room.SHORT_REMARKS),
    (False, Room.WANTED),
    (False, Room.SHORT_REMARKS),
    (False, Room.LEAST),
)
"""Portrait or landscape and how much room, in the order of liking; fewer leaves go before liking."""


def lay(table: Table, paper: str, feet: tuple[float, float]) -> tuple[Leaf, ...] | TooWide:
    """Cut a table into as few leaves as will do; `feet`: height below the grid, portrait and landscape."""
    wide = too_wide(table, paper)
    if wide is not None:
        return wide
    groups = _groups(table)
    for parts in range(1, max(1, len(groups)) + 1):
        cut = _cut_lanes(table, groups, parts)
        found: list[tuple[Leaf, ...]] = []
        for portrait, room in TRIES:
            if all(_least_width(table, lanes, room) <= text_box(paper, portrait)[0] for lanes in cut):
                foot = feet[0 if portrait else 1]
                found.append(
                    tuple(leaf for lanes in cut for leaf in _leaves(table, lanes, paper, portrait, room, foot))
                )
        if found:
            return min(found, key=len)
    raise AssertionError("a table that is not too wide fits when it is cut as finely as can be")


def too_wide(table: Table, paper: str) -> TooWide | None:
    """Whether there is no room across a landscape leaf, with the lanes shared out over as many leaves as can be."""
    groups = _groups(table)
    narrowest = _cut_lanes(table, groups, max(1, len(groups)))
    needed, available = max(_least_width(table, lanes, Room.LEAST) for lanes in narrowest), text_box(paper, False)[0]
    return TooWide(round(needed, 1), available) if needed > available else None


def _groups(table: Table) -> list[int]:
    return sorted({lane.group for lane in table.lanes if lane.group >= 0})


def _cut_lanes(table: Table, groups: list[int], parts: int) -> list[list[int]]:
    """Indices of the lanes on each of so many leaves; dates are shared out evenly, a month as 1-16 and 17-end."""
    if not groups:
        return [list(range(len(table.lanes)))]
    size = -(-len(groups) // parts)
    pieces = [set(groups[start : start + size]) for start in range(0, len(groups), size)]
    return [
        [index for index, lane in enumerate(table.lanes) if lane.group < 0 or lane.group in piece] for piece in pieces
    ]


def _least_width(table: Table, lanes: list[int], room: Room) -> float:
    return table.stub_want + sum(lane_floor(table.lanes[index], room) for index in lanes)


def _leaves(table: Table, chosen: list[int], paper: str, portrait: bool, room: Room, foot: float) -> list[Leaf]:
    width, height = text_box(paper, portrait)
    lanes = tuple(table.lanes[index] for index in chosen)
    stub_width, widths = _share_width(table, lanes, width, room)
    head = _head_height(table, lanes, widths, stub_width)
    left = height - TITLE_HEIGHT - head - foot - FOOTER_HEIGHT
    lines = tuple(_only(line, chosen) for line in table.lines)
    return [
        Leaf(portrait, table.stub, stub_width, head, lanes, widths, piece, _share_height(piece, stub_width, left))
        for piece in _cut_lines(table, lines, stub_width, left)
    ]


def _only(line: Line, chosen: list[int]) -> Line:
    cells = tuple(line.cells[index] for index in chosen) if line.cells else ()
    marks = tuple(line.marks[index] for index in chosen) if line.marks else ()
    return Line(line.label, line.under, line.closed, cells, marks)


def _share_width(table: Table, lanes: tuple[Lane, ...], width: float, room: Room) -> tuple[float, tuple[float, ...]]:
    """Widths of the stub and the lanes, filling the leaf: text takes what is left, else all open lanes grow."""
    widths = [lane_floor(lane, room) for lane in lanes]
    spare = width - table.stub_want - sum(widths)
    takers = [index for index, lane in enumerate(lanes) if lane.stretch]
    takers = takers or [index for index, lane in enumerate(lanes) if not lane.closed]
    if not takers:
        return width - sum(widths), tuple(widths)
    most = 1e9 if any(lane.stretch for lane in lanes) else 34.0
    for index in takers:
        widths[index] = min(max(most, widths[index]), widths[index] + spare / len(takers))
    return round(width - sum(widths), 3), tuple(round(value, 3) for value in widths)


def _head_height(table: Table, lanes: tuple[Lane, ...], widths: tuple[float, ...], stub_width: float) -> float:
    tallest = stacked_height([HEAD_POINTS] * len(wrap(table.stub, HEAD_POINTS, Weight.SEMIBOLD, stub_width * 2.7)))
    for lane, width in zip(lanes, widths, strict=True):
        if lane.closed:
            tallest = max(tallest, stacked_height([HEAD_POINTS] * 2))
            continue
        rows = len(head_lines(lane, width)) + len(lane.date_label) + (1 if lane.boxes else 0)
        tallest = max(tallest, stacked_height([HEAD_POINTS] * rows))
    return round(tallest + 0.6, 3)


def least_height(line: Line, stub_width: float, tight: bool) -> float:
    """Least height of a row: room for the pen, and for its label."""
    if line.closed:
        return ROW_CLOSED
    label = stacked_height([points for _, _, points in label_lines(line, stub_width)])
    return max(ROW_FLOOR if tight else ROW_WANTED, label)


def _cut_lines(table: Table, lines: tuple[Line, ...], stub_width: float, room: float) -> list[tuple[Line, ...]]:
    """Rows of each leaf: all on one if they fit, else evenly over as few as will do."""
    if not lines:
        return [()]
    for parts in range(1, len(lines) + 1):
        pieces = _pieces(lines, parts, table.cuts)
        tight = table.tight and parts == 1
        if all(sum(least_height(line, stub_width, tight) for line in piece) <= room for piece in pieces):
            return pieces
    return [(line,) for line in lines]


def _pieces(lines: tuple[Line, ...], parts: int, cuts: tuple[int, ...]) -> list[tuple[Line, ...]]:
    if parts == len(cuts) + 1 and cuts:
        edges = (0, *cuts, len(lines))
        return [lines[start:end] for start, end in pairwise(edges)]
    size = -(-len(lines) // parts)
    return [lines[start : start + size] for start in range(0, len(lines), size)]


def _share_height(lines: tuple[Line, ...], stub_width: float, room: float) -> tuple[float, ...]:
    """Heights of rows: labels get what they need, then all open rows grow alike up to 12 mm."""
    heights = [least_height(line, stub_width, True) for line in lines]
    growing = [index for index, line in enumerate(lines) if not line.closed]
    spare = room - sum(heights)
    low, high = 0.0, ROW_MOST
    for _ in range(24):
        level = (low + high) / 2
        used = sum(max(0.0, level - heights[index]) for index in growing)
        low, high = (level, high) if used <= spare else (low, level)
    return tuple(
        round(max(height, low) if index in set(growing) else height, 3) for index, height in enumerate(heights)
    )
