"""Distances on a chart that follow from its sizes of type, and how labels of flow lines are set."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from sopc.render import fonts
from sopc.render.flowchart.chart import Edge, TypeSizes
from sopc.render.fonts import LINE_PITCH, Weight


@dataclass(frozen=True, slots=True)
class Spacing:
    """Distances in points that follow from the size of the step text."""

    arrow: float
    track: float
    circle: float
    label: float
    label_width: float
    reference: float
    em: float
    bare_gap: float

    @classmethod
    def of(cls, sizes: TypeSizes, label_ems: float) -> Spacing:
        """Return the distances for sizes of type, and labels of at most so many ems of step text."""
        em = sizes.step
        return cls(
            arrow=0.85 * em,
            track=0.62 * em,
            circle=0.68 * em,
            label=(sizes.step + sizes.detail) / 2,
            label_width=label_ems * em,
            reference=sizes.detail,
            em=em,
            bare_gap=1.15 * em,
        )


def label_lines(edge: Edge, space: Spacing) -> list[str]:
    """Return the lines of a flow line's label."""
    return list(_set_label(edge.label, space.label, space.label_width)) if edge.label else []


@lru_cache(maxsize=1024)
def _set_label(label: str, points: float, width: float) -> tuple[str, ...]:
    return tuple(fonts.balanced(label, points, Weight.SEMIBOLD, width))


def label_width(edge: Edge, space: Spacing) -> float:
    """Return the width of a flow line's label in points."""
    return max((fonts.text_width(t, space.label, Weight.SEMIBOLD) for t in label_lines(edge, space)), default=0.0)


def label_height(edge: Edge, space: Spacing) -> float:
    """Return the height of a flow line's label in points."""
    return len(label_lines(edge, space)) * space.label * LINE_PITCH
