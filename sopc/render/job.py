"""One PDF to be made, and one that is finished."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class Job:
    """One PDF to be made: a name for messages, the page, what the page may ask for, and its date.

    `prefix` begins the ids of table cells, so that documents can be joined as they are.
    """

    name: str
    html: str
    dated: date
    assets: Mapping[str, bytes] = field(default_factory=dict)
    tagged: bool = True
    prefix: str = ""


@dataclass(frozen=True, slots=True)
class Rendered:
    """One finished PDF; `fresh` is false when it came from the cache, `complaints` are the engine's own."""

    name: str
    pdf: bytes
    pages: int
    fresh: bool
    complaints: tuple[str, ...] = ()


class RenderError(RuntimeError):
    """A job could not be rendered; the text names the job and the reason."""
