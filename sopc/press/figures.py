"""The pictures a protocol shows, read from the office folder and nowhere else."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from sopc.language.folder import tidy
from sopc.model.nouns import Figure, Office
from sopc.press.order import PressError

KINDS = {".png": b"\x89PNG", ".jpg": b"\xff\xd8", ".jpeg": b"\xff\xd8", ".svg": b"<"}
LARGEST_BYTES = 8 * 1024 * 1024


def figures_named(office: Office) -> Iterator[Figure]:
    """Every figure of every procedure and step."""
    for procedure in office.procedures.values():
        yield from procedure.figures
        for step in procedure.steps():
            yield from step.figures


def figures_of(office: Office, folder: Path) -> dict[str, bytes]:
    """Read the figures by the names used in the text. Raises PressError for one that is missing or not a picture."""
    found: dict[str, bytes] = {}
    for figure in figures_named(office):
        if figure.file not in found:
            found[figure.file] = _picture(figure, folder)
    return found


def _picture(figure: Figure, folder: Path) -> bytes:
    place = f"{figure.span}: the figure “{figure.file}”"
    inside = tidy(figure.file)
    if inside is None:
        raise PressError(f"{place} lies outside the office folder.")
    path = folder / inside
    try:
        real = path.resolve(strict=True)
        if not real.is_relative_to(folder.resolve()):
            raise PressError(f"{place} is a link that leads out of the office folder.")
        if not real.is_file() or real.stat().st_size > LARGEST_BYTES:
            raise PressError(f"{place} is not an ordinary file of at most 8 MiB.")
        data = real.read_bytes()
    except OSError as error:
        raise PressError(f"{place} cannot be read: {error.strerror}.") from error
    head = KINDS.get(path.suffix.lower())
    if head is None or not data.lstrip()[:8].startswith(head):
        raise PressError(f"{place} is not a PNG, JPEG or SVG picture.")
    return data
