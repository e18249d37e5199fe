"""Draws how the time of a procedure runs: one bar a step, staff time solid, machine time hatched."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import escape

from sopc.model.nouns import Choice, Decider, Part, Step
from sopc.render.fonts import FAMILY_LIST, Weight, text_width
from sopc.trade.quantities import show_duration

WIDTH = 490.0  # points, as wide as the text box of both paper sizes
LABELS = 196.0
ROW = 16.0
HEAD = 20.0
POINTS = 8.5
TICKS = (15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400, 172800, 604800)
MOST_TICKS = 7
FEWEST_BARS = 2
SHORTEST = 120  # seconds; nobody plans by a chart what is over sooner


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step may run, in seconds after the start of the procedure; `latest_end` None: no upper end is stated."""

    number: str
    title: str
    earliest_start: int
    earliest_end: int
    latest_end: int | None
    decider: Decider


def spread(parts: Iterable[Part]) -> tuple[StepTime, ...]:
    """Return when each step may run, by adding up stated times along the text, waits left out.

    Ways of a choice are alternatives: what follows may come as early as the shortest and as late as the longest
    of them. Branches side by side are waited for. Steps whose time is not stated count as nothing.
    """
    found: list[StepTime] = []
    _walk(tuple(parts), 0, 0, found)
    return tuple(found)


def _walk(parts: tuple[Part, ...], early: int, late: int | None, found: list[StepTime]) -> tuple[int, int | None]:
    for part in parts:
        if isinstance(part, Step):
            early, late = _step(part, early, late, found)
            continue
        inner = [way.parts for way in part.ways] if isinstance(part, Choice) else [way.parts for way in part.branches]
        ends = [_walk(inside, early, late, found) for inside in inner]
        if not ends:
            continue
        first = min if isinstance(part, Choice) else max
        early = first(end[0] for end in ends)
        lates = [end[1] for end in ends]
        late = None if None in lates else max(each for each in lates if each is not None)
    return early, late


def _step(step: Step, early: int, late: int | None, found: list[StepTime]) -> tuple[int, int | None]:
    takes = step.takes
    if takes is None:
        return early, late
    least = int(takes.least.base)
    most = None if takes.most is None else int(takes.most.base)
    end = None if late is None or most is None else late + most
    found.append(StepTime(step.number, step.title, early, early + least, end, takes.decider))
    # A step done only sometimes may also take no time at all.
    return (early if step.when else early + least), end


def bar_chart(times: tuple[StepTime, ...], title: str) -> str:
    """Return the chart as SVG; an empty text when it would tell nothing: one bar, or under two minutes."""
    if len(times) < FEWEST_BARS:
        return ""
    span = max(max(each.earliest_end, each.latest_end or 0) for each in times)
    if span < SHORTEST:
        return ""
    tick = next((each for each in TICKS if span / each <= MOST_TICKS), span)
    whole = -(-span // tick) * tick
    scale = (WIDTH - LABELS - 24) / whole
    height = HEAD + ROW * len(times) + 6
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}pt" height="{height:g}pt" '
        f'viewBox="0 0 {WIDTH:g} {height:g}" role="img" font-family="{FAMILY_LIST}" font-size="{POINTS}">',
        f"<title>{escape(title)}</title>",
        '<defs><pattern id="timing-machine" width="4" height="4" patternUnits="userSpaceOnUse">'
        '<rect width="4" height="4" fill="#fff"/>'
        '<path d="M0 4L4 0M-1 1L1 -1M3 5L5 3" stroke="#000" stroke-width="0.9"/>'
        "</pattern></defs>",
    ]
    for position in range(0, whole + 1, tick):
        x = LABELS + position * scale
        lines.append(
            f'<path d="M{x:.2f} {HEAD - 4:g}V{height - 4:g}" '
            'stroke="#000" stroke-width="0.5" stroke-dasharray="0.6 2"/>'
        )
        text = show_duration(position) if position else "start"
        anchor = "start" if not position else "middle"
        lines.append(f'<text x="{x:.2f}" y="{HEAD - 8:g}" text-anchor="{anchor}">{text}</text>')
    for row, each in enumerate(times):
        lines += _bar(each, HEAD + row * ROW, scale)
    lines.append("</svg>")
    return "\n".join(lines)


def _bar(each: StepTime, top: float, scale: float) -> list[str]:
    """One row: label, the shortest run as a bar, and a line to the latest end, with an arrow when there is none."""
    start = LABELS + each.earliest_start * scale
    length = max((each.earliest_end - each.earliest_start) * scale, 1.5)
    fill = {"machine": "url(#timing-machine)", "outcome": "#fff"}.get(each.decider.value, "#000")
    middle = top + ROW / 2
    label = _cut(each.title, LABELS - 30)
    lines = [
        f'<path d="M0 {top:g}H{WIDTH:g}" stroke="#000" stroke-width="0.25"/>',
        f'<text x="0" y="{middle + 3:g}" font-weight="700">{escape(each.number)}</text>',
        f'<text x="24" y="{middle + 3:g}">{escape(label)}</text>',
    ]
    end = start + length
    if each.latest_end is None:
        lines.append(
            f'<path d="M{end:.2f} {middle:g}H{end + 10:.2f}" stroke="#000" stroke-width="1" stroke-dasharray="2 1.5"/>'
        )
        lines.append(
            f'<path d="M{end + 9:.2f} {middle - 2.5:g}L{end + 14:.2f} {middle:g}'
            f'L{end + 9:.2f} {middle + 2.5:g}Z" fill="#000"/>'
        )
    elif each.latest_end > each.earliest_end:
        last = LABELS + each.latest_end * scale
        lines.append(f'<path d="M{end:.2f} {middle:g}H{last:.2f}" stroke="#000" stroke-width="1"/>')
        lines.append(f'<path d="M{last:.2f} {middle - 3:g}V{middle + 3:g}" stroke="#000" stroke-width="1"/>')
    lines.append(
        f'<rect x="{start:.2f}" y="{top + 3:g}" width="{length:.2f}" height="{ROW - 6:g}" '
        f'fill="{fill}" stroke="#000" stroke-width="0.8"/>'
    )
    return lines


def _cut(text: str, width: float) -> str:
    if text_width(text, POINTS, Weight.REGULAR) <= width:
        return text
    while text and text_width(text + "…", POINTS, Weight.REGULAR) > width:
        text = text[:-1]
    return text.rstrip() + "…"
