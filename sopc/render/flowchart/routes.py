"""Decides for every flow line of a page how it leaves its symbol and which way it takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from sopc.render.flowchart.arrange import Arrangement, Cell, Lane
from sopc.render.flowchart.chart import Chart, Edge, EdgeKind, Symbol
from sopc.render.flowchart.columns import Columns, centre, is_bar
from sopc.render.flowchart.shapes import Unit
from sopc.render.flowchart.spacing import Spacing, label_width


class Form(Enum):
    """The course of a flow line.

    STRAIGHT down; LEVEL aside into what stands beside it; ELBOW aside and down into a neighbouring lane; DROP down
    its own lane, then across into the target's; TRACK aside, along a channel, across; FOOT down to a connector;
    STUB aside to a connector.
    """

    STRAIGHT = "straight"
    LEVEL = "level"
    ELBOW = "elbow"
    DROP = "drop"
    TRACK = "track"
    FOOT = "foot"
    STUB = "stub"


class Channel(Enum):
    """The free strips between and beside the lanes."""

    LEFT = "left"
    INNER = "inner"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Exit:
    """A cut flow line: the letter under which it goes on, and the page where."""

    letter: str
    page: int


@dataclass(frozen=True, slots=True)
class Entry:
    """Where a cut flow line comes in: its letter and the pages it comes from; `later` if only from later ones."""

    letter: str
    pages: tuple[int, ...]
    later: bool


@dataclass(frozen=True, slots=True)
class Run:
    """One flow line of the page with its course; `second` takes a diamond's lower side exit."""

    edge: Edge
    form: Form
    right: bool = True
    second: bool = False
    channel: Channel = Channel.RIGHT
    exit: Exit | None = None

    @property
    def key(self) -> tuple[str, str, str]:
        return self.edge.source, self.edge.target, self.edge.label


class TooManyExits(Exception):  # noqa: N818  # never leaves this package; turned into a DoesNotFit
    """A symbol has more exits than it has places for; carries the node id."""


