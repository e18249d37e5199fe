"""What stands in texts that nothing uses: where a name that is missing may be waiting."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from sopc.language.folder import Folder
from sopc.source import SourceFile

_DECLARED = re.compile(r"^[ \t]*([a-z]+)[ \t]+([A-Za-z_][\w-]*)[ \t]+\"", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a declaration stands, `use` as it would have to be written, and the cause of what is told of it."""

    title: str
    use: str
    cause: str


def file_place(name: str) -> Place:
    """A file of the folder."""
    return Place(f"the file “{name}”", f'use "{name}"', f"unused file {name}")


def pack_place(name: str) -> Place:
    """A pack."""
    return Place(f"the pack “{name}”", f"use pack {name}", f"unused pack {name}")


class Unread:
    """The texts of a folder that are not read, looked at only when something is missing."""

    def __init__(self, folder: Folder | None = None, files: Iterable[str] = (), packs: Iterable[str] = ()) -> None:
        self._folder = folder
        self._files = files
        self._packs = packs
        self._known: dict[tuple[str, str], Place] | None = None

    def where(self, name: str, kinds: Iterable[str]) -> Place | None:
        """The text that declares one of these kinds by this name, the office's own files before packs."""
        if self._folder is None:
            return None
        if self._known is None:
            self._known = {}
            for text, place in self._texts(self._folder):
                for kind, declared in _DECLARED.findall(text):
                    self._known.setdefault((kind, declared), place)
        return next((self._known[kind, name] for kind in kinds if (kind, name) in self._known), None)

    def _texts(self, folder: Folder) -> Iterator[tuple[str, Place]]:
        for name in folder.known():
            if name not in self._files and not name.startswith("packs/"):
                yield from ((text, file_place(name)) for text in _text(folder, name))
        for pack in folder.packs():
            if pack not in self._packs:
                for name in folder.pack(pack) or ():
                    yield from ((text, pack_place(pack)) for text in _text(folder, name))


def _text(folder: Folder, name: str) -> Iterator[str]:
    file = folder.fetch(name)
    if isinstance(file, SourceFile):
        yield file.text
