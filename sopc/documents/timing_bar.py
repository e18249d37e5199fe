"""Draws how the time of a procedure runs: one bar a step, staff time solid, machine time hatched."""

from __future__ import annotations

from dataclasses import dataclass
from xml.sax.saxutils import escape

from sopc.checks.time.times import ProcedureTimes
from sopc.model.nouns import Decider
from sopc.render.fonts import FAMILY_LIST, Weight, wrap
from sopc.trade.quantities import show_duration

WIDTH = 490.0  # points, as wide as the text box of both paper sizes
LABELS = 240.0
ROW = 16.0
LINE = 9.0  # points from one line of a label to the next
HEAD = 20.0
POINTS = 8.5
TICKS = (15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 28800, 86400, 172800, 604800)
MOST_TICKS = 5
FEWEST_BARS = 2
SHORTEST = 120  # seconds; nobody plans by a chart what is over sooner


@dataclass(frozen=True, slots=True)
class StepTime:
    """When a step can run, in seconds after the start of the procedure."""

    number: str
    title: str
    earliest: int  # its earliest start
    least: int
    most: int | None  # None: no upper end is stated
    latest: int | None  # its latest start; None: no limit holds it
    decider: Decider

    @property
    def end(self) -> int:
        """The last moment that is drawn of it."""
        return max(self.earliest + (self.least if self.most is None else self.most), self.latest or 0)


def step_times(times: ProcedureTimes) -> tuple[StepTime, ...]:
    """Return the steps that take time, in the order of the text."""
    return tuple(
        StepTime(
            number=each.step.number,
            title=each.step.title,
            earliest=each.earliest,
            least=each.least,
            most=each.most,
            latest=each.latest,
            decider=each.step.takes.decider if each.step.takes else Decider.STAFF,
        )
        for each in times.steps.values()
        if each.most != 0
    )


def bar_chart(times: tuple[StepTime, ...], title: str) -> str:
    """Return the chart as SVG; an empty text when it would tell nothing: one bar, or under two minutes."""
    if len(times) < FEWEST_BARS:
        return ""
    span = max(each.end for each in times)
    if span < SHORTEST:
        return ""
    tick = next((each for each in TICKS if span / each <= MOST_TICKS), span)
    whole = -(-span // tick) * tick
    scale = (WIDTH - LABELS - 24) / whole
    labels = [wrap(each.title, POINTS, Weight.REGULAR, LABELS - 32) for each in times]
    height = HEAD + sum(_height(label) for label in labels) + 6
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
    top = HEAD
    for each, label in zip(times, labels, strict=True):
        lines += _bar(each, label, top, scale)
        top += _height(label)
    lines.append("</svg>")
    return "\n".join(lines)


def _height(label: list[str]) -> float:
    return ROW + LINE * (len(label) - 1)


def _bar(each: StepTime, label: list[str], top: float, scale: float) -> list[str]:
    """One row: label, the shortest time as a bar, a line to the longest, a triangle at the latest start."""
    start = LABELS + each.earliest * scale
    end = start + max(each.least * scale, 1.5)
    fill = {"machine": "url(#timing-machine)", "outcome": "#fff"}.get(each.decider.value, "#000")
    middle = top + ROW / 2
    lines = [
        f'<path d="M0 {top:g}H{WIDTH:g}" stroke="#000" stroke-width="0.25"/>',
        f'<text x="0" y="{middle + 3:g}" font-weight="700">{escape(each.number)}</text>',
        *(
            f'<text x="26" y="{middle + 3 + LINE * number:g}">{escape(line)}</text>'
            for number, line in enumerate(label)
        ),
    ]
    if each.most is None:
        lines.append(
            f'<path d="M{end:.2f} {middle:g}H{end + 10:.2f}" stroke="#000" stroke-width="1" stroke-dasharray="2 1.5"/>'
            f'<path d="M{end + 9:.2f} {middle - 2.5:g}L{end + 14:.2f} {middle:g}L{end + 9:.2f} {middle + 2.5:g}Z"/>'
        )
    elif each.most > each.least:
        last = start + each.most * scale
        lines.append(f'<path d="M{end:.2f} {middle:g}H{last:.2f}" stroke="#000" stroke-width="1"/>')
        lines.append(f'<path d="M{last:.2f} {middle - 3:g}V{middle + 3:g}" stroke="#000" stroke-width="1"/>')
    lines.append(
        f'<rect x="{start:.2f}" y="{top + 3:g}" width="{end - start:.2f}" height="{ROW - 6:g}" '
        f'fill="{fill}" stroke="#000" stroke-width="0.8"/>'
    )
    if each.latest is not None:
        x = LABELS + each.latest * scale
        lines.append(f'<path d="M{x - 3.5:.2f} {top + 3:g}H{x + 3.5:.2f}L{x:.2f} {top + ROW - 3:g}Z" fill="#000"/>')
    return lines
