"""An office folder as a set of named texts: on disk, guarded against paths that leave it, or in memory."""

from __future__ import annotations

import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Protocol

from sopc.shipped import shipped
from sopc.source import Problem, SourceFile, read

SUFFIX = ".sop"
LONGEST_NAME = 200  # more than file systems allow in one part of a path is no name of a pack
MOST_KNOWN = 2000  # files and folders looked at for “did you mean”: the folder may be someone's whole disk


class Folder(Protocol):
    """Where texts come from."""

    def top_level(self) -> list[str]:
        """Names of the texts that are read together, in order."""

    def fetch(self, name: str) -> SourceFile | Problem:
        """One text by its name relative to the folder."""

    def pack(self, name: str) -> list[str] | None:
        """Names of a pack's texts, or None when there is no such pack."""

    def known(self) -> list[str]:
        """Names of all texts there are, for “did you mean”."""

    def packs(self) -> list[str]:
        """Names of all packs there are."""


def tidy(name: str) -> str | None:
    """The name with `.` and `..` worked out, or None when it leaves the folder or is absolute."""
    if name.startswith(("/", "\\")) or "\\" in name or (len(name) > 1 and name[1] == ":"):
        return None
    parts: list[str] = []
    for part in PurePosixPath(name).parts:
        if part == "..":
            if not parts:
                return None
            parts.pop()
        elif part != ".":
            parts.append(part)
    return "/".join(parts) or None


def shown(name: str) -> str:
    """A file's name as it can be written down: what is not UTF-8 in it is replaced by a mark."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


@dataclass(frozen=True, slots=True)
class DiskFolder:
    """A folder on disk. No text outside it is read, whatever links lead out; the shipped packs are the exception."""

    root: Path

    def top_level(self) -> list[str]:
        return _texts(self.root)

    def fetch(self, name: str) -> SourceFile | Problem:
        if shown(name) != name:
            return Problem("R02", shown(name), 1, 1, "its name is not in UTF-8")
        base, inside = (shipped("protocols"), name[len(SHIPPED) :]) if name.startswith(SHIPPED) else (self.root, name)
        path = base / inside
        try:
            real = path.resolve(strict=True)
            if not real.is_relative_to(base.resolve()):
                return Problem("R11", name, 1, 1, "")
            if not stat.S_ISREG(real.stat().st_mode):
                return Problem("R02", name, 1, 1, "it is not an ordinary file")
        except FileNotFoundError:
            return Problem("R12", name, 1, 1, "")
        except (OSError, RuntimeError) as error:
            return Problem("R02", name, 1, 1, getattr(error, "strerror", None) or "it cannot be opened")
        return read(real, name)

    def pack(self, name: str) -> list[str] | None:
        if len(name) > LONGEST_NAME:
            return None
        own = self.root / "packs" / name
        if os.path.isdir(own):
            try:
                return [f"packs/{name}/{entry}" for entry in _texts(own)]
            except OSError:
                return [f"packs/{name}"]  # fetching it tells that it cannot be read
        return _shipped_pack(name)

    def known(self) -> list[str]:
        found: list[str] = []
        for visited, (folder, folders, files) in enumerate(os.walk(self.root)):
            folders[:] = sorted(entry for entry in folders if not entry.startswith("."))
            inside = Path(folder).relative_to(self.root).as_posix()
            names = [shown(f"{inside}/{file}").removeprefix("./") for file in sorted(files) if file.endswith(SUFFIX)]
            found.extend(names)
            if len(found) > MOST_KNOWN or visited > MOST_KNOWN:
                break
        return found

    def packs(self) -> list[str]:
        return sorted({*_folders(self.root / "packs"), *_folders(shipped("protocols") / "packs")})


SHIPPED = "sopc:"  # marks the name of a text that came with sopc, not from the office's folder


def _texts(folder: Path) -> list[str]:
    """Names of all that ends like a text and is no folder; a link that leads nowhere is among them, to be told of."""
    return sorted(name for name in os.listdir(folder) if name.endswith(SUFFIX) and not os.path.isdir(folder / name))


def _folders(folder: Path) -> list[str]:
    try:
        return [shown(name) for name in os.listdir(folder) if os.path.isdir(folder / name)]
    except OSError:
        return []


def _shipped_pack(name: str) -> list[str] | None:
    """Names of the texts of a pack that came with sopc, or None when there is none of that name."""
    folder = shipped("protocols") / "packs" / name
    if len(name) > LONGEST_NAME or not folder.is_dir():
        return None
    return [f"{SHIPPED}packs/{name}/{entry}" for entry in _texts(folder)]


@dataclass(frozen=True, slots=True)
class TextFolder:
    """Texts in memory, for tests and for use as a library; shipped packs can be used as on disk."""

    texts: Mapping[str, str]

    def top_level(self) -> list[str]:
        return sorted(name for name in self.texts if "/" not in name)

    def fetch(self, name: str) -> SourceFile | Problem:
        if name.startswith(SHIPPED):
            return DiskFolder(shipped("protocols")).fetch(name)
        if name not in self.texts:
            return Problem("R12", name, 1, 1, "")
        return SourceFile.from_text(name, self.texts[name])

    def pack(self, name: str) -> list[str] | None:
        own = sorted(text for text in self.texts if text.startswith(f"packs/{name}/"))
        return own or _shipped_pack(name)

    def known(self) -> list[str]:
        return sorted(self.texts)

    def packs(self) -> list[str]:
        own = {name.split("/")[1] for name in self.texts if name.startswith("packs/") and name.count("/") > 1}
        return sorted(own | set(DiskFolder(shipped("protocols")).packs()))
