"""Runs a command of sopc within the process of the tests, with its output and messages caught.

What belongs to a process of its own, such as what the surroundings say of letters, is tested with one.
"""

from __future__ import annotations

import contextlib
import io
import signal
from dataclasses import dataclass
from pathlib import Path

from sopc.cli import run


@dataclass(frozen=True, slots=True)
class Done:
    """How a command ended and what it wrote, in UTF-8."""

    returncode: int
    stdout: str
    stderr: str


def sopc(*arguments: str, cwd: Path | None = None) -> Done:
    """Run `sopc` with these words, in the folder `cwd` if one is named."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    kept = {each: signal.getsignal(each) for each in (signal.SIGINT, signal.SIGTERM)}
    place = contextlib.chdir(cwd) if cwd is not None else contextlib.nullcontext()
    try:
        with place, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = run(list(arguments))
    finally:
        for each, handler in kept.items():
            signal.signal(each, handler)
    written = [stream.buffer.getvalue().decode("utf-8") for stream in (out, err)]  # type: ignore[attr-defined]
    return Done(status, *written)
