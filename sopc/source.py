"""Source files as text with places in them: what every finding and every printed fact points back to."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A stretch of one file. Lines and columns count from 1; the end column is exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


NOWHERE = Span("", 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One text as it was read: `name` is the path relative to the office folder, with forward slashes."""

    name: str
    path: Path | None
    text: str
    lines: tuple[str, ...] = field(repr=False)

    @staticmethod
    def from_text(name: str, text: str, path: Path | None = None) -> SourceFile:
        """Wrap a text; line ends may be LF or CRLF."""
        clean = text.replace("\r\n", "\n").replace("\r", "\n")
        return SourceFile(name, path, clean, tuple(clean.split("\n")))

    def line(self, number: int) -> str:
        """Return line `number` (from 1), or an empty text past the end."""
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""


@dataclass(frozen=True, slots=True)
class Problem:
    """Why a file could not be read, in the reader's own words: a code of the finding registry and its parts."""

    code: str
    name: str
    line: int
    column: int
    detail: str


LARGEST_BYTES = 8 * 1024 * 1024
CURLY = {"“": '"', "”": '"', "„": '"', "«": '"', "»": '"', "‘": "'", "’": "'"}


def read(path: Path, name: str) -> SourceFile | Problem:
    """Read one file as UTF-8 text, or say what is wrong with it.

    A file over 8 MiB, with NUL bytes, or not in UTF-8 is a problem; a byte-order mark, tabs and CRLF are taken.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            return Problem("R01", name, 1, 1, f"{size / 1_048_576:.0f} MiB")
        data = path.read_bytes()
    except OSError as error:
        return Problem("R02", name, 1, 1, error.strerror or "cannot be opened")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return Problem("R03", name, 1, 1, "UTF-16")
    if b"\x00" in data:
        return Problem("R04", name, data[: data.index(b"\x00")].count(b"\n") + 1, 1, "")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line = before.count(b"\n") + 1
        column = error.start - (before.rfind(b"\n") + 1) + 1
        return Problem("R03", name, line, column, f"byte {data[error.start]:#04x}")
    return SourceFile.from_text(name, text, path)
