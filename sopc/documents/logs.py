"""Makes the log sheets of a stretch of dates: one document a log, one leaf or more for each device and period."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from sopc.documents.frame import Frame, fingerprint, frame_of
from sopc.documents.log_drawing import Drawing, draw
from sopc.documents.log_grid import (
    FOOTER_HEIGHT,
    MM_PER_POINT,
    PAPERS,
    TITLE_HEIGHT,
    Cell,
    Leaf,
    TooWide,
    lay,
    mm,
    text_box,
)
from sopc.documents.log_matrix import MOVED
from sopc.documents.log_periods import Period, periods, say_range
from sopc.documents.log_room import NoRoom
from sopc.documents.log_tables import tables_of
from sopc.documents.markdown import plain
from sopc.documents.printing import printed
from sopc.model.nouns import Log, Office
from sopc.render.fonts import Weight, wrap
from sopc.trade.quantities import show_number

CORRECTION = (
    "Write in ink, at the time it is done. Mistake? One line through it so that it stays readable, the right "
    "entry beside it, initials and date. No fluid, no overwriting, no ditto marks. Strike out rows left empty."
)
"""How to correct an entry, after the rules for records that EU GMP 4.7 to 4.9 and WHO TRS 996 annex 5 give."""

LEGEND = {
    "dash": "Empty box: due, initial it when done. Box with a dash: not due.",
    "moved": f"“{MOVED} Fri 25”: done here because the office is closed that day.",
    "closed": "Worked on a closed day? Write on the hatched part and say why.",
}
"""What the marks in a grid mean."""

FOOT_POINTS = 8.5
TITLE_POINTS = 15.0
TITLE_SIDES = 100.0
LEAST_NOTES = 20.0
NOTE_PITCH = 9.0
MOST_NOTES = 10
SIGNATURE_HEIGHT = 12.5
SIGNATURE_WIDTH = 88.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """One leaf as it is printed."""

    id: str  # F-03 · 2026-12 · sheet 1 of 2
    device: str  # title and serial number, empty for a log of no device
    period: str
    leaf: Leaf
    drawing: Drawing = field(repr=False)
    legend: str
    notes: tuple[float, ...]  # where ruled lines for notes stand, millimetres below the grid
    page: int
    pages: int


@dataclass(frozen=True, slots=True)
class LogDocument:
    """One log's sheets, ready to be rendered; `assets` are the files its HTML asks for."""

    id: str
    name: str
    title: str
    period: str
    html: str
    assets: Mapping[str, bytes]
    sheets: tuple[Sheet, ...]
    revision: str
    source: str  # eight hexadecimal digits of its content


def log_documents(office: Office, first: date, last: date, today: date) -> tuple[LogDocument | NoRoom, ...]:
    """Return a document for each log with the sheets of all periods that touch `first` to `last`, both included.

    A log too wide for its paper yields NoRoom in its place. ValueError when `last` is before `first`.
    """
    if last < first:
        raise ValueError(f"the last day {last} is before the first day {first}")
    documents = (log_document(office, log, first, last, today) for log in office.logs.values())
    return tuple(document for document in documents if document is not None)


def log_document(office: Office, log: Log, first: date, last: date, today: date) -> LogDocument | NoRoom | None:
    """Return the document of one log; None when no sheet of it is needed (the office is closed all the while)."""
    id = log.id or log.name
    laid = _lay_all(office, log, first, last)
    if isinstance(laid, TooWide):
        return NoRoom(log, laid)
    if not laid:
        return None
    sheets = _numbered(office, log, id, laid)
    frame = frame_of(office, log, today, fingerprint(log.title, log.revision, log.effective, log.keep_years, sheets))
    html = _html(office, log, frame, sheets)
    return LogDocument(id, log.name, log.title, say_range(first, last), html, {}, sheets, frame.revision, frame.source)


def _lay_all(
    office: Office, log: Log, first: date, last: date
) -> list[tuple[str | None, Period, tuple[Leaf, ...]]] | TooWide:
    paper = office.premises.paper
    feet = (foot_height(log, paper, True), foot_height(log, paper, False))
    devices: tuple[str | None, ...] = log.for_devices or (None,)
    laid: list[tuple[str | None, Period, tuple[Leaf, ...]]] = []
    for device in devices:
        for period in periods(log.period, first, last):
            tables = tables_of(office, log, device, period)
            found = [lay(table, paper, feet) for table in tables]
            fitting = [leaves for leaves in found if not isinstance(leaves, TooWide)]
            if fitting:
                laid.append((device, period, min(fitting, key=len)))
            elif found and isinstance(found[0], TooWide):
                return found[0]
    return laid


