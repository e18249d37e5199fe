"""One place in a text where reading failed, with all that can be known there without reading on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sopc.language import table
from sopc.language.braces import Opening, opening_at
from sopc.language.syntax import Token
from sopc.source import Span

_WORD = re.compile(r'[^\s{}",]+')
INSERTED = ""  # the text of a token that the reader put in by itself


@dataclass(frozen=True)
class Place:
    """A position in a text and the parser's stacks as they stood there."""

    file: str
    text: str
    position: int
    states: tuple[int, ...]
    values: tuple[Any, ...]

    @cached_property
    def word(self) -> str:
        """The word that stands here, or the single character; empty at the end of the text."""
        if self.position >= len(self.text):
            return ""
        match = _WORD.match(self.text, self.position)
        return match.group() if match else self.text[self.position]

    @cached_property
    def line_start(self) -> int:
        return self.text.rfind("\n", 0, self.position) + 1

    @cached_property
    def line(self) -> str:
        """The whole line."""
        end = self.text.find("\n", self.position)
        return self.text[self.line_start : end if end >= 0 else len(self.text)]

    @property
    def before(self) -> str:
        """What stands on the line before this place."""
        return self.text[self.line_start : self.position]

    @property
    def at_line_start(self) -> bool:
        return not self.before.strip()

    @cached_property
    def number(self) -> int:
        """The line's number, from 1."""
        return self.text.count("\n", 0, self.position) + 1

    @cached_property
    def accepted(self) -> set[str]:
        """The terminals that could stand here."""
        return table.accepted(list(self.states))

    @cached_property
    def blocks(self) -> tuple[Opening, ...]:
        """The blocks open here, outermost first, as the parser understood them."""
        found = []
        head = ""
        for value in self.values:
            if not isinstance(value, Token):
                continue
            if value.type == "LBRACE":
                place = value.start_pos if value.start_pos is not None else self.position
                found.append(opening_at(self.text, place, head))
            elif value.type == "RBRACE" and found:
                found.pop()
            elif str(value) in table.blocks() and value.type != "NAME":
                head = str(value)
        return tuple(found)

    @property
    def block(self) -> str:
        """The kind of the innermost block, or empty outside of all."""
        return self.blocks[-1].word if self.blocks else ""

    @property
    def last(self) -> Token | None:
        """The token before this place when it has not become part of anything yet."""
        top = self.values[-1] if self.values else None
        return top if isinstance(top, Token) else None

    @property
    def terminals(self) -> tuple[str, ...]:
        """What the word here is to the parser."""
        return ("RBRACE",) if self.word == "}" else table.terminals_of(self.word)

    @property
    def ends_clause(self) -> bool:
        """Whether a clause or declaration could begin here."""
        return "RBRACE" in self.accepted or "OFFICE" in self.accepted

    def fits(self, *terminals: str) -> bool:
        """Whether these terminals could stand here."""
        return table.fits(self.states, *terminals)

    def fits_outside(self) -> bool:
        """Whether the word would fit if some of the open blocks were closed first."""
        closing = ["RBRACE"] * len(self.blocks)
        return any(
            self.fits(*closing[:depth], terminal)
            for depth in range(1, len(self.blocks) + 1)
            for terminal in self.terminals
        )

    def back_to(self, token: Token) -> Place:
        """This place moved back to the last token, which is taken off the stacks."""
        return Place(self.file, self.text, token.start_pos or 0, self.states[:-1], self.values[:-1])

    def span(self, position: int | None = None, length: int | None = None) -> Span:
        """A span on one line; by default that of the word here."""
        return span_at(self.file, self.text, self.position if position is None else position, length or len(self.word))


def span_at(file: str, text: str, position: int, length: int) -> Span:
    """The span of `length` characters from a position on, kept to its line; never empty unless the line is."""
    position = min(max(position, 0), len(text))
    start = text.rfind("\n", 0, position) + 1
    end = text.find("\n", position)
    end = len(text) if end < 0 else end
    line, column = text.count("\n", 0, position) + 1, position - start + 1
    last = min(position + max(length, 1), end) - start + 1
    return Span(file, line, column, line, max(last, column))
