"""The bundled typeface: where its files are, how wide a text is, and where a text may be broken."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from pathlib import Path

FAMILY = "SOPC Sans"
"""Name under which the bundled face is declared: its own, so that no installed font can take its place."""

FAMILY_LIST = "SOPC Sans, Source Sans Pro, sans-serif"
"""What drawings ask for: the bundled face first, its public names next for viewers outside our PDF."""

NO_BREAK_SPACES = "\u00a0\u202f\u2007"
LINE_PITCH = 1.22
"""Distance of two base lines in ems; DOD-HDBK-791 and common practice ask for 1.2 and more."""

_EM_WHEN_MISSING = 0.6


class Weight(Enum):
    """A weight of the bundled face; the value is its CSS number."""

    REGULAR = 400
    SEMIBOLD = 600
    BOLD = 700


_FILES = {
    Weight.REGULAR: "SourceSansPro-Regular.ttf",
    Weight.SEMIBOLD: "SourceSansPro-Semibold.ttf",
    Weight.BOLD: "SourceSansPro-Bold.ttf",
}
_ITALIC_FILE = "SourceSansPro-It.ttf"


@dataclass(frozen=True, slots=True)
class Metrics:
    """Measures of one weight, all in ems."""

    advances: dict[str, float]
    cap_height: float
    x_height: float
    ascent: float
    descent: float


def folder() -> Path:
    """Return the folder of the packaged font files."""
    from importlib.resources import files

    return Path(str(files("font_source_sans_pro"))) / "files"


def weight_files() -> dict[Weight, str]:
    """Return the file of each upright weight."""
    return dict(_FILES)


def file_names() -> tuple[str, ...]:
    """Return the names of the font files that a page may ask for."""
    return (*_FILES.values(), _ITALIC_FILE)


@lru_cache(maxsize=8)
def font_bytes(name: str) -> bytes:
    """Return the bytes of a bundled font file; KeyError for a name that is not bundled."""
    if name not in file_names():
        raise KeyError(name)
    return (folder() / name).read_bytes()


@lru_cache(maxsize=4)
def metrics(weight: Weight) -> Metrics:
    """Return the advance widths and heights of a weight, read once from its font file."""
    from fontTools.ttLib import TTFont

    with TTFont(folder() / _FILES[weight], lazy=True) as font:
        em = float(font["head"].unitsPerEm)
        widths = font["hmtx"].metrics
        advances = {chr(code): widths[glyph][0] / em for code, glyph in font.getBestCmap().items()}
        shape = font["OS/2"]
        return Metrics(
            advances=advances,
            cap_height=shape.sCapHeight / em,
            x_height=shape.sxHeight / em,
            ascent=font["hhea"].ascent / em,
            descent=-font["hhea"].descent / em,
        )


def cap_height_ratio(weight: Weight = Weight.REGULAR) -> float:
    """Return the height of a capital letter in ems."""
    return metrics(weight).cap_height


def x_height_ratio(weight: Weight = Weight.REGULAR) -> float:
    """Return the height of a small x in ems."""
    return metrics(weight).x_height


def text_width(text: str, points: float, weight: Weight = Weight.REGULAR) -> float:
    """Return the set width of one line in points.

    Sum of advances without kerning: pairs of this face are drawn together far more often than apart, so
    the sum errs on the safe side.
    """
    advances = metrics(weight).advances
    return points * sum(advances.get(letter) or _missing_advance(letter, advances) for letter in text)


def _missing_advance(letter: str, advances: dict[str, float]) -> float:
    if letter in advances or unicodedata.combining(letter):
        return 0.0
    return 1.0 if unicodedata.east_asian_width(letter) in "WF" else _EM_WHEN_MISSING


def wrap(text: str, points: float, weight: Weight, width: float) -> list[str]:
    """Break a text into lines no wider than `width` points, filling each line as far as it goes.

    Breaks at ordinary spaces and after a hyphen, dash or slash inside a word, never at a no-break space.
    A line feed in the text is kept as a break. A word wider than the line is cut between letters only when
    nothing else is left.
    """
    lines: list[str] = []
    for paragraph in text.splitlines() or [""]:
        lines.extend(_wrap_paragraph(paragraph, points, weight, width))
    return lines


def balanced(text: str, points: float, weight: Weight, width: float) -> list[str]:
    """Break a text as `wrap` does, then narrow the measure while the number of lines stays the same.

    The lines come out of nearly equal length, which reads better in a centred or boxed text.
    """
    lines = wrap(text, points, weight, width)
    if len(lines) < 2:
        return lines
    low = max(width / 2, longest_word(text, points, weight))
    high = width
    while high - low > points / 4:
        middle = (low + high) / 2
        if len(wrap(text, points, weight, middle)) > len(lines):
            low = middle
        else:
            high = middle
    return wrap(text, points, weight, high)


def longest_word(text: str, points: float, weight: Weight) -> float:
    """Return the width in points of the widest piece of the text that has no break in it."""
    return max((text_width(piece.rstrip(" "), points, weight) for piece in _pieces(text)), default=0.0)


def _wrap_paragraph(text: str, points: float, weight: Weight, width: float) -> list[str]:
    lines: list[str] = []
    line = ""
    for piece in _pieces(text):
        if text_width((line + piece).rstrip(" "), points, weight) <= width:
            line += piece
            continue
        if line.strip(" "):
            lines.append(line.strip(" "))
        line = piece
        while text_width(line.rstrip(" "), points, weight) > width and len(line.rstrip(" ")) > 1:
            head = _fitting_head(line, points, weight, width)
            lines.append(line[:head])
            line = line[head:]
    if line.strip(" ") or not lines:
        lines.append(line.strip(" "))
    return lines


def _fitting_head(word: str, points: float, weight: Weight, width: float) -> int:
    size = 1
    while size < len(word) and text_width(word[: size + 1], points, weight) <= width:
        size += 1
    return size


def _pieces(text: str) -> list[str]:
    """Cut a text after each place where a line may end; spaces stay at the end of their piece."""
    pieces: list[str] = []
    start = 0
    for position in range(1, len(text)):
        if _may_break(text, position):
            pieces.append(text[start:position])
            start = position
    pieces.append(text[start:])
    return pieces


def _may_break(text: str, position: int) -> bool:
    before, after = text[position - 1], text[position]
    if before == " ":
        return after != " "
    if before in "-\u2013\u2014/" and position >= 2:
        return text[position - 2].isalpha() and after.isalpha()
    return False


def font_face_css(italic: bool = False) -> str:
    """Return @font-face rules for the bundled face with addresses that only our PDF writer serves.

    `italic` adds the italic; leave it out where no italic is set, as each face is loaded whether used or not.
    """
    faces = [(name, weight.value, "normal") for weight, name in _FILES.items()]
    if italic:
        faces.append((_ITALIC_FILE, 400, "italic"))
    return "\n".join(
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; font-style: {style};'
        f' src: url("font:{name}"); }}'
        for name, weight, style in faces
    )
