"""Finds what the text asks for and paper cannot hold, so that it is told when the text is checked, not when it prints.

The checks know no paper; so what must be measured on it is found here, and `sopc.check` tells both together.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sopc.documents.log_grid import HEAD_POINTS, MM_PER_POINT, PADDING, Lane, text_box
from sopc.documents.log_tables import STUBS, row_lanes
from sopc.findings import Finding, code
from sopc.model.nouns import Log, Office

NARROW = frozenset("!'(),-./:;I[]fijlrt|{}\u00b0 ")  # at most 0.4 ems wide in the bundled face
USUAL = frozenset("$*`+<=>?0123456789ABCDEFGHJKLNOPRSTUVXYZ^_abcdeghknopqsuvxyz#&~\u2013")  # at most 0.68; others 1
CODE = "S27"


def unprintable(office: Office, today: date) -> Iterator[Finding]:
    """Yield a finding for each log whose columns find no room side by side on a landscape leaf (S27)."""
    for log in office.logs.values():
        if not log.columns or _surely_fits(office, log):
            continue
        # Measuring needs the typeface: only where there is doubt.
        from sopc.documents.logs import NoRoom, log_document

        # A week has an open day, without which a daily log has no sheet.
        answer = log_document(office, log, today, today + timedelta(days=6), today)
        if isinstance(answer, NoRoom):
            floor = "The sheet cannot be printed: what is left of a column is no place to write in."
            yield Finding(CODE, code(CODE).severity, log.span, answer.sentence, floor, (), answer.fix)


def _surely_fits(office: Office, log: Log) -> bool:
    width = sum(_most(lane) for lane in row_lanes(log))
    return STUBS[log.row] + width <= text_box(office.premises.paper, False)[0]


def _most(lane: Lane) -> float:
    """More than the least width of a lane, whatever its letters."""
    longest = max((_at_most(word) for text in (lane.title, *lane.details) for word in text.split(" ")), default=0.0)
    return max(lane.floor, longest, sum(max(8.0, _at_most(word)) for word in lane.boxes))


def _at_most(text: str) -> float:
    """More than the width of a text in millimetres."""
    ems = sum(0.4 if letter in NARROW else 0.68 if letter in USUAL else 1.0 for letter in text)
    return ems * HEAD_POINTS * MM_PER_POINT + 2 * PADDING
