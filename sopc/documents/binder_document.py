"""One controlled document ready for the printer, and what the index and the manifest say of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class BinderDocument:
    """A document that prints alone, with its own page count, so that it can be swapped alone."""

    id: str
    title: str
    html: str
    kind: str  # front, register, procedure
    assets: Mapping[str, bytes] = field(default_factory=dict)
    revision: str = ""
    effective: str = ""
    source: str = ""  # eight hexadecimal digits of its content
    status: str = ""
