"""Finds the most generous arrangement of a chart that fits the paper at the sizes of type asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from sopc.render.flowchart.arrange import Arrangement, arrange
from sopc.render.flowchart.chart import POINTS_PER_MM, Chart, DoesNotFit, Symbol, TypeSizes
from sopc.render.flowchart.columns import Columns, set_all
from sopc.render.flowchart.paginate import TooBroad, TooTall, connections, cut_pages, trial_pages
from sopc.render.flowchart.routes import Entry, Router, Run, TooManyExits
from sopc.render.flowchart.scene import Rect
from sopc.render.flowchart.settle import Settled, Settler
from sopc.render.flowchart.shapes import Unit
from sopc.render.flowchart.spacing import Spacing

_WIDEST = 17.0
_NARROWEST = 8.5
_SIDE_MAIN_LEAST = 11.0
_SIDE_LEAST = 9.0
_BRANCH_LEAST = 6.5
_BRANCH_GAP = 1.2
_LABELS = (6.5, 4.4, 3.0)
"""Widths that labels of flow lines may take, in ems of step text, from the most readable down."""


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to lay the chart out, measured but not yet drawn; `pages` are the rows of each page."""

    chart: Chart
    arrangement: Arrangement
    columns: Columns
    units: dict[str, Unit]
    space: Spacing
    pages: tuple[range, ...] = ()


@dataclass(frozen=True, slots=True)
class PageLayout:
    """One page of a plan, settled: the courses of its lines, its connectors and all measures."""

    runs: list[Run]
    entries: dict[str, Entry]
    on_top: list[str]
    settler: Settler
    settled: Settled


def settle_page(plan: Plan, pages: tuple[range, ...], page: int, stretch: float = 0.0) -> PageLayout:
    """Settle one page of a division into pages; `stretch` in points is added to each gap between rows."""
    exits, entries = connections(plan.chart, plan.arrangement, pages, page)
    shared = (plan.arrangement, plan.units, plan.columns, plan.space, pages[page])
    router = Router(plan.chart, *shared, exits, entries)
    runs = router.runs()
    on_top = router.top_entries()
    settler = Settler(*shared, runs, entries, on_top, stretch)
    return PageLayout(runs, dict(entries), on_top, settler, settler.settle())


def find_plan(chart: Chart, sizes: TypeSizes, area: Rect, head: float = 0.0) -> Plan | DoesNotFit:
    """Return the first plan that fits the area, or why none does; `head` of it is taken on the first page."""
    return _Fitter(chart, sizes, area, head).find()


