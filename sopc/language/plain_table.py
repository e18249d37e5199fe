"""Lark's table as plain values, kept in the user's cache folder: all that reading a right text needs, without lark."""

from __future__ import annotations

import hashlib
import marshal
import os
import sys
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from sopc.language import grammar, words
from sopc.language.words import rank, words_in

SEAL = 32

Rule = tuple[str, int, str | None, bool, tuple[int, ...]]
"""What it makes, of how many; the kind of its node (None: its children go into the node around it); whether a single
child stands for it; which of its children go into it without a node of their own."""


@dataclass(frozen=True, slots=True)
class PlainTable:
    """An LALR(1) table with what its lexer needs. `actions`: for each state what a terminal leads to, a state (0 and
    above) or a rule (~ its place); `gotos`: for each state what a finished rule leads to. `around`: for each state the
    terminals that are no words and are tried before words, and behind them, in order."""

    start: int
    end: int
    actions: list[dict[str, int]]
    gotos: list[dict[str, int]]
    rules: list[Rule]
    around: list[tuple[tuple[str, ...], tuple[str, ...]]]
    patterns: dict[str, str]  # of the terminals that are no words
    ignored: str
    words: dict[str, tuple[str, ...]]  # by terminal
    terminals: dict[str, tuple[str, ...]]  # by word, those first that are tried first
    begins: dict[str, frozenset[str]]  # for each rule the words it can begin with


@cache
def plain_table() -> PlainTable:
    """The table, from the cache when it was made of this grammar before."""
    folder = grammar.cache_folder()
    place = folder / "grammar.table" if folder is not None else None
    key = _key()
    kept = _kept(place, key) if place is not None else None
    if kept is not None:
        return kept
    made = made_plain(grammar.parser())
    if place is not None:
        _keep(place, key, made)
    return made


def made_plain(parser: Any) -> PlainTable:
    """The table of a parser that lark made."""
    table = parser.parser.parser._parse_table
    conf = parser.parser.lexer_conf
    numbers = {id(rule): number for number, rule in enumerate(parser.rules)}
    known = {rule: number for number, rule in enumerate(parser.rules)}
    ordered = sorted(conf.terminals, key=rank)
    listed = {terminal.name: words_in(terminal) for terminal in ordered if words_in(terminal)}
    others = [each for each in ordered if each.name not in listed and each.name not in conf.ignore]
    size = max(table.states) + 1
    actions: list[dict[str, int]] = [{} for _ in range(size)]
    gotos: list[dict[str, int]] = [{} for _ in range(size)]
    for state, row in table.states.items():
        for name, (_, argument) in row.items():
            if not isinstance(argument, int):
                actions[state][name] = ~numbers.get(id(argument), known[argument])
            else:
                (actions if name in conf.terminals_by_name or name == "$END" else gotos)[state][name] = argument
    before = [each.name for each in others if each.priority > 0]
    behind = [each.name for each in others if each.priority <= 0]
    terminals: dict[str, tuple[str, ...]] = {}
    for name, each in listed.items():
        for word in each:
            terminals[word] = (*terminals.get(word, ()), name)
    return PlainTable(
        table.start_states["start"],
        table.end_states["start"],
        actions,
        gotos,
        [_rule(rule) for rule in parser.rules],
        [(tuple(n for n in before if n in row), tuple(n for n in behind if n in row)) for row in actions],
        {each.name: each.pattern.to_regexp() for each in others},
        f"(?:{'|'.join(conf.terminals_by_name[name].pattern.to_regexp() for name in conf.ignore)})+",
        listed,
        terminals,
        _begins(parser.rules, listed),
    )


def _rule(rule: Any) -> Rule:
    origin = str(rule.origin.name)
    inner = tuple(at for at, each in enumerate(rule.expansion) if not each.is_term and each.name.startswith("_"))
    kind = None if origin.startswith("_") else str(rule.alias or origin)
    return (origin, len(rule.expansion), kind, bool(rule.options.expand1 and not rule.alias), inner)


def _begins(rules: Any, listed: dict[str, tuple[str, ...]]) -> dict[str, frozenset[str]]:
    first: dict[str, list[Any]] = {}
    for rule in rules:
        first.setdefault(str(rule.origin.name), []).extend(rule.expansion[:1])
    known: dict[str, frozenset[str]] = {}

    def begin(name: str) -> frozenset[str]:
        if name not in known:
            known[name] = frozenset()
            each = (listed.get(one.name, ()) if one.is_term else begin(str(one.name)) for one in first[name])
            known[name] = frozenset(word for words in each for word in words)
        return known[name]

    for name in first:
        begin(name)
    return known


def _key() -> bytes:
    """What the table depends on: the grammar, how it is made, and the Python that wrote it."""
    total = hashlib.sha256(f"{sys.version}|{marshal.version}|".encode() + grammar.grammar_text().encode())
    for maker in (__file__, grammar.__file__, words.__file__):
        total.update(Path(maker).read_bytes())
    return total.digest()


def _kept(place: Path, key: bytes) -> PlainTable | None:
    try:
        raw = place.read_bytes()
    except OSError:
        return None
    seal, data = raw[:SEAL], raw[SEAL:]
    return PlainTable(*marshal.loads(data)) if seal == hashlib.sha256(key + data).digest() else None


def _keep(place: Path, key: bytes, made: PlainTable) -> None:
    data = marshal.dumps(tuple(getattr(made, name) for name in PlainTable.__slots__))
    with suppress(OSError):
        handle, name = tempfile.mkstemp(dir=place.parent, prefix=".table-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(key + data).digest() + data)
            os.replace(name, place)
        except OSError:
            Path(name).unlink(missing_ok=True)
            raise
