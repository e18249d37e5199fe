"""The change report of two sides: opened, read, compared, told in the terminal and printed."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sopc.changes.history import CannotOpen, Side, open_side
from sopc.changes.report import change_report
from sopc.documents.change_report import ChangeReport, report_html, terminal_text
from sopc.documents.working_out import Work, here
from sopc.findings import Finding
from sopc.language.folder import DiskFolder
from sopc.language.grammar import cache_folder
from sopc.library import load_from
from sopc.model.nouns import Office
from sopc.press.desk import Desk
from sopc.render.cache import ResultCache
from sopc.source import SourceFile

MOST_KEPT = 20 * 1024 * 1024  # bytes


class ReportError(ValueError):
    """A side cannot be opened or read, or the report cannot be written; `findings` say what is wrong in a text."""

    def __init__(
        self, sentence: str, findings: Sequence[Finding] = (), files: Mapping[str, SourceFile] | None = None
    ) -> None:
        super().__init__(sentence)
        self.findings = list(findings)
        self.files = files or {}


@dataclass(frozen=True, slots=True)
class Reported:
    """The report as terminal text, and where its PDF was written, if it was asked for."""

    text: str
    pdf: Path | None


def report(old: str, new: str, today: date, target: Path | None, colour: bool) -> Reported:
    """Compare two sides (folders, or REV:folder of a git repository). Raises ReportError."""
    with open_side(old) as before, open_side(new) as after, _days_kept() as work:
        made = change_report(_office(before), _office(after), _label(before), _label(after), today, work)
    pdf = _printed(made, today, target) if target is not None else None
    return Reported(terminal_text(made, color=colour), pdf)


@contextmanager
def _days_kept() -> Iterator[Work]:
    """Where the days of both sides are played: each once, and not again at the next report."""
    folder = cache_folder()
    if folder is None:
        yield here
        return
    cache = ResultCache(folder / "days")
    yield Desk(cache, None).work
    cache.prune(MOST_KEPT)


def _office(side: Side | CannotOpen) -> Office:
    if isinstance(side, CannotOpen):
        raise ReportError(f"{side.sentence} {side.fix}".strip())
    office, findings, reading = load_from(DiskFolder(side.folder.resolve()))
    if office is None:
        raise ReportError(f"{side.label} cannot be compared: mend its errors first.", findings, reading.files)
    return office


def _label(side: Side | CannotOpen) -> str:
    return side.label if isinstance(side, Side) else side.spec


def _printed(made: ChangeReport, today: date, target: Path) -> Path:
    from sopc.render.pdf import write_pdf

    data = write_pdf(report_html(made), {}, today)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=".new-")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(name, 0o644)
        os.replace(name, target)
    except OSError as error:
        raise ReportError(f"{target} cannot be written: {error.strerror}.") from error
    return target
