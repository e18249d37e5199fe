"""The page model of the change report, and how it is printed: as paper to approve by, and as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher
from textwrap import wrap as fill

from sopc.documents.frame import Frame
from sopc.documents.printing import printed

LONGEST_COMPARED = 600
"""Words up to which two texts are marked word by word; beyond it marks help no reader."""
LONG_TEXT = 45
KEPT_WORDS = 7


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of text; `other` means the opposite side does not have it."""

    text: str
    other: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One change: what, how, old and new in pieces, where each stands, and what follows from it."""

    what: str
    how: str
    old: tuple[Piece, ...]
    new: tuple[Piece, ...]
    old_place: str
    new_place: str
    direction: str
    attention: bool
    people: str  # who must know, and how


@dataclass(frozen=True, slots=True)
class Group:
    """All changes of one document or thing."""

    heading: str
    control: tuple[str, ...]  # revision, dates, history
    touches: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Exchange:
    """A paper to take out and the one to put in its place; `places` are binder, wall, clipboard."""

    id: str
    title: str
    take_out: str
    put_in: str
    places: str


@dataclass(frozen=True, slots=True)
class Duty:
    """What one role must be trained in, what it reads and signs, and how many people that may be."""

    role: str
    train: str
    read: str
    people: int


@dataclass(frozen=True, slots=True)
class ChangeReport:
    """Everything the report says."""

    frame: Frame
    old_label: str
    new_label: str
    counts: str
    attention: tuple[tuple[str, Row], ...]
    remarks: tuple[tuple[str, str], ...]
    exchanges: tuple[Exchange, ...]
    duties: tuple[Duty, ...]
    groups: tuple[Group, ...]
    approver: str


def pieces(old: str, new: str) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """Cut two texts into what they share and what only one has, by words."""
    one, two = old.split(), new.split()
    if not one or not two or len(one) + len(two) > LONGEST_COMPARED:
        return _whole(old, not new), _whole(new, not old)
    matcher = SequenceMatcher(None, one, two, autojunk=False)
    if matcher.ratio() < 0.3:
        return _whole(old, True), _whole(new, True)
    left: list[Piece] = []
    right: list[Piece] = []
    long = max(len(one), len(two)) > LONG_TEXT
    for tag, a, b, c, d in matcher.get_opcodes():
        shared = tag == "equal"
        if b > a:
            left.append(Piece(_shown(one[a:b], long and shared), not shared))
        if d > c:
            right.append(Piece(_shown(two[c:d], long and shared), not shared))
    return tuple(left), tuple(right)


def _shown(words: list[str], shorten: bool) -> str:
    """A stretch of text; in long texts only the ends of what both sides share."""
    if shorten and len(words) > 2 * KEPT_WORDS + 3:
        words = [*words[:KEPT_WORDS], "…", *words[-KEPT_WORDS:]]
    return " ".join(words)


def _whole(text: str, other: bool) -> tuple[Piece, ...]:
    return (Piece(text, other),) if text else ()


def report_html(report: ChangeReport) -> str:
    """Return the report as HTML for the printer."""
    return printed("change.html", report.frame, report=report)


# ── For a terminal ──────────────────────────────────────────────────────────────────────────────

BOLD, DIM, PLAIN = "\x1b[1m", "\x1b[2m", "\x1b[0m"
FEWEST_COLUMNS = 60


@dataclass(frozen=True, slots=True)
class _Pen:
    """How wide lines are, and whether they may be emphasised."""

    width: int
    color: bool

    def strong(self, text: str) -> str:
        return f"{BOLD}{text}{PLAIN}" if self.color else text

    def faint(self, text: str) -> str:
        return f"{DIM}{text}{PLAIN}" if self.color else text

    def lines(self, text: str, first: str, rest: str) -> Iterator[str]:
        clean = " ".join(text.replace("\u00a0", " ").split())
        room = max(24, self.width - len(rest))
        for number, line in enumerate(fill(clean, room) or [""]):
            yield (first if number == 0 else rest) + line


def terminal_text(report: ChangeReport, width: int = 88, color: bool = False) -> str:
    """Return the report as text no wider than `width` columns (at least 60), emphasised only with `color`."""
    pen = _Pen(max(width, FEWEST_COLUMNS), color)
    lines = [pen.strong(f"{report.frame.office}: what changed"), f"from {report.old_label} to {report.new_label}"]
    lines += ["", *pen.lines(report.counts, "", "")]
    lines += _attention_lines(report, pen)
    if report.remarks:
        lines += ["", pen.strong("Document control")]
        for document, sentence in report.remarks:
            lines += pen.lines(f"{document}: {sentence}", "  ! ", "    ")
    for group in report.groups:
        lines += ["", pen.strong(group.heading)]
        for text in group.control:
            lines += [pen.faint(line) for line in pen.lines(text, "  ", "  ")]
        for row in group.rows:
            lines += _row_lines(row, pen)
        if group.touches:
            lines += [pen.faint(line) for line in pen.lines(f"Papers: {group.touches}", "  ", "          ")]
    lines += _exchange_lines(report, pen)
    lines += _duty_lines(report, pen)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _attention_lines(report: ChangeReport, pen: _Pen) -> list[str]:
    if not report.attention:
        return []
    lines = ["", pen.strong("Loosened: the approver must look at these")]
    for heading, row in report.attention:
        change = f"{heading}, {row.what}: {_joined(row.old) or 'none'} → {_joined(row.new) or 'none'} ({row.direction})"
        lines += pen.lines(change, "  ! ", "    ")
    return lines


def _row_lines(row: Row, pen: _Pen) -> list[str]:
    tail = f", {row.direction.upper() if row.attention else row.direction}" if row.direction else ""
    lines = list(pen.lines(f"{row.what} ({row.how}{tail})" if row.what else f"{row.how}{tail}", "  * ", "    "))
    if row.old:
        lines += pen.lines(f"{_joined(row.old)}  [{row.old_place}]", "    - ", "      ")
    if row.new:
        lines += pen.lines(f"{_joined(row.new)}  [{row.new_place}]", "    + ", "      ")
    return lines


def _joined(parts: tuple[Piece, ...]) -> str:
    return " ".join(piece.text for piece in parts)


def _exchange_lines(report: ChangeReport, pen: _Pen) -> list[str]:
    if not report.exchanges:
        return []
    lines = ["", pen.strong("Papers to swap")]
    for each in report.exchanges:
        if not each.put_in:
            what = f"take out {each.take_out}"
        elif not each.take_out:
            what = f"put in {each.put_in}"
        else:
            what = f"take out {each.take_out}, put in {each.put_in}"
        lines += pen.lines(f"{each.id} {each.title}: {what} ({each.places})", "  [ ] ", "      ")
    return lines


def _duty_lines(report: ChangeReport, pen: _Pen) -> list[str]:
    if not report.duties:
        return []
    lines = ["", pen.strong("People")]
    for duty in report.duties:
        if duty.train:
            lines += pen.lines(f"{duty.role}: train again in {duty.train}", "  [ ] ", "      ")
        if duty.read:
            lines += pen.lines(f"{duty.role}: read and sign {duty.read}", "  [ ] ", "      ")
    return lines
