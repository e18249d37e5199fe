"""Keeps what many pages share while they are set: loaded faces, style sheets already read, letters already shaped."""

from __future__ import annotations

import logging
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

PREFIX = "sopc-type-"
_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)
_FACE = re.compile(r"@font-face\s*\{[^}]*\}")
_SHEETS_KEPT = 8


@dataclass(frozen=True, slots=True)
class StyleSheet:
    """A style sheet as the layout engine reads it, the faces it names, and what the engine complained of."""

    css: Any
    faces: Any
    complaints: tuple[str, ...]


@dataclass(slots=True)
class TypeCase:
    """Shared by the pages that one process sets one after another; a page comes out the same with a new one.

    Its temporary folder holds the faces; `close` removes it, also when the layout engine has not yet let go.
    """

    _folder: Path
    _faces: dict[tuple[str, ...], Any] = field(default_factory=dict)
    _sheets: dict[str, StyleSheet] = field(default_factory=dict)
    _letters: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    def sheet(self, text: str, fetcher: Any) -> StyleSheet:
        """Return the style sheet of this text, read once."""
        import weasyprint

        found = self._sheets.get(text)
        if found is None:
            faces = self._faces_of(text)
            with _heard() as complaints:
                css = weasyprint.CSS(string=text, url_fetcher=fetcher, font_config=faces)
            found = StyleSheet(css, faces, tuple(complaints))
            if len(self._sheets) >= _SHEETS_KEPT:
                del self._sheets[next(iter(self._sheets))]
            self._sheets[text] = found
        return found

    def _faces_of(self, text: str) -> Any:
        """Return one font configuration for each list of faces: what a page does not name it must not meet."""
        from weasyprint.text.fonts import FontConfiguration

        named = tuple(_FACE.findall(text))
        if named not in self._faces:
            faces = FontConfiguration()
            # The engine would make a folder of its own and remove it only when its garbage is collected.
            faces._folder = self._folder / str(len(self._faces))
            faces._folder.mkdir()
            self._faces[named] = faces
        return self._faces[named]

    @contextmanager
    def letters(self, faces: Any) -> Iterator[None]:
        """Let the layout engine shape each letter of a drawing once.

        It sets the text of drawings letter by letter and shapes each one three times over; with the same face,
        size and letter the outcome is always the same. Only the drawing of SVG text looks the function up here.
        """
        from weasyprint.text import line_break

        usual = line_break.split_first_line

        def kept(text: str, style: Any, context: Any, max_width: float, spacing: float) -> Any:
            if len(text) != 1:
                return usual(text, style, context, max_width, spacing)
            key = (id(faces), text, *style["font_family"], style["font_style"], style["font_weight"],
                   style["font_size"], style["direction"], max_width, spacing)  # fmt: skip
            if key not in self._letters:
                layout, *rest = usual(text, style, context, max_width, spacing)
                layout.reactivate(style)
                self._letters[key] = (_Shaped(layout), *rest)
            return self._letters[key]

        line_break.split_first_line = kept
        try:
            yield
        finally:
            line_break.split_first_line = usual

    def close(self) -> None:
        """Forget everything and remove the folder."""
        self._letters.clear()
        self._sheets.clear()
        self._faces.clear()
        shutil.rmtree(self._folder, ignore_errors=True)


class _Shaped:
    """A letter's layout that stays as it is: made ready once, drawn as often as asked."""

    __slots__ = ("get_first_line", "layout", "text")

    def __init__(self, layout: Any) -> None:
        self.layout, self.text = layout.layout, layout.text
        self.get_first_line = layout.get_first_line

    def reactivate(self, style: Any) -> None:
        """Nothing to do: it was never put away."""


@contextmanager
def type_case(within: Path | None = None) -> Iterator[TypeCase]:
    """A type case for the time of the block; its folder is gone afterwards.

    `within` is a folder shared with other processes. The last one to leave removes it, in case the process that
    made it has died.
    """
    case = TypeCase(Path(tempfile.mkdtemp(prefix=PREFIX, dir=within)))
    try:
        yield case
    finally:
        case.close()
        if within is not None:
            with suppress(OSError):
                within.rmdir()


@contextmanager
def _heard() -> Iterator[list[str]]:
    """Collect what the layout engine complains of, instead of whoever listens."""
    complaints: list[str] = []
    log = logging.getLogger("weasyprint")
    handlers, log.handlers = log.handlers, [_Ear(complaints)]
    try:
        yield complaints
    finally:
        log.handlers = handlers


class _Ear(logging.Handler):
    def __init__(self, complaints: list[str]) -> None:
        super().__init__(logging.WARNING)
        self._complaints = complaints

    def emit(self, record: logging.LogRecord) -> None:
        self._complaints.append(record.getMessage())


def style_apart(html: str) -> tuple[str, str]:
    """Return a page without its plain `<style>` elements, and their text."""
    return _STYLE.sub("", html), "\n".join(_STYLE.findall(html))
