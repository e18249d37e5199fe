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
    TypeSizes,
)
from sopc.render.flowchart.fit import Plan, find_plan, settle_page
from sopc.render.flowchart.page import Frame, PageMaker, frame
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
    plan = find_plan(chart, sizes, around.area)
    if isinstance(plan, DoesNotFit):
        return plan

    def framed(page: int) -> Frame:
        return frame(chart, paper, sizes, page + 1, len(plan.pages))

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
    area = Rect(0, 0, width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM).shrunk(line)
    plan = find_plan(chart, sizes, area)
    if isinstance(plan, DoesNotFit):
        return plan

    def bare(page: int) -> Frame:
        full = Rect(0, 0, width_mm * POINTS_PER_MM, height_mm * POINTS_PER_MM)
        return Frame(full.right, full.bottom, full, area, (), (), ())

    scenes = [_cropped(scene, line) for scene in _scenes(plan, sizes, bare)]
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


def _scenes(plan: Plan, sizes: TypeSizes, framed: Callable[[int], Frame]) -> list[Scene]:
    area = framed(0).area
    loose = [settle_page(plan, plan.pages, number).settled for number in range(len(plan.pages))]
    middles = _middles(loose, area)
    stretch = _stretch(loose, area.height, sizes)
    scenes = []
    for number, x in enumerate(middles):
        page = settle_page(plan, plan.pages, number, stretch)
        maker = PageMaker(
            plan.arrangement, plan.units, plan.columns, plan.space, page.settler, page.settled, (x, area.top)
        )
        scenes.append(maker.scene(framed(number), number + 1, page.runs, page.entries, page.on_top))
    return scenes


def _stretch(settled: list[Settled], height: float, sizes: TypeSizes) -> float:
    """Return how much every gap may grow so that the fullest page is just filled; the same on all pages."""
    room = [_MOST_STRETCH * sizes.step]
    room += [(height - page.height) / max(1, page.gaps) for page in settled]
    return max(0.0, min(room))
