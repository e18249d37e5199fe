"""Draws a chart: finds how it fits the paper, then puts every page together and writes it as SVG."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from sopc.render.flowchart.chart import (
    POINTS_PER_MM,
    Chart,
    DoesNotFit,
    Drawing,
    Paper,
    Profile,
    Symbol,
    TypeSizes,
)
from sopc.render.flowchart.fit import Plan, find_plan, settle_page
from sopc.render.flowchart.furniture import Frame, Head, Legend, frame, head_of, symbols_of, under
from sopc.render.flowchart.page import PageMaker
from sopc.render.flowchart.scene import Rect, Scene
from sopc.render.flowchart.settle import Settled
from sopc.render.flowchart.svg import write_svg

_MOST_STRETCH = 0.6


def draw(
    chart: Chart, paper: Paper, sizes: TypeSizes, profile: Profile = Profile.COLOUR
) -> tuple[Drawing, ...] | DoesNotFit:
    """Draw a chart on as many pages as it needs, with title, identification and foot on each.

    The sizes of type are kept whatever happens; when a step cannot be set at them the answer is a
    DoesNotFit that names it.
    """
    around = frame(chart, paper, sizes, 88, 88)
    head = head_of(chart, sizes, around.area.width, lines=True)
    plan = _planned(chart, sizes, around.area, head)
    if isinstance(plan, DoesNotFit):
        return plan

    def framed(page: int) -> Frame:
        made = frame(chart, paper, sizes, page + 1, len(plan.pages), _steps_on(plan, page))
        return made if page else under(made, head)

    scenes = _scenes(plan, sizes, framed)
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
    full = Rect(0, 0, width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM)
    legend = Legend(line, full.width - 2 * line, full.bottom - line, sizes.small)
    explained = legend.height(symbols_of(chart), connected=True)
    area = Rect(line, line, full.right - line, full.bottom - line - explained)
    head = head_of(chart, sizes, area.width, lines=False)
    plan = _planned(chart, sizes, area, head)
    if isinstance(plan, DoesNotFit):
        return plan

    def bare(page: int) -> Frame:
        made = Frame(full.right, full.bottom, full, area)
        return made if page else under(made, head)

    scenes = [_cropped(scene, line, legend) for scene in _scenes(plan, sizes, bare, most_stretch=0.0)]
    return _drawings(chart, scenes, line, profile)


def _planned(chart: Chart, sizes: TypeSizes, area: Rect, head: Head) -> Plan | DoesNotFit:
    if not head.fits:
        return DoesNotFit("", "A word of the cautions is broader than the page.", area.width, area.width)
    return find_plan(chart, sizes, area, head.height)


def _steps_on(plan: Plan, page: int) -> str:
    """Name the first and the last numbered step of a page, where a chart has several pages."""
    rows = plan.pages[page]
    cells = plan.arrangement.cells
    numbers = [node.number for node in plan.chart.nodes if node.number and cells[node.id].row in rows]
    if len(plan.pages) < 2 or not numbers:
        return ""
    return f"Step {numbers[0]}" if len(numbers) == 1 else f"Steps {numbers[0]} to {numbers[-1]}"


def _cropped(scene: Scene, line: float, legend: Legend) -> Scene:
    """Cut the page off under its flow, and put the legend there."""
    rects = [o.rect for o in scene.outlines] + [c.rect for c in scene.connectors]
    low = max([rect.bottom for rect in rects] + [text.box.bottom for text in scene.texts]) + 2 * line
    shown, connected = {Symbol(outline.shape) for outline in scene.outlines}, bool(scene.connectors)
    low += legend.height(shown, connected)
    signs, meanings = replace(legend, bottom=low - line).entries(shown, connected)
    bounds = Rect(0, 0, scene.width, low)
    return replace(scene, height=low, bounds=bounds, legend=tuple(signs), texts=(*scene.texts, *meanings))


def _drawings(chart: Chart, scenes: list[Scene], line: float, profile: Profile) -> tuple[Drawing, ...]:
    count = len(scenes)
    drawings = []
    for scene in scenes:
        title = chart.title if count == 1 else f"{chart.title}, page {scene.page} of {count}"
        svg = write_svg(scene, title, line, profile)
        size = scene.width / POINTS_PER_MM, scene.height / POINTS_PER_MM
        drawings.append(Drawing(size[0], size[1], svg, scene.page, count, scene))
    return tuple(drawings)


def _middles(settled: list[Settled], area: Rect) -> list[float]:
    """Return where the main line stands on each page.

    Without a side lane it is the middle of the sheet, or as near as the lines beside it let it, at the same
    place on all pages when there is a place that suits them all. With a side lane the whole of each page
    stands in the middle, so that a page with nothing in the lane has no empty half.
    """
    lows = [area.left + page.left for page in settled]
    highs = [area.right - page.right for page in settled]
    if any(page.side_shift for page in settled):
        return [(least + most) / 2 for least, most in zip(lows, highs, strict=True)]
    centre = (area.left + area.right) / 2
    low, high = max(lows), min(highs)
    if low <= high:
        return [min(max(centre, low), high)] * len(settled)
    return [min(max(centre, least), most) for least, most in zip(lows, highs, strict=True)]


def _scenes(
    plan: Plan, sizes: TypeSizes, framed: Callable[[int], Frame], most_stretch: float = _MOST_STRETCH
) -> list[Scene]:
    frames = [framed(number) for number in range(len(plan.pages))]
    loose = [settle_page(plan, plan.pages, number).settled for number in range(len(plan.pages))]
    middles = _middles(loose, frames[0].area)
    stretch = _stretch(loose, [around.area.height for around in frames], most_stretch * sizes.step)
    scenes = []
    for number, x in enumerate(middles):
        page = settle_page(plan, plan.pages, number, stretch)
        origin = x, frames[number].area.top
        maker = PageMaker(plan.arrangement, plan.units, plan.columns, plan.space, page.settler, page.settled, origin)
        scenes.append(maker.scene(frames[number], number + 1, page.runs, page.entries, page.on_top))
    return scenes


def _stretch(settled: list[Settled], heights: list[float], most: float) -> float:
    """Return how much every gap may grow so that the fullest page is just filled; the same on all pages."""
    room = [most]
    room += [(height - page.height) / max(1, page.gaps) for page, height in zip(settled, heights, strict=True)]
    return max(0.0, min(room))