def _numbered(
    office: Office, log: Log, id: str, laid: list[tuple[str | None, Period, tuple[Leaf, ...]]]
) -> tuple[Sheet, ...]:
    total = sum(len(leaves) for _, _, leaves in laid)
    sheets: list[Sheet] = []
    for device, period, leaves in laid:
        for number, leaf in enumerate(leaves, start=1):
            parts = [id]
            if device and len(log.for_devices) > 1:
                parts.append(device.replace("_", " "))
            parts += [period.code, f"sheet {number} of {len(leaves)}"]
            name = " · ".join(parts)
            title = device_title(office, device)
            notes = note_lines(log, leaf, office.premises.paper)
            page = len(sheets) + 1
            sheets.append(Sheet(name, title, period.title, leaf, draw(leaf), legend(leaf), notes, page, total))
    return tuple(sheets)


def note_lines(log: Log, leaf: Leaf, paper: str) -> tuple[float, ...]:
    """Ruled lines for notes in what is left of the page, when that is enough for two."""
    used = TITLE_HEIGHT + leaf.height + foot_height(log, paper, leaf.portrait) + FOOTER_HEIGHT
    left = text_box(paper, leaf.portrait)[1] - used
    if left < LEAST_NOTES:
        return ()
    start = limits_height(log, paper, leaf.portrait)
    count = min(MOST_NOTES, int((left - 2) // NOTE_PITCH))
    return tuple(round(start + NOTE_PITCH * number, 2) for number in range(1, count + 1))


def device_title(office: Office, device: str | None) -> str:
    """Title and serial number of a device, as they stand on its sheet."""
    if device is None:
        return ""
    found = office.devices.get(device)
    if found is None:
        return device
    return f"{found.title} · serial number {found.serial}" if found.serial else found.title


def legend(leaf: Leaf) -> str:
    """What the marks on this leaf mean; only those that are on it."""
    shown = {
        "dash": any(cell is Cell.NOT_DUE for line in leaf.lines for cell in line.cells),
        "moved": any(mark.startswith(MOVED) for line in leaf.lines for mark in line.marks),
        "closed": any(line.closed for line in leaf.lines) or any(lane.closed for lane in leaf.lanes),
    }
    return " ".join(text for key, text in LEGEND.items() if shown[key])


# ── Below the grid ──────────────────────────────────────────────────────────────────────────────


def foot_height(log: Log, paper: str, portrait: bool) -> float:
    """Millimetres that stand below the grid: what to do out of limits, the rules of the pen, the reviewer's line."""
    return limits_height(log, paper, portrait) + rules_height(log, paper, portrait)


def limits_height(log: Log, paper: str, portrait: bool) -> float:
    """Millimetres of the box that says what to do out of limits; 0 when the log says nothing."""
    if not log.out_of_limits:
        return 0.0
    room = (text_box(paper, portrait)[0] - 38.0) / MM_PER_POINT
    texts = [plain(line) or " " for line in log.out_of_limits.strip().splitlines()]
    lines = sum(len(wrap(text, FOOT_POINTS, Weight.SEMIBOLD, room)) for text in texts)
    return max(lines, 2) * FOOT_POINTS * 1.3 * MM_PER_POINT + 4.5


def rules_height(log: Log, paper: str, portrait: bool) -> float:
    """Millimetres of the pen rules with the longest legend, or of the reviewer's line beside them."""
    room = (text_box(paper, portrait)[0] - SIGNATURE_WIDTH - 5) / MM_PER_POINT
    legends = LEGEND.values() if log.row == "task" else (LEGEND["closed"],) if log.row else ()
    lines = wrap(" ".join((CORRECTION, *legends, keeping(log))), 7.5, Weight.SEMIBOLD, room)
    return max(SIGNATURE_HEIGHT, len(lines) * 7.5 * 1.2 * MM_PER_POINT) + 2.5


def keeping(log: Log) -> str:
    """How long the filled sheet is kept."""
    if log.keep_years is None:
        return ""
    years = "year" if log.keep_years == 1 else "years"
    return f"Keep the filled sheet {show_number(log.keep_years)}\u00a0{years}."


def title_points(title: str, paper: str) -> float:
    """Size at which the title keeps to one line beside the form's number and the period; never under 10 pt."""
    room = text_box(paper, True)[0] - TITLE_SIDES
    return max(10.0, min(TITLE_POINTS, round(TITLE_POINTS * room / mm(title, TITLE_POINTS, Weight.BOLD), 1)))


def _html(office: Office, log: Log, frame: Frame, sheets: tuple[Sheet, ...]) -> str:
    width, height = PAPERS[office.premises.paper]
    boxes = {portrait: text_box(office.premises.paper, portrait) for portrait in (True, False)}
    return printed(
        "log.html",
        frame,
        log=log,
        sheets=sheets,
        paper={"width": width, "height": height},
        boxes=boxes,
        heights={"title": TITLE_HEIGHT, "footer": FOOTER_HEIGHT},
        title_points=title_points(frame.title, office.premises.paper),
        correction=CORRECTION,
        keeping=keeping(log),
    )
