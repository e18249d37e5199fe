"""Draws a day as lanes over the hours: patients dotted, hands solid, machines hatched, idle but held left white."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape

from sopc.documents.day_lanes import Bar, Fill, Lane, split_title
from sopc.render.fonts import FAMILY_LIST, Weight, text_width
from sopc.trade.simulation import Day

WIDTH = 490.0  # points, as wide as the text box of both paper sizes
LABELS = 128.0
ROW = 17.0
HEAD = 20.0
KEY = 24.0
POINTS = 8.5
HOUR = 3600
FILLS = {
    Fill.PATIENT: ("url(#day-patient)", "patient in the chair"),
    Fill.HANDS: ("#000", "hands-on work"),
    Fill.MACHINE: ("url(#day-machine)", "machine runs, or things cool or dry"),
    Fill.HELD: ("#fff", "held, waiting for hands"),
}
PATTERNS = (
    '<pattern id="day-machine" width="4" height="4" patternUnits="userSpaceOnUse">'
    '<rect width="4" height="4" fill="#fff"/>'
    '<path d="M0 4L4 0M-1 1L1 -1M3 5L5 3" stroke="#000" stroke-width="0.9"/></pattern>'
    '<pattern id="day-patient" width="3" height="3" patternUnits="userSpaceOnUse">'
    '<rect width="3" height="3" fill="#fff"/>'
    '<circle cx="1.5" cy="1.5" r="0.6"/></pattern>'
)


def day_chart(lanes: Sequence[Lane], opens: int, ready_by: int, day: Day, title: str) -> str:
    """Return the chart as SVG, from the opening hour to the last bar; empty when there is nothing to draw.

    Nights are cut out: where one was stands a double line.
    """
    if not lanes:
        return ""
    lanes = [without_nights(lane, day) for lane in lanes]
    bars = [bar for lane in lanes for bar in lane.bars]
    opens, ready_by = day.awake(opens), day.awake(ready_by)
    first = min(opens, *(bar.start for bar in bars)) // HOUR
    last = -(-max(ready_by, *(bar.end for bar in bars)) // HOUR)
    scale = (WIDTH - LABELS - 8) / ((last - first) * HOUR)
    height = HEAD + ROW * len(lanes) + KEY
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}pt" height="{height:g}pt" '
        f'viewBox="0 0 {WIDTH:g} {height:g}" role="img" font-family="{FAMILY_LIST}" font-size="{POINTS}">',
        f"<title>{escape(title)}</title>",
        f"<defs>{PATTERNS}</defs>",
    ]
    bottom = HEAD + ROW * len(lanes)
    for hour in range(first, last + 1):
        x = LABELS + (hour - first) * HOUR * scale
        lines.append(
            f'<path d="M{x:.2f} {HEAD - 4:g}V{bottom:g}" stroke="#000" stroke-width="0.5" stroke-dasharray="0.6 2"/>'
        )
        lines.append(f'<text x="{x:.2f}" y="{HEAD - 8:g}" text-anchor="middle">{hour_label(day, hour)}</text>')
    for start, _ in day.nights:
        x = LABELS + (day.awake(start) - first * HOUR) * scale
        lines.append(
            f'<path d="M{x - 1:.2f} {HEAD - 4:g}V{bottom:g}M{x + 1:.2f} {HEAD - 4:g}V{bottom:g}" stroke="#000" '
            'stroke-width="0.6"/>'
        )
    for row, lane in enumerate(lanes):
        lines += _lane(lane, HEAD + row * ROW, first * HOUR, scale)
    x = LABELS + (ready_by - first * HOUR) * scale
    lines.append(f'<path d="M{x:.2f} {HEAD - 5:g}V{bottom + 3:g}" stroke="#000" stroke-width="1.6"/>')
    lines += _key(bottom + 9)
    lines.append("</svg>")
    return "\n".join(lines)


def hour_label(day: Day, hour: int) -> str:
    """What stands over a full hour of time without nights: the hour on the clock, that of both sides at a night."""
    on_clock = day.on_clock(hour * HOUR) // HOUR
    after = next((end // HOUR for start, end in day.nights if day.awake(start) == hour * HOUR), None)
    return f"{on_clock % 24}|{after % 24}" if after is not None else str(on_clock % 24)


def without_nights(lane: Lane, day: Day) -> Lane:
    """The lane as if there were no nights."""
    bars = tuple(Bar(day.awake(bar.start), day.awake(bar.end), bar.fill) for bar in lane.bars)
    return Lane(lane.title, lane.person, tuple(bar for bar in bars if bar.end > bar.start))


def _lane(lane: Lane, top: float, origin: int, scale: float) -> list[str]:
    lines = [
        f'<path d="M0 {top:g}H{WIDTH:g}" stroke="#000" stroke-width="0.25"/>',
        f'<text x="0" y="{top + ROW / 2 + 3:g}">{escape(_cut(lane.title, LABELS - 8))}</text>',
    ]
    for bar in lane.bars:
        x = LABELS + (bar.start - origin) * scale
        width = max((bar.end - bar.start) * scale, 0.8)
        fill = FILLS[bar.fill][0]
        lines.append(
            f'<rect x="{x:.2f}" y="{top + 3:g}" width="{width:.2f}" height="{ROW - 6:g}" fill="{fill}" '
            f'stroke="#000" stroke-width="{0.3 if bar.fill is Fill.HANDS else 0.6:g}"/>'
        )
    return lines


def _key(top: float) -> list[str]:
    lines = []
    x = 0.0
    for fill, words in FILLS.values():
        lines.append(
            f'<rect x="{x:.2f}" y="{top:g}" width="16" height="9" fill="{fill}" stroke="#000" stroke-width="0.6"/>'
        )
        lines.append(f'<text x="{x + 20:.2f}" y="{top + 7.5:g}">{words}</text>')
        x += 20 + text_width(words, POINTS, Weight.REGULAR) + 14
    return lines


def _cut(text: str, width: float) -> str:
    """Shorten so that a number at the end stays."""
    if text_width(text, POINTS, Weight.REGULAR) <= width:
        return text
    head, tail = split_title(text)
    while head and text_width(f"{head}…{tail}", POINTS, Weight.REGULAR) > width:
        head = head[:-1]
    return f"{head.rstrip()}…{tail}"
