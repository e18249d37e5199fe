"""Draws a chart: tries arrangements from the most generous down, and takes the first that fits the paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from sopc.render.flowchart.arrange import Arrangement, arrange
from sopc.render.flowchart.chart import (
    POINTS_PER_MM,
    Chart,
    DoesNotFit,
    Drawing,
    Paper,
    Profile,
    TypeSizes,
)
from sopc.render.flowchart.columns import Columns, set_all
from sopc.render.flowchart.page import Frame, PageMaker, frame
from sopc.render.flowchart.paginate import TooTall, connections, cut_pages, trial_pages
from sopc.render.flowchart.routes import Entry, Router, Run, TooManyExits
from sopc.render.flowchart.scene import Rect, Scene
from sopc.render.flowchart.settle import Settled, Settler
from sopc.render.flowchart.shapes import Unit
from sopc.render.flowchart.spacing import Spacing
from sopc.render.flowchart.svg import write_svg

_WIDEST = 17.0
_NARROWEST = 8.5
_SIDE_MAIN_LEAST = 11.0
_SIDE_LEAST = 9.0
_BRANCH_LEAST = 6.5
_MOST_STRETCH = 0.6
_LABELS = (6.5, 4.4, 3.0)
"""Widths that labels of flow lines may take, in ems of step text, from the most readable down."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """One way to lay the chart out, all of it measured but not yet drawn."""

    arrangement: Arrangement
    columns: Columns
    units: dict[str, Unit]
    space: Spacing


def draw(
    chart: Chart, paper: Paper, sizes: TypeSizes, profile: Profile = Profile.COLOUR
) -> tuple[Drawing, ...] | DoesNotFit:
    """Draw a chart on as many pages as it needs, with title, identification and foot on each.

    The sizes of type are kept whatever happens; when a step cannot be set at them the answer is a
    DoesNotFit that names it.
    """
    around = frame(chart, paper, sizes, 88, 88)
    result = _lay_out(chart, sizes, around.area)
    if isinstance(result, DoesNotFit):
        return result
    plan, pages = result

    def framed(page: int) -> Frame:
        return frame(chart, paper, sizes, page + 1, len(pages))

    scenes = _scenes(chart, plan, pages, sizes, framed)
    return _drawings(chart, scenes, paper.line, profile)


def draw_compact(
    chart: Chart,
    width_mm: float,
    height_mm: float,
    sizes: TypeSizes,
    profile: Profile = Profile.COLOUR,
    line: float = 0.75,
) -> tuple[Drawing, ...] | DoesNotFit:
    """Draw a chart without title and foot, to stand inside another page.

    Each drawing is as wide as asked and as high as its content; several come back when one of at most
    `height_mm` does not hold all.
    """
    area = Rect(0, 0, width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM).shrunk(line)
    result = _lay_out(chart, sizes, area)
    if isinstance(result, DoesNotFit):
        return result
    plan, pages = result

    def bare(page: int) -> Frame:
        full = Rect(0, 0, width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM)
        return Frame(full.right, full.bottom, full, area, (), (), ())

    scenes = [_cropped(scene, line) for scene in _scenes(chart, plan, pages, sizes, bare)]
    return _drawings(chart, scenes, line, profile)


def _cropped(scene: Scene, line: float) -> Scene:
    rects = [o.rect for o in scene.outlines] + [c.rect for c in scene.connectors]
    low = max([rect.bottom for rect in rects] + [text.box.bottom for text in scene.texts]) + 2 * line
    return replace(scene, height=low, bounds=Rect(0, 0, scene.width, low))


def _drawings(chart: Chart, scenes: list[Scene], line: float, profile: Profile) -> tuple[Drawing, ...]:
    count = len(scenes)
    drawings = []
    for scene in scenes:
        title = chart.title if count == 1 else f"{chart.title}, page {scene.page} of {count}"
        svg = write_svg(scene, title, line, profile)
        size = scene.width / POINTS_PER_MM, scene.height / POINTS_PER_MM
        drawings.append(Drawing(size[0], size[1], svg, scene.page, count, scene))
    return tuple(drawings)


def _lay_out(chart: Chart, sizes: TypeSizes, area: Rect) -> tuple[_Plan, list[range]] | DoesNotFit:
    failure: DoesNotFit | None = None
    for side_lane, columns in _trials(chart, sizes, area.width):
        for label_ems in _LABELS:
            space = Spacing.of(sizes, min(label_ems, 0.42 * columns.main / sizes.step))
            result = _attempt(chart, sizes, area, side_lane, columns, space)
            if not isinstance(result, DoesNotFit):
                return result
            if failure is None or (result.node and not failure.node):
                failure = result
            if result.node:
                break
    return failure or _too_broad("", 0.0, area.width)


def _trials(chart: Chart, sizes: TypeSizes, width: float) -> Iterator[tuple[bool, Columns]]:
    """Yield lane widths, widest first: with a lane for asides where there is room, then all in one line."""
    em = sizes.step
    asides = bool(arrange(chart, side_lane=False).structure.asides)
    breadth = width
    while asides and breadth >= (_SIDE_MAIN_LEAST + _SIDE_LEAST) * em:
        main, side = min(_WIDEST * em, 0.56 * breadth), min(13.5 * em, 0.44 * breadth)
        if main >= _SIDE_MAIN_LEAST * em and side >= _SIDE_LEAST * em:
            block = max(main, min(3 * 11 * em, breadth - side - 3 * em))
            yield True, Columns(main, block, side, 1.2 * em)
        breadth -= em
    breadth = width
    while breadth >= min(width, _NARROWEST * em):
        main = min(_WIDEST * em, breadth)
        yield False, Columns(main, breadth, 0.0, 1.2 * em)
        breadth -= 0.75 * em


def _attempt(
    chart: Chart, sizes: TypeSizes, area: Rect, side_lane: bool, columns: Columns, space: Spacing
) -> tuple[_Plan, list[range]] | DoesNotFit:
    stacked: frozenset[str] = frozenset()
    while True:
        arrangement = arrange(chart, side_lane, stacked)
        units = set_all(chart, arrangement, columns, sizes, space)
        tight = _tight_blocks(arrangement, units, columns, sizes)
        if tight:
            stacked |= tight
            continue
        plan = _Plan(arrangement, columns, units, space)
        cut = [unit for unit in units.values() if not unit.fits]
        if cut:
            worst = max(cut, key=lambda unit: unit.widest_word)
            return _too_broad(worst.node.id, worst.width + worst.widest_word, worst.width)
        try:
            pages = _cut(chart, plan, area)
        except TooManyExits as fault:
            return DoesNotFit(str(fault.args[0]), "it has more exits than its symbol has places for", 0.0, 0.0)
        except TooTall as fault:
            guilty = _blocks_at(arrangement, fault.row)
            if guilty:
                stacked |= guilty
                continue
            return _too_tall(arrangement, units, fault, area.height)
        needed = _needed_width(chart, plan, pages)
        if needed > area.width:
            return _too_broad("", needed, area.width)
        return plan, pages


def _tight_blocks(
    arrangement: Arrangement, units: dict[str, Unit], columns: Columns, sizes: TypeSizes
) -> frozenset[str]:
    """Return the openers of side-by-side branches too narrow for their words."""
    tight = set()
    for block in arrangement.blocks:
        narrow = columns.branch(len(block.branches)) < _BRANCH_LEAST * sizes.step
        if narrow or any(not units[node].fits for branch in block.branches for node in branch):
            tight.add(block.opener)
    return frozenset(tight)


def _blocks_at(arrangement: Arrangement, row: int) -> frozenset[str]:
    return frozenset(
        block.opener
        for block in arrangement.blocks
        if any(arrangement.cells[node].row == row for branch in block.branches for node in branch)
    )


def _too_broad(node: str, needed: float, available: float) -> DoesNotFit:
    what = "a word of this step is" if node else "the flow with its side lines is"
    return DoesNotFit(
        node,
        f"{what} broader than the paper leaves room for",
        needed / POINTS_PER_MM,
        available / POINTS_PER_MM,
    )


def _too_tall(arrangement: Arrangement, units: dict[str, Unit], fault: TooTall, available: float) -> DoesNotFit:
    members = [node for node, cell in arrangement.cells.items() if cell.row == fault.row]
    tallest = max(members, key=lambda node: (units[node].height, node))
    reason = "this step with its cautions is higher than a page"
    return DoesNotFit(tallest, reason, fault.height / POINTS_PER_MM, available / POINTS_PER_MM)


# One page --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Page:
    runs: list[Run]
    entries: dict[str, Entry]
    on_top: list[str]
    settler: Settler
    settled: Settled


def _settle(chart: Chart, plan: _Plan, pages: list[range], page: int, stretch: float = 0.0) -> _Page:
    exits, entries = connections(chart, plan.arrangement, pages, page)
    router = Router(chart, plan.arrangement, plan.units, plan.columns, plan.space, pages[page], exits, entries)
    runs = router.runs()
    on_top = router.top_entries()
    settler = Settler(
        plan.arrangement,
        plan.units,
        plan.columns,
        plan.space,
        pages[page],
        runs,
        entries,
        on_top,
        stretch,
    )
    return _Page(runs, dict(entries), on_top, settler, settler.settle())


def _cut(chart: Chart, plan: _Plan, area: Rect) -> list[range]:
    def height(rows: range) -> float:
        pages, page = trial_pages(rows, plan.arrangement.rows)
        return _settle(chart, plan, pages, page).settled.height

    return cut_pages(chart, plan.arrangement, plan.columns, height, area.height)


def _reach(chart: Chart, plan: _Plan, pages: list[range]) -> tuple[float, float]:
    settled = [_settle(chart, plan, pages, page).settled for page in range(len(pages))]
    return max(page.left for page in settled), max(page.right for page in settled)


def _needed_width(chart: Chart, plan: _Plan, pages: list[range]) -> float:
    return sum(_reach(chart, plan, pages))


def _scenes(
    chart: Chart, plan: _Plan, pages: list[range], sizes: TypeSizes, framed: Callable[[int], Frame]
) -> list[Scene]:
    area = framed(0).area
    left, right = _reach(chart, plan, pages)
    # The main line stands in the middle of the sheet where its two sides leave room for that.
    x = min(max((area.left + area.right) / 2, area.left + left), area.right - right)
    stretch = _stretch(chart, plan, pages, area.height, sizes)
    scenes = []
    for number in range(len(pages)):
        page = _settle(chart, plan, pages, number, stretch)
        maker = PageMaker(
            plan.arrangement,
            plan.units,
            plan.columns,
            plan.space,
            page.settler,
            page.settled,
            (x, area.top),
        )
        scenes.append(maker.scene(framed(number), number + 1, page.runs, page.entries, page.on_top))
    return scenes


def _stretch(chart: Chart, plan: _Plan, pages: list[range], height: float, sizes: TypeSizes) -> float:
    """Return how much every gap may grow so that the fullest page is just filled; the same on all pages."""
    room = [_MOST_STRETCH * sizes.step]
    for page in range(len(pages)):
        settled = _settle(chart, plan, pages, page).settled
        room.append((height - settled.height) / max(1, settled.gaps))
    return max(0.0, min(room))
