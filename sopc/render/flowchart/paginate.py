"""Chooses where a long chart is cut into pages, and letters the connectors that bridge the cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from string import ascii_uppercase

from sopc.render.flowchart.arrange import Arrangement
from sopc.render.flowchart.chart import Chart, Symbol
from sopc.render.flowchart.columns import Columns, centre
from sopc.render.flowchart.routes import Entry, Exit

_LETTERS = [letter for letter in ascii_uppercase if letter not in "IOQ"]
_LOOK_BACK = 8
_PAGE = 1000.0
_CROSSING = 15.0
_IN_BLOCK = 120.0
_AFTER_DECISION = 300.0
_EMPTY = 120.0
_IDLE = 400.0


@dataclass(frozen=True, slots=True)
class TooTall(Exception):  # noqa: N818  # never leaves this package; turned into a DoesNotFit
    """One row alone is higher than the page; `height` is what it needs in points."""

    row: int
    height: float


@dataclass(frozen=True, slots=True)
class TooBroad(Exception):  # noqa: N818  # never leaves this package; turned into a DoesNotFit
    """One row alone with its side lines is broader than the page; `width` is what it needs in points."""

    row: int
    width: float


Measure = Callable[[range], tuple[float, float]]
"""Gives width and height in points of a run of rows as one page with its connectors."""


def cut_pages(
    chart: Chart,
    arrangement: Arrangement,
    columns: Columns,
    measure: Measure,
    room: tuple[float, float],
) -> list[range]:
    """Return the rows of each page: as few pages as can be, then the gentlest cuts on evenly filled pages.

    `room` is the width and height of a page in points. A cut is dear where it parts a decision from its
    straight-down successor, where it runs through side-by-side branches, and for each line it crosses; so is a page on
    which nothing is done.
    Raises TooTall or TooBroad when there are rows that no page holds.
    """
    total = arrangement.rows
    width, height = measure(range(total))
    if height <= room[1] and width <= room[0]:
        return [range(total)]
    work = {arrangement.cells[node.id].row for node in chart.nodes if node.symbol is not Symbol.TERMINATOR}
    penalty = [_cut_penalty(chart, arrangement, columns, row) for row in range(total + 1)]
    best: dict[int, tuple[float, int]] = {0: (0.0, 0)}
    for start in range(total):
        if start not in best:
            continue
        for stop, used in _stops(start, total, measure, room):
            # Squared, so that two pages half full are better than a full one and one with a single step.
            empty = _EMPTY * (1 - used / room[1]) ** 2
            idle = 0.0 if work.intersection(range(start, stop)) else _IDLE
            cost = best[start][0] + _PAGE + empty + idle + (0.0 if stop == total else penalty[stop])
            if stop not in best or cost < best[stop][0]:
                best[stop] = (cost, start)
    cuts: list[range] = []
    stop = total
    while stop:
        start = best[stop][1]
        cuts.append(range(start, stop))
        stop = start
    return cuts[::-1]


def _stops(start: int, total: int, measure: Measure, room: tuple[float, float]) -> list[tuple[int, float]]:
    """Return the last few places where a page that begins at `start` may end, with the height used."""
    fitting: list[tuple[int, float]] = []
    narrowest = 0.0
    for stop in range(start + 1, total + 1):
        width, height = measure(range(start, stop))
        if height > room[1]:
            if stop == start + 1:
                raise TooTall(start, height)
            break
        narrowest = min(narrowest or width, width)
        if width <= room[0]:
            fitting.append((stop, height))
    if not fitting:
        raise TooBroad(start, narrowest)
    return fitting[-_LOOK_BACK:]


def _cut_penalty(chart: Chart, arrangement: Arrangement, columns: Columns, row: int) -> float:
    cells = arrangement.cells
    decisions = {node.id for node in chart.nodes if node.symbol is Symbol.DECISION}
    cost = 0.0
    for edge in chart.edges:
        upper, lower = sorted((cells[edge.source].row, cells[edge.target].row))
        cost += _CROSSING if upper < row <= lower else 0.0
        straight = centre(columns, cells[edge.source]) == centre(columns, cells[edge.target])
        if edge.source in decisions and straight and cells[edge.source].row == row - 1 and lower == row:
            cost += _AFTER_DECISION
    for block in arrangement.blocks:
        last = max(cells[node].row for branch in block.branches for node in branch)
        if block.closer is not None:
            last = cells[block.closer].row
        if cells[block.opener].row < row <= last:
            cost += _IN_BLOCK
    return cost


def connections(
    chart: Chart, arrangement: Arrangement, pages: Sequence[range], page: int
) -> tuple[Mapping[tuple[str, str, str], Exit], Mapping[str, Entry]]:
    """Return the exits from and entries to one page (numbered from 0); one letter for each symbol entered."""
    cells = arrangement.cells
    number = {row: index for index, rows in enumerate(pages) for row in rows}
    at = {node: number.get(cells[node].row, -1 if cells[node].row < page else len(pages)) for node in cells}
    letters = _letters()
    names: dict[str, str] = {}
    exits: dict[tuple[str, str, str], Exit] = {}
    sources: dict[str, set[int]] = {}
    for edge in sorted(chart.edges, key=lambda e: (cells[e.source].row, cells[e.source].column)):
        here, there = at[edge.source], at[edge.target]
        if here == there:
            continue
        if edge.target not in names:
            names[edge.target] = next(letters)
        if here == page:
            exits[(edge.source, edge.target, edge.label)] = Exit(names[edge.target], there + 1)
        if there == page:
            sources.setdefault(edge.target, set()).add(here)
    entries = {
        target: Entry(names[target], tuple(sorted(index + 1 for index in pages_from)), min(pages_from) > page)
        for target, pages_from in sources.items()
    }
    return exits, entries


def trial_pages(rows: range, total: int) -> tuple[list[range], int]:
    """Return a division with these rows as one page and the rest before and after; and the page's number."""
    parts = [part for part in (range(rows.start), rows, range(rows.stop, total)) if len(part)]
    return parts, parts.index(rows)


def _letters() -> Iterator[str]:
    for length in count(1):
        for letter in _LETTERS:
            yield letter * length
