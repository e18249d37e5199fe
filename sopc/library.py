"""The verbs of the library: load, check; the command line and others call these."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from pathlib import Path

from sopc.findings import Finding, Severity
from sopc.language.folder import DiskFolder, Folder, TextFolder
from sopc.language.read import Reading, read_office
from sopc.model.build import build
from sopc.model.nouns import Office


def load(path: str | Path) -> tuple[Office | None, list[Finding]]:
    """Read the office folder at `path`. The office is None when a finding is an error.

    Raises NotADirectoryError when there is no such folder.
    """
    root = Path(path)
    if not root.is_dir():
        raise NotADirectoryError(str(path))
    return load_from(DiskFolder(root.resolve()))[0:2]


def load_text(files: Mapping[str, str] | str) -> tuple[Office | None, list[Finding]]:
    """Read an office from texts in memory, by file name; a single text is taken as `office.sop`."""
    texts = {"office.sop": files} if isinstance(files, str) else files
    return load_from(TextFolder(texts))[0:2]


def load_from(folder: Folder) -> tuple[Office | None, list[Finding], Reading]:
    """Read and build; also hand over the reading, whose files carry the lines that findings show."""
    reading = read_office(folder)
    if not reading.readable:
        return None, in_order(reading.findings), reading
    office, findings = build(reading)
    return office, in_order([*reading.findings, *findings]), reading


def check(office: Office, today: date) -> list[Finding]:
    """Run every check over a whole office, and find what paper cannot hold of it."""
    from sopc.checks import check_office
    from sopc.documents.fitting import unprintable

    return in_order([*check_office(office, today), *unprintable(office, today)])


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by place, each once, errors and all."""
    return sorted(dict.fromkeys(findings), key=Finding.sort_key)


def failed(findings: Iterable[Finding]) -> bool:
    """Whether any finding is an error."""
    return any(finding.severity is Severity.ERROR for finding in findings)
