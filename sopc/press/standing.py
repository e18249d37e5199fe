"""The paper that stands: its list of files, and whether they are still as they were printed."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from sopc.press.order import Pressed

MANIFEST = "manifest.json"


def stands(target: Path, mark: str, value: str) -> Pressed | None:
    """The paper in this folder, when its list has this value under that mark and no file was altered."""
    known = manifest_at(target)
    if known is None or known.get(mark) != value:
        return None
    for entry in known["files"]:
        try:
            data = (target / entry["path"]).read_bytes()
        except OSError:
            return None
        if hashlib.sha256(data).hexdigest() != entry["sha256"]:
            return None
    return Pressed(target, len(known["files"]), sum(entry["pages"] for entry in known["files"]), 0)


def manifest_at(target: Path) -> dict[str, Any] | None:
    """The list of the paper in this folder, or None when there is none or it is damaged."""
    try:
        known = json.loads((target / MANIFEST).read_text(encoding="utf-8"))
        shape = all(isinstance(entry[key], kind) for entry in known["files"]
                    for key, kind in (("path", str), ("sha256", str), ("pages", int)))  # fmt: skip
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return known if shape else None
