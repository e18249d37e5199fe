"""What is to be printed, and what came of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from sopc.model.nouns import Office

Progress = Callable[[str, int, int], None] | None


class PressError(ValueError):
    """The paper cannot be made or written; the text says why and what helps."""


@dataclass(frozen=True, slots=True)
class Order:
    """What to print: a checked office, where it comes from and goes to, the date of printing, the days of the logs.

    `only` holds any of binder, charts, logs; empty means all of them. `read` is the hash of all that could be read for
    it when nothing was found in the texts (see `unchanged`), else empty.
    """

    office: Office
    folder: Path
    out: Path
    name: str
    today: date
    first: date
    last: date
    only: frozenset[str] = frozenset()
    workers: int | None = None
    read: str = ""

    def wants(self, kind: str) -> bool:
        """Whether this kind of paper is asked for."""
        return not self.only or kind in self.only


@dataclass(frozen=True, slots=True)
class Paper:
    """One file that was printed: its place under the office's folder, and what it came from."""

    path: str
    data: bytes = field(repr=False)
    document: str = ""
    title: str = ""
    revision: str = ""
    source: str = ""  # fingerprint of its content, eight hexadecimal digits
    pages: int = 0


@dataclass(frozen=True, slots=True)
class Pressed:
    """What one run made: the folder, how many files and pages, and how many documents had to be set anew."""

    folder: Path
    files: int
    pages: int
    fresh: int

    def in_words(self) -> str:
        """One line for the terminal."""
        if not self.fresh:
            return f"Nothing had changed: {self.files} files ({self.pages} pages) stand in {self.folder}."
        return (
            f"Printed {self.files} files ({self.pages} pages) into {self.folder}; {self.fresh} documents were set anew."
        )
