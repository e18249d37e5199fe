"""The pages of a wall chart: one drawing each, at its own size, edge to edge."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from sopc.documents.frame import frame_of
from sopc.documents.printing import printed
from sopc.model.nouns import Office, Procedure


def chart_sheet_html(
    office: Office, procedure: Procedure, today: date, sheets: Sequence[tuple[str, float, float]]
) -> str:
    """Return the HTML that prints these drawings (SVG, width and height in mm), one a page."""
    frame = frame_of(office, procedure, today, "")
    return printed("chart.html", frame, sheets=tuple(sheets), width=sheets[0][1], height=sheets[0][2])
