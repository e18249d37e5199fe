"""Whether a procedure's list of changes finds room under its last flowchart, so that no page is left to it alone."""

from __future__ import annotations

import re
from collections.abc import Sequence

from sopc.documents.sop_model import ChangeRow

TEXT_MM = {"letter": 229.4, "a4": 247.0}
"""Height inside the margins of a bound page."""
_AROUND_MM = 8.2 + 14.0  # the flowchart's heading above it, the end mark of the document below
_LIST_MM = 12.0 + 6.0  # heading and head row
_ROW_MM, _LINE_MM = 2.6, 4.0
_LETTERS = 60  # of a change that surely stand on one line
_HEIGHT = re.compile(r'<svg [^>]*\bheight="([\d.]+)mm"')


def changes_find_room(flowcharts: Sequence[str], changes: Sequence[ChangeRow], paper: str) -> bool:
    """Return whether the changes surely stand under the last drawing on one page with it."""
    found = _HEIGHT.search(flowcharts[-1]) if flowcharts else None
    if found is None or not changes:
        return False
    rows = sum(_ROW_MM + _LINE_MM * -(-max(1, len(row.what)) // _LETTERS) for row in changes)
    return float(found[1]) + _AROUND_MM + _LIST_MM + rows <= TEXT_MM[paper]