class _Fitter:
    """The search for one chart; keeps arrangements, which depend on little and cost a layout each."""

    def __init__(self, chart: Chart, sizes: TypeSizes, area: Rect, head: float) -> None:
        self._chart, self._sizes, self._area, self._head = chart, sizes, area, head
        self._arranged: dict[tuple[bool, frozenset[str]], Arrangement] = {}

    def find(self) -> Plan | DoesNotFit:
        failure: DoesNotFit | None = None
        for side_lane, columns in self._trials():
            for label_ems in _LABELS:
                space = Spacing.of(self._sizes, min(label_ems, 0.42 * columns.main / self._sizes.step))
                result = self._attempt(side_lane, columns, space)
                if isinstance(result, Plan):
                    return result
                if failure is None or (result.node and not failure.node):
                    failure = result
                if result.node:
                    break
        return failure or self._too_broad(0.0)

    def _arrange(self, side_lane: bool, stacked: frozenset[str]) -> Arrangement:
        key = side_lane, stacked
        if key not in self._arranged:
            self._arranged[key] = arrange(self._chart, side_lane, stacked)
        return self._arranged[key]

    def _trials(self) -> Iterator[tuple[bool, Columns]]:
        """Yield lane widths, widest first: with a lane for asides where there is room, then all in one line."""
        em, width = self._sizes.step, self._area.width
        asides = bool(self._arrange(False, frozenset()).structure.asides)
        breadth = width
        while asides and breadth >= (_SIDE_MAIN_LEAST + _SIDE_LEAST) * em:
            main, side = min(_WIDEST * em, 0.56 * breadth), min(13.5 * em, 0.44 * breadth)
            if main >= _SIDE_MAIN_LEAST * em and side >= _SIDE_LEAST * em:
                block = max(main, min(3 * 11 * em, breadth - side - 3 * em))
                yield True, Columns(main, block, side, _BRANCH_GAP * em)
            breadth -= em
        breadth = width
        while breadth >= min(width, _NARROWEST * em):
            yield False, Columns(min(_WIDEST * em, breadth), breadth, 0.0, _BRANCH_GAP * em)
            breadth -= 0.75 * em

    def _attempt(self, side_lane: bool, columns: Columns, space: Spacing) -> Plan | DoesNotFit:
        """Try one set of widths; branches that are too narrow or too high side by side are stacked."""
        stacked: frozenset[str] = frozenset()
        while True:
            arrangement = self._arrange(side_lane, stacked)
            units = set_all(self._chart, arrangement, columns, self._sizes, space)
            plan = Plan(self._chart, arrangement, columns, units, space)
            tight = self._tight_blocks(plan)
            if tight:
                stacked |= tight
                continue
            cut = [unit for unit in units.values() if not unit.fits]
            if cut:
                return self._cramped(max(cut, key=lambda unit: unit.widest_word))
            try:
                return self._with_pages(plan)
            except TooManyExits as fault:
                unit = units[str(fault.args[0])]
                reason = f"{_named(unit)} has more ways out than its symbol has places for."
                return DoesNotFit(unit.node.id, reason, 0.0, 0.0)
            except TooBroad as fault:
                return self._too_broad(fault.width)
            except TooTall as fault:
                guilty = _blocks_at(arrangement, fault.row)
                if not guilty:
                    return self._too_tall(plan, fault)
                stacked |= guilty

    def _cut(self, plan: Plan) -> list[range]:
        def measure(rows: range) -> tuple[float, float]:
            pages, page = trial_pages(rows, plan.arrangement.rows)
            settled = settle_page(plan, tuple(pages), page).settled
            return settled.left + settled.right, settled.height + (0.0 if rows.start else self._head)

        room = self._area.width, self._area.height
        return cut_pages(self._chart, plan.arrangement, plan.columns, measure, room)

    def _with_pages(self, plan: Plan) -> Plan:
        pages = tuple(self._cut(plan))
        for page in range(len(pages)):
            # Lists of page numbers at connectors may have grown since the rows were measured.
            settled = settle_page(plan, pages, page).settled
            if settled.left + settled.right > self._area.width:
                raise TooBroad(pages[page].start, settled.left + settled.right)
        return replace(plan, pages=pages)

    def _tight_blocks(self, plan: Plan) -> frozenset[str]:
        """Return the openers of side-by-side branches too narrow for their words."""
        tight = set()
        for block in plan.arrangement.blocks:
            narrow = plan.columns.branch(len(block.branches)) < _BRANCH_LEAST * self._sizes.step
            members = [plan.units[node] for branch in block.branches for node in branch]
            if narrow or not all(unit.fits for unit in members):
                tight.add(block.opener)
        return frozenset(tight)

    def _too_broad(self, needed: float) -> DoesNotFit:
        wide, room = needed / POINTS_PER_MM, self._area.width / POINTS_PER_MM
        reason = f"The flow with the lines beside it is {wide:.0f} mm broad, and the paper leaves {room:.0f} mm."
        return DoesNotFit("", reason, wide, room)

    def _cramped(self, unit: Unit) -> DoesNotFit:
        reason = f"A word of {_named(unit)} is broader than its box."
        if unit.node.symbol is Symbol.DECISION:
            reason = f"The question {_named(unit)} is too long for a diamond with lines beside it."
        needed = unit.width + unit.widest_word
        return DoesNotFit(unit.node.id, reason, needed / POINTS_PER_MM, unit.width / POINTS_PER_MM)

    def _too_tall(self, plan: Plan, fault: TooTall) -> DoesNotFit:
        members = [node for node, cell in plan.arrangement.cells.items() if cell.row == fault.row]
        tallest = max(members, key=lambda node: (plan.units[node].height, node))
        high, room = fault.height / POINTS_PER_MM, self._area.height / POINTS_PER_MM
        reason = (
            f"The step {_named(plan.units[tallest])} with its cautions is {high:.0f} mm high, "
            f"and a page holds {room:.0f} mm."
        )
        return DoesNotFit(tallest, reason, high, room)


def _named(unit: Unit) -> str:
    """Return a step's text in quotes, shortened, as messages name it."""
    text = unit.node.text or unit.node.symbol.value
    short = text if len(text) <= 60 else text[:57].rstrip() + "\u2026"
    return f"\u201c{short}\u201d"


def _blocks_at(arrangement: Arrangement, row: int) -> frozenset[str]:
    return frozenset(
        block.opener
        for block in arrangement.blocks
        if any(arrangement.cells[node].row == row for branch in block.branches for node in branch)
    )
