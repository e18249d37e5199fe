"""Finds what the text asks for and paper cannot hold, so that it is told when the text is checked, not when it prints.

The checks know no paper; so what must be measured on it is found here, and `sopc.check` tells both together.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from sopc.documents.log_grid import HEAD_POINTS, MM_PER_POINT, PADDING, Lane, text_box
from sopc.documents.log_room import no_room
from sopc.documents.log_tables import STUBS, row_lanes
from sopc.findings import Finding, code
from sopc.model.nouns import Log, Office

WIDEST = {  # letters by a width in ems that they do not exceed in the bundled face; all others are at most 1 wide
    0.4: "!'(),-./:;I[\\]fijlrt{|}\u00b0\u00a0 ",
    0.56: '"#$*+0123456789<=>?AEFJLSTVXYZ^_`aceghknosuvxyz~\u2013',
    0.68: "&BCDGHKNOPQRUbdpq\u00b5",
    0.86: "%MWmw",
}
EMS = {letter: ems for ems, letters in WIDEST.items() for letter in letters}
CODE = "S27"


def unprintable(office: Office, today: date) -> Iterator[Finding]:
    """Yield a finding for each log whose columns find no room side by side on a landscape leaf (S27)."""
    for log in office.logs.values():
        if not log.columns or _surely_fits(office, log):
            continue
        # Measuring needs the typeface: only where there is doubt. A week has an open day, without which a daily
        # log has no sheet.
        answer = no_room(office, log, today, today + timedelta(days=6))
        if answer is not None:
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
    ems = sum(EMS.get(letter, 1.0) for letter in text)
    return ems * HEAD_POINTS * MM_PER_POINT + 2 * PADDING
