"""Findings as text for a terminal or a file: place, line, sentence, what would happen, witness, fix."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sopc.findings.causes import follow_from_it, one_per_cause
from sopc.findings.finding import Finding, Severity, WalkStep
from sopc.source import SourceFile, Span

WIDTH = 100
MARKS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.REMARK: "remark"}
UNSEEN = dict.fromkeys([*range(32), *range(127, 160), *range(0x202A, 0x202F), *range(0x2066, 0x206A)], "\ufffd")
"""Letters that steer a terminal or turn the writing round: a mark is shown in their place."""
COLOURS = {Severity.ERROR: "31;1", Severity.WARNING: "33;1", Severity.REMARK: "36"}


@dataclass(frozen=True, slots=True)
class _Ink:
    """Wraps text in terminal colours, or leaves it plain."""

    colour: bool

    def __call__(self, text: str, code: str) -> str:
        return f"\x1b[{code}m{text}\x1b[0m" if self.colour and text else text


def render(findings: Sequence[Finding], files: Mapping[str, SourceFile], colour: bool = False) -> str:
    """All findings, one block each, then a line that counts them. Findings of one cause are shown once."""
    shown, hidden = one_per_cause(findings)
    ink = _Ink(colour)
    blocks = [_block(finding, files, ink, hidden.get(finding.cause, 0)) for finding in shown]
    return "\n".join([*blocks, summary(shown, len(findings) - len(shown))]) + "\n"


def summary(findings: Sequence[Finding], hidden: int = 0) -> str:
    """How many there are of each severity, and how many that follow from them are not shown."""
    counts = {severity: sum(1 for finding in findings if finding.severity is severity) for severity in Severity}
    parts = [f"{number} {severity.value}{'' if number == 1 else 's'}" for severity, number in counts.items() if number]
    more = f" ({follow_from_it(hidden).replace(' it', ' these')})" if hidden else ""
    return "No findings." if not parts else ", ".join(parts) + more + "."


def _block(finding: Finding, files: Mapping[str, SourceFile], ink: _Ink, more: int) -> str:
    head = f"{ink(MARKS[finding.severity], COLOURS[finding.severity])} {finding.code}"
    place = str(finding.span).translate(UNSEEN) if finding.span.file else "the office"
    lines = [f"{ink(place, '1')}  {head}", *_wrapped(finding.sentence, "  ", "1", ink)]
    lines += _excerpt(finding.span, files, ink)
    if finding.floor:
        lines += _wrapped(f"On the floor: {finding.floor}", "  ", "", ink)
    lines += _walk(finding.walk)
    for note in finding.notes:
        lines += _wrapped(f"{note.text}: {note.span}", "  - ", "", ink)
    if finding.fix:
        lines += _wrapped(f"Fix: {finding.fix}", "  ", "32", ink)
    if finding.asked_by:
        lines += _wrapped(f"Asked for by {'; '.join(finding.asked_by)}.", "  ", "", ink)
    if more:
        lines.append(f"  ({follow_from_it(more)})")
    return "\n".join(lines) + "\n"


def _wrapped(text: str, indent: str, code: str, ink: _Ink) -> list[str]:
    found: list[str] = []
    for paragraph in text.split("\n"):
        wrapped = textwrap.wrap(
            paragraph.translate(UNSEEN),
            WIDTH,
            initial_indent=indent,
            subsequent_indent=" " * len(indent),
            break_long_words=False,
            break_on_hyphens=False,
        )
        found.extend(ink(line, code) if code else line for line in wrapped)
    return found


def _excerpt(span: Span, files: Mapping[str, SourceFile], ink: _Ink) -> list[str]:
    file = files.get(span.file)
    if file is None or span.line < 1:
        return []
    line = file.line(span.line)
    shown = line.expandtabs(2).translate(UNSEEN)
    start = len(line[: span.column - 1].expandtabs(2))
    width = span.end_column - span.column if span.end_line == span.line else len(line) - span.column + 1
    if len(shown) > WIDTH + 40:
        cut = max(start - 40, 0)
        shown, start = "…" + shown[cut : cut + WIDTH], start - cut + 1
    number = f"{span.line:>5} | "
    pointer = " " * (len(number) + start) + "^" * max(min(width, len(shown) - start), 1)
    return [ink(number, "2") + shown, ink(pointer, COLOURS[Severity.ERROR])]


def _walk(walk: Sequence[WalkStep]) -> list[str]:
    found = []
    for number, step in enumerate(walk, 1):
        place = f"  [{step.span.file}:{step.span.line}]" if step.span and step.span.file else ""
        lead = f"  {number:>3}. "
        found += textwrap.wrap(
            (step.text + place).translate(UNSEEN),
            WIDTH,
            initial_indent=lead,
            subsequent_indent=" " * len(lead),
            break_long_words=False,
            break_on_hyphens=False,
        )
    return found
