"""Whether the paper that stands was made from the same texts by the same program, told without reading them anew."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path

from sopc import __version__
from sopc.press.order import Pressed
from sopc.press.standing import stands
from sopc.shipped import shipped

MOST_FILES = 2000
MOST_BYTES = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Asked:
    """What a build was asked for, before any text is read."""

    folder: Path
    out: Path
    name: str
    today: date
    first: date
    last: date
    only: frozenset[str]

    def material(self) -> str:
        """Return SHA-256 over everything this build could read: the office folder, what comes with sopc, the dates.

        It covers more than is read, so that nothing can change behind it. An empty text when the folder holds too
        much to look at, or something that cannot be read.
        """
        total = hashlib.sha256()
        total.update(repr((self.today, self.first, self.last, sorted(self.only), program())).encode())
        size = 0
        try:
            for number, (name, data) in enumerate(_files(self.folder, self.out.resolve()), 1):
                size += len(data)
                if number > MOST_FILES or size > MOST_BYTES:
                    return ""
                total.update(repr(name).encode() + hashlib.sha256(data).digest())
        except OSError:
            return ""
        return total.hexdigest()

    def standing(self, material: str) -> Pressed | None:
        """The paper that stands there, when it was made of this material without a finding and none was altered."""
        return stands(self.out / self.name, "read", material) if material else None


@lru_cache(maxsize=1)
def program() -> str:
    """Return SHA-256 over sopc itself and all that comes with it: code, templates, grammar, packs."""
    total = hashlib.sha256(__version__.encode())
    package = Path(__file__).resolve().parent.parent
    places = (package, shipped("templates"), shipped("grammar"), shipped("protocols") / "packs")
    for place in places:
        for file in sorted(place.rglob("*")):
            if file.is_file() and file.suffix != ".pyc":
                inside = file.relative_to(place).as_posix()
                total.update(repr(inside).encode() + hashlib.sha256(file.read_bytes()).digest())
    return total.hexdigest()


def _files(folder: Path, out: Path) -> Iterator[tuple[str, bytes]]:
    """Every file below the office folder but the paper, by name; a link to a folder by where it leads."""
    for place, folders, names in os.walk(folder, onerror=_refuse):
        folders[:] = sorted(name for name in folders if Path(place, name).resolve() != out)
        inside = os.path.relpath(place, folder)
        for name in folders:
            path = Path(place, name)
            yield f"{inside}/{name}/", os.readlink(path).encode() if path.is_symlink() else b""
        for name in sorted(names):
            path = Path(place, name)
            if not path.is_file() or path.stat().st_size > MOST_BYTES:
                raise OSError(f"{path} is no ordinary file, or too big to be looked at")
            yield f"{inside}/{name}", path.read_bytes()


def _refuse(error: OSError) -> None:
    raise error
