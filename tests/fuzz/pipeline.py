"""What must hold of any text whatever: it is read, checked, told of, compared and printed without a fault of sopc.

Work and memory are bounded: what takes more than `LONGEST` seconds of processor time, or needs more than `LARGEST`
bytes of new address space, is a fault like any other.
"""

from __future__ import annotations

import json
import resource
import signal
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from types import FrameType
from unittest.mock import patch

from sopc.changes.report import change_report
from sopc.documents import day_plan
from sopc.documents.binder import binder_documents
from sopc.documents.change_report import report_html, terminal_text
from sopc.documents.charts import chart_of
from sopc.documents.logs import log_documents
from sopc.findings import Finding, data, sarif, text
from sopc.findings.registry import codes
from sopc.language.folder import Folder
from sopc.language.grammar import parser
from sopc.library import check, failed, in_order, load_from
from sopc.model.nouns import Office
from sopc.press.order import PressError
from sopc.press.plan import in_words, plan_of
from sopc.source import SourceFile, Span

TODAY = date(2026, 12, 2)
LONGEST = 20.0  # seconds of processor time; a sound text of this size takes a few hundredths
LARGEST = 1024**3
FEW = {"RUNS": 3, "FEWEST_RUNS": 3}  # days played for a plan: more of them show nothing new


class TooLongError(Exception):
    """The work on one text has no end in sight."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What became of an office: None when its texts have errors that hold reading up."""

    office: Office | None
    findings: list[Finding]


@contextmanager
def bounded(seconds: float = LONGEST, room: int = LARGEST) -> Iterator[None]:
    """Raise TooLongError or MemoryError when the block needs more than that. Waiting for a busy machine is no work."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooLongError(f"more than {seconds:.0f} s of work")

    parser()
    before = signal.signal(signal.SIGVTALRM, stop)
    taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (taken + room, hard))
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
        signal.signal(signal.SIGVTALRM, before)


def judge(folder: Folder) -> Judged:
    """Read, check, and tell of it in every form; whatever is found has a place inside its file."""
    office, findings, reading = load_from(folder)
    assert (office is None) == failed(findings)
    if office is not None:
        findings = in_order([*findings, *check(office, TODAY)])
    for finding in findings:
        assert finding.code in codes(), finding.code
        assert finding.sentence.strip(), finding.code
        spans = [finding.span, *(note.span for note in finding.notes), *(step.span for step in finding.walk)]
        for span in spans:
            assert span is None or lies_inside(span, reading.files), (finding.code, span)
    text.render(findings, reading.files, colour=True).encode()
    assert len(json.loads(data.render(findings, "0.0.0"))["findings"]) == len(findings)
    assert json.loads(sarif.render(findings, reading.files, "0.0.0", int(failed(findings))))["version"] == "2.1.0"
    return Judged(office, findings)


def lies_inside(span: Span, files: dict[str, SourceFile]) -> bool:
    """Whether a place is in a file that was read, or names a file that could not be, or no file at all."""
    if not span.file or span.file not in files:
        return span.line >= 0
    lines = files[span.file].lines
    begin, end = (span.line, span.column), (span.end_line, span.end_column)
    return (
        (1, 1) <= begin <= end
        and span.end_line <= len(lines)
        and span.column <= len(lines[span.line - 1]) + 1
        and span.end_column <= len(lines[span.end_line - 1]) + 1
    )


def plan(office: Office) -> None:
    """Play each caseload, as `sopc plan` does; an office may refuse, in words."""
    for name in office.caseloads:
        with suppress(PressError):
            assert in_words(plan_of(office, name, None, 3, 1)).strip()


def compose(office: Office) -> None:
    """Make every paper's HTML and the outline of every chart; only pages are not set."""
    for procedure in office.procedures.values():
        assert chart_of(office, procedure, TODAY, "").nodes
    documents = [*binder_documents(office, TODAY), *log_documents(office, TODAY, date(2026, 12, 31), TODAY)]
    assert all(getattr(document, "html", document) for document in documents)


def compare(offices: Iterable[Office | None]) -> None:
    """Compare offices both ways, as `sopc diff` does."""
    old, new = offices
    if old is None or new is None:
        return
    for before, after in ((old, new), (new, old)):
        report = change_report(before, after, "before", "after", TODAY)
        assert terminal_text(report)
        assert report_html(report)


def go_through(folder: Folder, old: Office | None = None) -> Judged:
    """The whole way of one office; `old` is what it is compared with."""
    judged = judge(folder)
    if judged.office is not None:
        with patch.multiple(day_plan, **FEW):
            plan(judged.office)
            compare((old, judged.office))
            if not failed(judged.findings):
                compose(judged.office)
    return judged
