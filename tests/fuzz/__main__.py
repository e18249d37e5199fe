"""Searches for texts that sopc cannot stand, led by what code each one reaches: `make fuzz`, or `python -m tests.fuzz`.

An input is a text, or, when it begins with a byte no text begins with, the choices by which a real office is spoilt.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import random
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
CHOICES = b"\xff"  # what the inputs begin with that are choices
WAITING = "-timeout=3600"  # by the clock, which a busy machine runs down; work is bounded by `pipeline.bounded`
LONGEST_TEXT = 8_000  # bytes; longer inputs are tried too seldom


class Chosen(random.Random):
    """Chance that is read off the input, byte by byte; when it is used up everything comes out as 0."""

    def __init__(self, data: bytes) -> None:
        super().__init__(0)
        self._left = int.from_bytes(data, "little")

    def getrandbits(self, k: int, /) -> int:
        whole = -(-k // 8) * 8
        drawn, self._left = self._left & ((1 << whole) - 1), self._left >> whole
        return drawn & ((1 << k) - 1)

    def random(self) -> float:
        return self.getrandbits(16) / 65536


def texts_of(data: bytes) -> dict[str, str]:
    """The office an input stands for."""
    from tests.fuzz.test_texts import spoilt_office

    if data.startswith(CHOICES):
        return dict(spoilt_office(Chosen(data[1:]))[1])
    return {"office.sop": data.decode("utf-8", "replace")}


def try_input(data: bytes) -> None:
    """Go the whole way with one input."""
    from sopc.language.folder import TextFolder
    from tests.fuzz.pipeline import bounded, go_through

    with bounded():
        go_through(TextFolder(texts_of(data)))


def sow(folder: Path) -> Path:
    """Put the project's own texts, and inputs that once failed, where the search begins; return the list of words."""
    from sopc.language import table
    from tests.fuzz.offices import hosts, words

    words()  # gathered before the search begins, so that no input is charged with it
    seeds = folder / "seeds"
    seeds.mkdir(parents=True, exist_ok=True)
    texts = [text.encode() for host in hosts() for text in host.values()]
    texts += [path.read_bytes() for path in sorted((ROOT / "protocols").rglob("*.sop"))]
    texts += [path.read_bytes() for path in sorted((ROOT / "tests" / "fuzz" / "found").glob("*.sop"))]
    texts += [CHOICES + random.Random(number).randbytes(40) for number in range(200)]
    for number, text in enumerate(texts):
        (seeds / f"{number:04}").write_bytes(text[:LONGEST_TEXT])
    listed = folder / "words.txt"
    known = sorted({*table.keywords(), "{", "}", '"', '"""', ",", "#", "2026-12-31", "08:00", "9999-12-31"})
    lines = [f'"{word}"' for word in (each.replace('"', '\\"') for each in known)]
    listed.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return listed


def search(atheris: Any, folder: Path, seconds: int, more: Sequence[str]) -> None:
    """Run until the time is up, or until an input fails; that input is left in the folder."""
    words, kept = sow(folder), folder / "corpus"
    kept.mkdir(exist_ok=True)
    found = folder / "found-"
    options = [f"-max_total_time={seconds}", f"-max_len={LONGEST_TEXT}", WAITING, "-rss_limit_mb=3000"]
    options += [f"-dict={words}", f"-artifact_prefix={found}", *more, str(kept), str(folder / "seeds")]
    one: Callable[[bytes], None] = try_input
    atheris.Setup([sys.argv[0], *options], one)
    atheris.Fuzz()


def main(arguments: Sequence[str]) -> int:
    """Search, or show an input that failed."""
    options = argparse.ArgumentParser(
        prog="python -m tests.fuzz", epilog="Other options go to libFuzzer: -seed=1 -runs=9"
    )
    options.add_argument("--seconds", type=int, default=300, help="how long to search (300)")
    options.add_argument("--folder", type=Path, default=ROOT / "build" / "fuzz", help="where inputs are kept")
    options.add_argument("--show", type=Path, help="print the office that a found input stands for")
    chosen, more = options.parse_known_args(arguments)
    if chosen.show:
        for name, text in texts_of(chosen.show.read_bytes()).items():
            print(f"── {name}\n{text}")
        return 0
    try:
        atheris = importlib.import_module("atheris")
    except ImportError:
        print(
            "Fuzzing is skipped: the package atheris has no build for this machine. `make test-long` fuzzes without it."
        )
        return 0
    with atheris.instrument_imports(include=["sopc"]):
        for module in pkgutil.walk_packages([str(ROOT / "sopc")], "sopc."):
            if not module.name.endswith("__main__"):
                importlib.import_module(module.name)
    search(atheris, chosen.folder, chosen.seconds, more)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
