"""Writes a scene as SVG with plain attributes and absolute numbers, as PDF writers and browsers both read it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import escape

from sopc.render.flowchart.chart import POINTS_PER_MM, Profile, Signal, Symbol
from sopc.render.flowchart.scene import Connector, Flow, Outline, Panel, Rect, Rule, Scene, Text
from sopc.render.flowchart.shapes import slant_of
from sopc.render.fonts import FAMILY_LIST

_INK = "#000000"
_SHADE = "#e4e4e4"
_STRIPS = {
    Signal.DANGER.value: ("#9b2423", "#ffffff"),
    Signal.WARNING.value: ("#e07b3a", "#000000"),
    Signal.CAUTION.value: ("#f9c534", "#000000"),
    Signal.NOTICE.value: ("#005387", "#ffffff"),
}
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(scene: Scene, title: str, line: float, profile: Profile) -> str:
    """Return the SVG text; `line` is the width of outlines and flow lines in points."""
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'width="{_n(scene.width / POINTS_PER_MM)}mm" height="{_n(scene.height / POINTS_PER_MM)}mm" '
        f'viewBox="0 0 {_n(scene.width)} {_n(scene.height)}" font-family="{FAMILY_LIST}" role="img">',
        f"<title>{_clean(title)}</title>",
        f"<desc>{_clean(_description(scene))}</desc>",
        f'<g fill="none" stroke="{_INK}" stroke-width="{_n(line)}" stroke-linejoin="miter">',
        *(_rule(rule) for rule in scene.rules),
        *(_flow(flow, line) for flow in scene.flows),
        *(_outline(outline, line) for outline in (*scene.outlines, *scene.legend)),
        *(_connector(connector) for connector in scene.connectors),
        *(_panel(panel, line, profile) for panel in scene.panels),
        "</g>",
        *_heads(scene.flows, line),
        *(_text(text, _strip_ink(text, scene.panels, profile)) for text in scene.texts),
        "</svg>",
    ]
    return "\n".join(part for part in parts if part) + "\n"


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _clean(text: str) -> str:
    return escape(_NOT_XML.sub(" ", text))


def _description(scene: Scene) -> str:
    """All step texts in reading order, for those who hear the chart."""
    lines: dict[str, list[str]] = {}
    for text in scene.texts:
        if text.owner and text.edge is None:
            lines.setdefault(text.owner, []).append(text.content)
    return ". ".join(" ".join(part) for part in lines.values())


def _text(text: Text, colour: str) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    return (
        f'<text x="{_n(text.x)}" y="{_n(text.y)}" font-size="{_n(text.points)}" '
        f'font-weight="{text.weight.value}" fill="{colour}"{anchor}>{_clean(text.content)}</text>'
    )


def _strip_ink(text: Text, panels: Iterable[Panel], profile: Profile) -> str:
    """White for a word that stands on a dark strip, black everywhere else."""
    for panel in panels:
        head = Rect(panel.rect.left, panel.rect.top, panel.rect.right, panel.rect.top + panel.head)
        if text.owner == panel.node and text.content == panel.signal and head.meets(text.box):
            if profile is Profile.COLOUR:
                return _STRIPS[panel.signal][1]
            return "#ffffff" if panel.signal == Signal.DANGER.value else _INK
    return text.colour


def _rule(rule: Rule) -> str:
    (x1, y1), (x2, y2) = rule.start, rule.end
    return f'<path d="M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}"/>'


def _flow(flow: Flow, line: float) -> str:
    points = list(flow.points)
    # The line ends inside the arrowhead, or its square end would show beyond the tip.
    points[-1] = _short_of(points[-2], points[-1], 4 * line)
    return '<path d="M' + "L".join(f"{_n(x)} {_n(y)}" for x, y in points) + '"/>'


def _short_of(before: tuple[float, float], end: tuple[float, float], by: float) -> tuple[float, float]:
    dx, dy = end[0] - before[0], end[1] - before[1]
    length = max(abs(dx), abs(dy), 0.01)
    share = max(0.0, 1 - by / length)
    return before[0] + dx * share, before[1] + dy * share


def _heads(flows: Iterable[Flow], line: float) -> list[str]:
    return [_head(flow, line) for flow in flows]


def _head(flow: Flow, line: float) -> str:
    (x0, y0), (x, y) = flow.points[-2], flow.points[-1]
    long, half = 8.5 * line, 3.4 * line
    length = max(abs(x - x0), abs(y - y0), 0.01)
    ux, uy = (x - x0) / length, (y - y0) / length
    back_x, back_y = x - ux * long, y - uy * long
    corners = [(x, y), (back_x - uy * half, back_y + ux * half), (back_x + uy * half, back_y - ux * half)]
    return f'<polygon fill="{_INK}" points="{" ".join(f"{_n(a)},{_n(b)}" for a, b in corners)}"/>'


def _connector(connector: Connector) -> str:
    letter_size = connector.radius * 1.35
    x, y = connector.x, connector.y
    return (
        f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(connector.radius)}" fill="#ffffff"/>'
        f'<text x="{_n(x)}" y="{_n(y + 0.33 * letter_size)}" font-size="{_n(letter_size)}" font-weight="700" '
        f'fill="{_INK}" stroke="none" text-anchor="middle">{connector.letter}</text>'
    )


def _path(data: str, fill: str = "#ffffff") -> str:
    return f'<path fill="{fill}" d="{data}"/>'


def _outline(outline: Outline, line: float) -> str:
    r = outline.rect
    box = f"M{_n(r.left)} {_n(r.top)}H{_n(r.right)}V{_n(r.bottom)}H{_n(r.left)}Z"
    run = slant_of(r)
    x, y = r.centre
    match Symbol(outline.shape):
        case Symbol.TERMINATOR:
            return (
                f'<rect x="{_n(r.left)}" y="{_n(r.top)}" width="{_n(r.width)}" height="{_n(r.height)}" '
                f'rx="{_n(outline.inset)}" ry="{_n(outline.inset)}" fill="{_SHADE}"/>'
            )
        case Symbol.DECISION:
            return _path(f"M{_n(x)} {_n(r.top)}L{_n(r.right)} {_n(y)}L{_n(x)} {_n(r.bottom)}L{_n(r.left)} {_n(y)}Z")
        case Symbol.PREDEFINED_PROCESS:
            inset = outline.inset
            bars = f"M{_n(r.left + inset)} {_n(r.top)}V{_n(r.bottom)}M{_n(r.right - inset)} {_n(r.top)}V{_n(r.bottom)}"
            return _path(box) + _path(bars, "none")
        case Symbol.DOCUMENT:
            return _path(_document(r))
        case Symbol.MANUAL_OPERATION:
            return _path(
                f"M{_n(r.left)} {_n(r.top)}H{_n(r.right)}L{_n(r.right - run)} {_n(r.bottom)}H{_n(r.left + run)}Z"
            )
        case Symbol.PREPARATION:
            return _path(
                f"M{_n(r.left + run)} {_n(r.top)}H{_n(r.right - run)}L{_n(r.right)} {_n(y)}"
                f"L{_n(r.right - run)} {_n(r.bottom)}H{_n(r.left + run)}L{_n(r.left)} {_n(y)}Z"
            )
        case Symbol.DELAY:
            deep = min(r.height / 2, r.width / 3)
            return _path(
                f"M{_n(r.left)} {_n(r.top)}H{_n(r.right - deep)}A{_n(deep)} {_n(r.height / 2)} 0 0 1 "
                f"{_n(r.right - deep)} {_n(r.bottom)}H{_n(r.left)}Z"
            )
        case Symbol.PARALLEL_MODE:
            weight = f'stroke-width="{_n(line * 1.6)}"'
            sides = f"M{_n(r.left)} {{0}}H{_n(r.right)}"
            return f'<path {weight} d="{sides.format(_n(r.top))}{sides.format(_n(r.bottom))}"/>'
        case _:
            return _path(box)


def _document(r: Rect) -> str:
    """A sheet with a waved lower edge; the wave swings round the line where a plain box would end."""
    low = r.bottom - 0.06 * r.height
    swing = 0.12 * r.height
    quarter = r.width / 4
    return (
        f"M{_n(r.left)} {_n(r.top)}H{_n(r.right)}V{_n(low)}"
        f"C{_n(r.right - quarter)} {_n(low - swing)} {_n(r.left + 2.6 * quarter)} {_n(low - swing)} "
        f"{_n(r.left + 2 * quarter)} {_n(low)}"
        f"S{_n(r.left + quarter * 0.6)} {_n(low + swing * 0.9)} {_n(r.left)} {_n(low)}Z"
    )


def _panel(panel: Panel, line: float, profile: Profile) -> str:
    """Frame by gravity: thick double, thick, thin, side bar only; with a strip of colour or left white."""
    r, signal = panel.rect, Signal(panel.signal)
    strip, word = _STRIPS[panel.signal]
    if profile is Profile.MONO:
        strip, word = ("#000000", "#ffffff") if signal is Signal.DANGER else ("#ffffff", "#000000")
    width = {Signal.DANGER: 2.4 * line, Signal.WARNING: 2.4 * line}.get(signal, line)
    rect = r.shrunk(width / 2)
    parts = []
    if signal is Signal.NOTICE:
        bar = 0.14 * panel.head + 2 * line
        if profile is Profile.COLOUR:
            parts.append(_block(Rect(r.left, r.top, r.right, r.top + panel.head), strip))
        else:
            # Without a strip the flow line coming in would end on bare paper.
            parts.append(f'<path stroke-width="{_n(line * 0.7)}" d="M{_n(r.left)} {_n(r.top)}H{_n(r.right)}"/>')
        parts.append(_block(Rect(r.left, r.top, r.left + bar, r.bottom), _INK))
        return "".join(parts)
    parts.append(_block(r, "#ffffff"))
    head = Rect(r.left, r.top, r.right, r.top + panel.head)
    if profile is Profile.MONO and signal is Signal.DANGER:
        head = Rect(r.left, r.top, r.left + 5.4 * panel.head, r.top + panel.head)
    parts.append(_block(head, strip))
    parts.append(_frame(rect, width))
    if signal is Signal.DANGER:
        parts.append(_frame(r.shrunk(width + 1.6 * line), 0.7 * line))
    if profile is Profile.MONO and signal is not Signal.DANGER:
        parts.append(f'<path stroke-width="{_n(line * 0.7)}" d="M{_n(r.left)} {_n(head.bottom)}H{_n(r.right)}"/>')
    parts.append(_triangle(r.left + 0.3 * panel.head, r.top, panel.head, strip, word))
    return "".join(parts)


def _block(r: Rect, fill: str) -> str:
    return (
        f'<rect x="{_n(r.left)}" y="{_n(r.top)}" width="{_n(r.width)}" height="{_n(r.height)}" '
        f'fill="{fill}" stroke="none"/>'
    )


def _frame(r: Rect, width: float) -> str:
    return (
        f'<rect x="{_n(r.left)}" y="{_n(r.top)}" width="{_n(r.width)}" height="{_n(r.height)}" '
        f'stroke-width="{_n(width)}"/>'
    )


def _triangle(left: float, top: float, head: float, ground: str, ink: str) -> str:
    """The alert triangle with its exclamation mark, in the word's colour on the strip's."""
    side = 0.78 * head
    low = top + 0.84 * head
    x = left + side / 2
    high = low - 0.87 * side
    mark = 0.07 * side
    return (
        f'<polygon fill="{ink}" stroke="{ink}" stroke-width="{_n(0.05 * head)}" stroke-linejoin="round" '
        f'points="{_n(left)},{_n(low)} {_n(left + side)},{_n(low)} {_n(x)},{_n(high)}"/>'
        f'<path fill="{ground}" stroke="none" d="M{_n(x - mark)} {_n(high + 0.3 * side)}'
        f'H{_n(x + mark)}L{_n(x + mark * 0.6)} {_n(high + 0.6 * side)}H{_n(x - mark * 0.6)}Z"/>'
        f'<circle cx="{_n(x)}" cy="{_n(high + 0.7 * side)}" r="{_n(mark)}" fill="{ground}" stroke="none"/>'
    )
