"""Small real offices that are spoilt at random, and the words that stand in them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from sopc.language.parse import parse
from sopc.language.syntax import Node, Token
from sopc.source import SourceFile
from tests.bench.offices import office_text
from tests.broken.offices import BASE, BROKEN
from tests.broken.offices import FOLDER as BROKEN_FOLDER
from tests.language.test_reference import AROUND, EXAMPLES

ROOT = Path(__file__).resolve().parents[2]
PROTOCOLS = ROOT / "protocols"

Texts = Mapping[str, str]
Place = tuple[str, str]
"""A rule of the grammar and a terminal in it."""


def texts_in(folder: Path) -> dict[str, str]:
    """Every text of a folder by its name in it."""
    return {path.relative_to(folder).as_posix(): path.read_text("utf-8") for path in sorted(folder.rglob("*.sop"))}


@cache
def hosts() -> tuple[Texts, ...]:
    """Offices small enough to be tried by the thousand; together they use every construct of the language."""
    small = ROOT / "tests" / "documents"
    return (
        {"office.sop": "\n".join(EXAMPLES), **AROUND},
        {"office.sop": office_text(150)},
        texts_in(PROTOCOLS / "starter"),
        texts_in(small / "small_office"),
        texts_in(small / "log_office"),
        *({"base.sop": BASE, "z.sop": (BROKEN_FOLDER / name).read_text("utf-8")} for name in BROKEN),
    )


@cache
def demo(revision: str) -> Texts:
    """A revision of the demo office."""
    return texts_in(PROTOCOLS / "larkspur_pass" / revision)


@cache
def words() -> dict[Place, tuple[str, ...]]:
    """What stands in the hosts in each place of the grammar, without doubles."""
    found: dict[Place, dict[str, None]] = {}
    for host in hosts():
        for name, text in host.items():
            tree, _ = parse(SourceFile.from_text(name, text))
            for rule, token in tokens_of(tree):
                found.setdefault((rule, token.type), {})[str(token)] = None
    return {place: tuple(values) for place, values in found.items()}


def tokens_of(tree: Node | None) -> list[tuple[str, Token]]:
    """Every token with the rule it stands in; a list of names counts for the clause around it."""
    found: list[tuple[str, Token]] = []
    waiting: list[tuple[str, Node]] = [("", tree)] if tree is not None else []
    while waiting:
        around, node = waiting.pop()
        rule = around if node.kind == "names" else node.kind
        for child in node.children:
            if isinstance(child, Token):
                found.append((rule, child))
            else:
                waiting.append((rule, child))
    return found
