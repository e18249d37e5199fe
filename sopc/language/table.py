"""Looks ahead in the parser's table: which words could come next, without touching what was read."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from sopc.language.grammar import parser
from sopc.language.plain_table import plain_table

# Which rule holds the clauses of which block; blocks not named here hold `KIND_clause`.
CLAUSES = {"way": "flow_part", "branch": "flow_part", "choose": "way", "together": "branch", "limit": "common"}
OUTERMOST = "declaration"


@cache
def states() -> dict[int, dict[str, Any]]:
    """The LALR table: for each state, what each terminal or rule leads to."""
    frontend: Any = parser().parser
    table: dict[int, dict[str, Any]] = frontend.parser._parse_table.states
    return table


def after(stack: Iterable[int], terminals: Iterable[str]) -> list[int] | None:
    """The stack of states after these terminals, or None when one of them does not fit."""
    found = list(stack)
    for terminal in terminals:
        if not _take(found, terminal):
            return None
    return found


def _take(stack: list[int], terminal: str) -> bool:
    table = states()
    while True:
        entry = table[stack[-1]].get(terminal)
        if entry is None:
            return False
        argument = entry[1]
        if isinstance(argument, int):
            stack.append(argument)
            return True
        size = len(argument.expansion)
        if size:
            del stack[-size:]
        _, following = table[stack[-1]][argument.origin.name]
        stack.append(following)


def fits(stack: Iterable[int], *terminals: str) -> bool:
    """Whether these terminals could come next."""
    return after(stack, terminals) is not None


def accepted(stack: list[int]) -> set[str]:
    """Every terminal that could come next."""
    return {name for name in states()[stack[-1]] if name.lstrip("_").isupper() and fits(stack, name)}


@cache
def words_of(terminal: str) -> tuple[str, ...]:
    """The words of the language that this terminal stands for; none for names, texts and numbers."""
    return plain_table().words.get(terminal, ())


@cache
def terminals_of(word: str) -> tuple[str, ...]:
    """The terminals that this word can be."""
    return plain_table().terminals.get(word, ())


@cache
def keywords() -> frozenset[str]:
    """Every word of the language."""
    return frozenset(plain_table().terminals)


@cache
def clause_words(block: str) -> frozenset[str]:
    """The words that begin a clause of this kind of block; of a declaration when the block is empty."""
    rule = CLAUSES.get(block, f"{block}_clause") if block else OUTERMOST
    return plain_table().begins.get(rule, frozenset())


@cache
def blocks_with(word: str) -> tuple[str, ...]:
    """The kinds of block in which a clause can begin with this word."""
    return tuple(sorted(block for block in blocks() if word in clause_words(block)))


@cache
def blocks() -> frozenset[str]:
    """The kinds of block there are, by the word that begins them."""
    rules = plain_table().begins
    return frozenset([*CLAUSES, *(name.removesuffix("_clause") for name in rules if name.endswith("_clause"))])
