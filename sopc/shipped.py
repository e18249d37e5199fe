"""Where the shipped grammar, templates and protocols lie: inside the wheel, or beside the package in a checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def shipped(folder: str) -> Path:
    """Return the folder `grammar`, `templates` or `protocols` that belongs to this installation."""
    inside = _PACKAGE / "_data" / folder
    return inside if inside.is_dir() else _PACKAGE.parent / folder
