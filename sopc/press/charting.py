"""Draws every procedure's flowchart for the wall and for the binder, keeping finished drawings in the cache."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from sopc.documents.charts import sourced_chart_of
from sopc.model.nouns import Office, Procedure
from sopc.press.order import Order, PressError
from sopc.render.cache import ResultCache, digest, pen
from sopc.render.flowchart import PAPERS, DoesNotFit, Drawing, TypeSizes, draw, draw_compact
from sopc.render.fonts import Weight, cap_height_ratio
from sopc.trade.legibility import point_size_to_use

LARGER = {"letter": "tabloid", "a4": "a3"}
BINDER_STEP_POINTS = 9.5
BINDER_AREA_MM = {"letter": (175.0, 205.0), "a4": (169.0, 222.0)}
"""What a flowchart may take up on a binder page, under its heading and inside the frame."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One drawn page: its SVG and its size in millimetres."""

    svg: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class WallChart:
    """A procedure's chart on one size of paper."""

    procedure: Procedure
    paper: str
    sheets: tuple[Sheet, ...]


def step_points(office: Office) -> float:
    """The type size of step text for the declared reading distance: capitals span 22 minutes of arc at the eye."""
    distance = float(office.premises.chart_distance.base)
    return float(point_size_to_use(distance, cap_height_ratio(Weight.SEMIBOLD)))


def wall_charts(order: Order, procedures: Sequence[Procedure], cache: ResultCache | None) -> Iterator[WallChart]:
    """Draw each chart at the office's paper size and one size up. Raises PressError when a step does not fit."""
    paper = order.office.premises.paper
    sizes = TypeSizes.for_steps(step_points(order.office))
    for procedure in procedures:
        chart = sourced_chart_of(order.office, procedure, order.today)
        for size in (paper, LARGER[paper]):
            drawn = _kept(cache, (chart, PAPERS[size], sizes), lambda c=chart, s=size: draw(c, PAPERS[s], sizes))
            yield WallChart(procedure, size, _fitting(order, procedure, size, drawn))


def binder_flowcharts(
    order: Order, procedures: Sequence[Procedure], cache: ResultCache | None, between: Callable[[], object] = bool
) -> dict[str, tuple[str, ...]]:
    """Draw each chart small enough for a binder page, by procedure name; one that does not fit is left out.

    `between` is called before each.
    """
    sizes = TypeSizes.for_steps(BINDER_STEP_POINTS)
    width, height = BINDER_AREA_MM[order.office.premises.paper]
    found: dict[str, tuple[str, ...]] = {}
    for procedure in procedures:
        between()
        chart = sourced_chart_of(order.office, procedure, order.today)
        drawn = _kept(cache, (chart, width, height, sizes), lambda c=chart: draw_compact(c, width, height, sizes))
        if not isinstance(drawn, DoesNotFit):
            found[procedure.name] = tuple(sheet.svg for sheet in drawn)
    return found


def _fitting(order: Order, procedure: Procedure, size: str, drawn: tuple[Sheet, ...] | DoesNotFit) -> tuple[Sheet, ...]:
    if not isinstance(drawn, DoesNotFit):
        return drawn
    distance = order.office.premises.chart_distance
    raise PressError(
        f"{procedure.span}: the wall chart of “{procedure.title}” does not fit {size} paper when it must be read from "
        f"{distance}: {drawn.reason} Shorten the step, or declare a shorter distance: charts readable at 1 m."
    )


def _kept(cache: ResultCache | None, asked: tuple[object, ...], make: object) -> tuple[Sheet, ...] | DoesNotFit:
    key = digest("chart", pen(), repr(asked))
    stored = cache.get(key) if cache else None
    if stored is not None:
        return tuple(Sheet(*entry) for entry in json.loads(stored))
    assert callable(make)
    drawn: tuple[Drawing, ...] | DoesNotFit = make()
    if isinstance(drawn, DoesNotFit):
        return drawn
    sheets = tuple(Sheet(drawing.svg, drawing.width_mm, drawing.height_mm) for drawing in drawn)
    if cache:
        cache.put(key, json.dumps([[sheet.svg, sheet.width, sheet.height] for sheet in sheets]).encode())
    return sheets