class Router:
    """Chooses the courses for the rows of one page; holds which places of which symbol are taken."""

    def __init__(
        self,
        chart: Chart,
        arrangement: Arrangement,
        units: Mapping[str, Unit],
        columns: Columns,
        space: Spacing,
        rows: range,
        exits: Mapping[tuple[str, str, str], Exit],
        entries: Mapping[str, Entry],
    ) -> None:
        self._cells = {node: cell for node, cell in arrangement.cells.items() if cell.row in rows}
        self._order = {node.id: index for index, node in enumerate(chart.nodes)}
        self._edges = [edge for edge in chart.edges if edge.source in self._cells]
        self._units, self._columns, self._rows = units, columns, rows
        self._space = space
        self._side_lane = arrangement.side_lane
        self._all, self._level_with = arrangement.cells, arrangement.level
        self._exits, self._entries = exits, entries
        self._spans = {node: columns.span(cell) for node, cell in self._cells.items()}
        self._bottom: set[str] = set()
        self._top: set[str] = set()
        self._sides: dict[tuple[str, bool], int] = {}

    def runs(self) -> list[Run]:
        """Return the course of every flow line that starts on the page."""
        chosen: dict[int, Run] = {}
        rank = {EdgeKind.MAIN: 0, EdgeKind.EXCEPTION: 1, EdgeKind.SIDE: 1, EdgeKind.LOOP: 2}
        order = sorted(
            range(len(self._edges)),
            key=lambda i: (self._cells[self._edges[i].source].row, rank[self._edges[i].kind], i),
        )
        for step in (self._straight, self._level, self._elbow, self._drop, self._aside):
            for index in order:
                if index in chosen:
                    continue
                run = step(self._edges[index])
                if run is not None:
                    chosen[index] = run
        return [chosen[index] for index in sorted(chosen)]

    def top_entries(self) -> list[str]:
        """Return the entered symbols whose connector stands straight above them; call after `runs`."""
        return [
            node
            for node in self._entries
            if node not in self._top and self._clear(self._centre(node), self._rows.start - 1, self._cells[node].row)
        ]

    def _centre(self, node: str) -> float:
        return centre(self._columns, self._all[node])

    def _clear(self, x: float, above: int, below: int) -> bool:
        """Tell whether a vertical line at x meets no symbol in the rows strictly between two rows."""
        for node, cell in self._cells.items():
            left, right = self._spans[node]
            if above < cell.row < below and left - 1 < x < right + 1:
                return False
        return True

    def _straight(self, edge: Edge) -> Run | None:
        source, target = edge.source, edge.target
        if edge.kind is EdgeKind.LOOP or source in self._bottom or source == target:
            return None
        if (source, target, edge.label) in self._exits:
            return self._foot(edge)
        upper, lower = self._cells[source], self._cells[target]
        wide_top, wide_bottom = is_bar(self._units[source]), is_bar(self._units[target])
        x = self._centre(target if wide_top and not wide_bottom else source)
        left, right = self._spans[target]
        meets = left < x < right if wide_bottom else abs(self._centre(target) - x) < 0.5
        out_left, out_right = self._spans[source]
        if not meets or not out_left < x < out_right or upper.row >= lower.row:
            return None
        if (target in self._top and not wide_bottom) or not self._clear(x, upper.row, lower.row):
            return None
        if not self._prefers_down(edge):
            return None
        if not wide_top:
            self._bottom.add(source)
        if not wide_bottom:
            self._top.add(target)
        return Run(edge, Form.STRAIGHT)

    def _prefers_down(self, edge: Edge) -> bool:
        """Keep the way straight down for the main exit where a symbol has one."""
        rivals = [other for other in self._edges if other.source == edge.source and other is not edge]
        return edge.kind is EdgeKind.MAIN or not any(other.kind is EdgeKind.MAIN for other in rivals)

    def _foot(self, edge: Edge) -> Run | None:
        source, target = self._all[edge.source], self._all[edge.target]
        wide = is_bar(self._units[edge.source]) and target.lane is Lane.BRANCH
        x = self._centre(edge.target if wide else edge.source)
        if target.row <= source.row or not self._clear(x, source.row, self._rows.stop):
            return None
        if not self._prefers_down(edge):
            return None
        if not wide:
            self._bottom.add(edge.source)
        return Run(edge, Form.FOOT, exit=self._exits[(edge.source, edge.target, edge.label)])

    def _level(self, edge: Edge) -> Run | None:
        if self._level_with.get(edge.target) != edge.source or edge.target not in self._cells:
            return None
        self._sides[(edge.source, True)] = 1
        self._sides[(edge.target, False)] = len(Channel)  # no line leaves where this one comes in
        self._top.add(edge.target)
        return Run(edge, Form.LEVEL, channel=self._channel(self._cells[edge.source], True))

    def _elbow(self, edge: Edge) -> Run | None:
        source, target = self._all[edge.source], self._all[edge.target]
        if edge.target not in self._cells or edge.target in self._top or target.row <= source.row:
            return None
        neighbour = target.lane is Lane.SIDE and source.lane is not Lane.SIDE
        chosen = target.lane is Lane.BRANCH and source.lane is Lane.MAIN
        if not neighbour and not chosen:
            return None
        x = self._centre(edge.target)
        right = x > self._centre(edge.source)
        corner = self._units[edge.source].outline.rect.width / 2 + self._space.em / 3
        corner += label_width(edge, self._space)
        if abs(x - self._centre(edge.source)) < corner or self._sides.get((edge.source, right)):
            return None
        if not self._clear(x, source.row - 1, target.row) or not self._open_side(edge.source, right):
            return None
        self._sides[(edge.source, right)] = 1
        self._top.add(edge.target)
        return Run(edge, Form.ELBOW, right, channel=self._channel(source, right))

    def _drop(self, edge: Edge) -> Run | None:
        source, target = self._all[edge.source], self._all[edge.target]
        if edge.target not in self._cells or edge.source in self._bottom or is_bar(self._units[edge.source]):
            return None
        x = self._centre(edge.source)
        across = abs(self._centre(edge.target) - x) > 1 and source.lane is not Lane.MAIN
        if not across or target.row <= source.row or not self._prefers_down(edge):
            return None
        if not self._clear(x, source.row, target.row):
            return None
        self._bottom.add(edge.source)
        return Run(edge, Form.DROP, right=x > self._centre(edge.target))

    def _aside(self, edge: Edge) -> Run | None:
        source, target = self._all[edge.source], self._all[edge.target]
        exit_ = self._exits.get((edge.source, edge.target, edge.label))
        right = self._wanted_side(edge, source, target)
        order = [(right, False), (not right, False)]
        if self._units[edge.source].node.symbol is Symbol.DECISION:
            order += [(right, True), (not right, True)]
        for to_right, second in order:
            if self._sides.get((edge.source, to_right), 0) == int(second) and self._open_side(edge.source, to_right):
                self._sides[(edge.source, to_right)] = int(second) + 1
                form = Form.STUB if exit_ else Form.TRACK
                return Run(edge, form, to_right, second, self._channel(source, to_right), exit_)
        raise TooManyExits(edge.source)

    def _wanted_side(self, edge: Edge, source: Cell, target: Cell) -> bool:
        """Back on the left, aside on the right; branches use their outer side."""
        if source.lane is Lane.BRANCH:
            return source.column > 0
        if source.lane is Lane.SIDE:
            return target.lane is Lane.SIDE
        return target.row > source.row or target.lane is Lane.SIDE

    def _open_side(self, node: str, right: bool) -> bool:
        """Tell whether nothing in the same lane group stands between the symbol and the channel beside it."""
        cell = self._all[node]
        if cell.lane is not Lane.BRANCH:
            return True
        return cell.column == (cell.columns - 1 if right else 0)

    def _channel(self, source: Cell, right: bool) -> Channel:
        if source.lane is Lane.SIDE:
            return Channel.RIGHT if right else Channel.INNER
        if not right:
            return Channel.LEFT
        return Channel.INNER if self._side_lane else Channel.RIGHT
