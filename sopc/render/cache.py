"""Keeps finished results on disk under the hash of all that went into them."""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

_SEAL = 32


@dataclass(frozen=True, slots=True)
class ResultCache:
    """A folder of results, one file a key; every file carries the hash of its content.

    A file that was cut short or altered counts as absent. A folder that cannot be written costs speed only.
    """

    folder: Path

    def get(self, key: str) -> bytes | None:
        """Return the stored result, or None when there is none or it is damaged."""
        try:
            raw = self._place(key).read_bytes()
        except OSError:
            return None
        seal, data = raw[:_SEAL], raw[_SEAL:]
        if len(seal) < _SEAL or hashlib.sha256(key.encode() + data).digest() != seal:
            return None
        with suppress(OSError):
            os.utime(self._place(key))
        return data

    def put(self, key: str, data: bytes) -> None:
        """Store a result; another process never sees half of it."""
        place = self._place(key)
        with suppress(OSError):
            place.parent.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=place.parent, prefix=".new-")
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(hashlib.sha256(key.encode() + data).digest() + data)
                os.replace(name, place)
            except OSError:
                Path(name).unlink(missing_ok=True)
                raise

    def prune(self, keep_bytes: int) -> None:
        """Delete the results used longest ago until at most `keep_bytes` are left."""
        entries = []
        for file in self.folder.glob("??/*"):
            with suppress(OSError):
                facts = file.stat()
                entries.append((facts.st_mtime_ns, facts.st_size, file))
        total = 0
        for _, size, file in sorted(entries, reverse=True):
            total += size
            if total > keep_bytes:
                with suppress(OSError):
                    file.unlink()

    def _place(self, key: str) -> Path:
        return self.folder / key[:2] / key[2:]


@lru_cache(maxsize=1)
def pen() -> str:
    """Return a hash of the code that draws and sets, so that a better pen does not go unseen behind a cache."""
    room = Path(__file__).resolve().parent
    return digest(*(file.read_bytes() for file in sorted(room.rglob("*.py"))))


def digest(*parts: bytes | str) -> str:
    """Return the hexadecimal SHA-256 of parts, each led by its length so that no two lists run together."""
    total = hashlib.sha256()
    for part in parts:
        data = part.encode(errors="surrogatepass") if isinstance(part, str) else part
        total.update(len(data).to_bytes(8, "big"))
        total.update(data)
    return total.hexdigest()
