"""Reads a text in which nothing is wrong: a run of our own over lark's table, several times as quick as lark's.

It gives up at the first thing that does not fit; then lark reads the text from its beginning, and says what is wrong.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import chain
from typing import cast

from sopc.language.plain_table import PlainTable, plain_table
from sopc.language.syntax import Node, Token, Value

_WORD = re.compile(r"[\w-]+").match
_LINE_END = re.compile("\n")


def straight(text: str) -> Node | None:
    """The syntax tree of a text, or None when something in it does not fit."""
    return _reader().read(text)


@cache
def _reader() -> _Reader:
    return _Reader(plain_table())


class _Reader:
    """The table with its expressions compiled. Which token comes next depends on what the state accepts; of the
    terminals it accepts those of a higher priority than words are tried first, then words, then the rest."""

    def __init__(self, table: PlainTable) -> None:
        self._start, self._end = table.start, table.end
        self._actions, self._gotos, self._rules = table.actions, table.gotos, table.rules
        self._terminals = table.terminals
        self._ignored = re.compile(table.ignored).match
        match = {name: re.compile(pattern).match for name, pattern in table.patterns.items()}
        known = {names: tuple((name, match[name]) for name in names) for names in set(chain(*table.around))}
        self._around = [(known[before], known[behind]) for before, behind in table.around]

    def read(self, text: str) -> Node | None:
        """Run over the text once."""
        actions, ignored, token = self._actions, self._ignored, self._token
        lines = [match.start() for match in _LINE_END.finditer(text)]
        states, values = [self._start], list[Value]()
        row = actions[self._start]
        at, end = 0, len(text)
        while True:
            if space := ignored(text, at):
                at = space.end()
            if at >= end:
                return self._whole(states, values)
            found = token(states[-1], row, text, at)
            if found is None:
                return None
            name, value = found
            action = row.get(name)
            while action is not None and action < 0:
                action = actions[self._reduce(~action, states, values)].get(name)
            if action is None:
                return None
            states.append(action)
            row = actions[action]
            values.append(Token(name, value, at, lines))
            at += len(value)

    def _token(self, state: int, row: dict[str, int], text: str, at: int) -> tuple[str, str] | None:
        """The terminal that stands here, and its text; `row`: what the state accepts."""
        before, behind = self._around[state]
        for name, match in before:
            if found := match(text, at):
                return name, found.group()
        if found := _WORD(text, at):
            word = found.group()
            for name in self._terminals.get(word, ()):
                if name in row:
                    return name, word
        for name, match in behind:
            if found := match(text, at):
                return name, found.group()
        return None

    def _reduce(self, number: int, states: list[int], values: list[Value]) -> int:
        """Put what a rule consists of into one node; returns the state behind it."""
        origin, size, kind, single, inner = self._rules[number]
        if single and size == 1 and not inner:  # what it consists of stands for it
            states[-1] = state = self._gotos[states[-2]][origin]
            return state
        parts = list[Value]()
        if size:
            parts = values[-size:]
            del states[-size:], values[-size:]
        if inner:
            parts = _spliced(parts, inner)
        state = self._gotos[states[-1]][origin]
        states.append(state)
        values.append(parts[0] if single and len(parts) == 1 else parts if kind is None else Node(kind, parts))
        return state

    def _whole(self, states: list[int], values: list[Value]) -> Node | None:
        """Finish all that is open at the end of the text."""
        while states[-1] != self._end:
            action = self._actions[states[-1]].get("$END")
            if action is None or action >= 0:
                return None
            self._reduce(~action, states, values)
        return values[-1] if isinstance(values[-1], Node) else None


def _spliced(parts: list[Value], inner: tuple[int, ...]) -> list[Value]:
    """The parts, with those of parts that are no nodes of their own in their place."""
    found: list[Value] = []
    for place, part in enumerate(parts):
        if place not in inner:
            found.append(part)
        elif found:
            found += cast("list[Value]", part)
        else:
            found = cast("list[Value]", part)  # what grows by one at each turn is not copied each time
    return found
