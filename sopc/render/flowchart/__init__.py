"""Draws flowcharts in ISO 5807 symbols as SVG pages that can be read from a declared distance."""

from sopc.render.flowchart.chart import (
    PAPERS,
    Caution,
    Chart,
    DoesNotFit,
    Drawing,
    Edge,
    EdgeKind,
    Node,
    Paper,
    Profile,
    Signal,
    Symbol,
    TypeSizes,
)
from sopc.render.flowchart.compose import draw, draw_compact

__all__ = [
    "PAPERS",
    "Caution",
    "Chart",
    "DoesNotFit",
    "Drawing",
    "Edge",
    "EdgeKind",
    "Node",
    "Paper",
    "Profile",
    "Signal",
    "Symbol",
    "TypeSizes",
    "draw",
    "draw_compact",
]
