"""The syntax tree: nodes named after grammar rules, with every token kept, so that nothing written is lost."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Any, Self, Union

from sopc.source import Span


class Token(str):
    """A piece of the text and its terminal. `start_pos`: where it begins; `lines`: where the lines of the text end.

    Places are reckoned when they are asked for. The names are those of lark's tokens, which it takes these for.
    """

    __slots__ = ("end_pos", "lines", "start_pos", "type")

    type: str
    start_pos: int
    end_pos: int
    lines: Sequence[int]

    def __new__(cls, type: str, value: str, start_pos: int, lines: Sequence[int]) -> Self:
        made = str.__new__(cls, value)
        made.type = type
        made.start_pos = start_pos
        made.end_pos = start_pos + len(value)
        made.lines = lines
        return made

    @property
    def line(self) -> int:
        """The line's number, from 1."""
        return bisect_left(self.lines, self.start_pos) + 1

    @property
    def column(self) -> int:
        """The place in its line, from 1."""
        return self._column(self.start_pos)

    @property
    def end_line(self) -> int:
        return bisect_left(self.lines, self.end_pos) + 1

    @property
    def end_column(self) -> int:
        return self._column(self.end_pos)

    def __reduce__(self) -> tuple[Any, ...]:
        return Token, (self.type, str(self), self.start_pos, self.lines)

    def _column(self, position: int) -> int:
        before = bisect_left(self.lines, position)
        return position - (self.lines[before - 1] if before else -1)

    @property
    def value(self) -> str:
        """The text alone."""
        return str(self)


Value = Union["Node", Token, "list[Value]"]
"""What a parser has in hand: a node, a token, or what will become a part of another node."""


class Node:
    """One grammar rule as it was matched. Children are nodes and tokens in the order of the text."""

    __slots__ = ("children", "kind")

    def __init__(self, kind: str, children: list[Any], meta: object = None) -> None:
        self.kind = str(kind)
        self.children: list[Node | Token] = children

    def first_token(self) -> Token:
        """The first token; every node but an empty start holds one."""
        child: Node | Token = self
        while isinstance(child, Node):
            child = child.children[0]
        return child

    def last_token(self) -> Token:
        """The last token."""
        child: Node | Token = self
        while isinstance(child, Node):
            child = child.children[-1]
        return child

    def nodes(self, *kinds: str) -> Iterator[Node]:
        """Child nodes, of these kinds when any are named."""
        for child in self.children:
            if isinstance(child, Node) and (not kinds or child.kind in kinds):
                yield child

    def node(self, kind: str) -> Node | None:
        """The first child node of this kind, or None."""
        for child in self.children:
            if isinstance(child, Node) and child.kind == kind:
                return child
        return None

    def tokens(self, *types: str) -> list[Token]:
        """Child tokens of these types."""
        return [child for child in self.children if isinstance(child, Token) and child.type in types]

    def token(self, *types: str) -> Token | None:
        """The first child token of these types, or None."""
        for child in self.children:
            if isinstance(child, Token) and child.type in types:
                return child
        return None

    def words(self) -> list[Token]:
        """All tokens below this node in order."""
        found: list[Token] = []
        waiting: list[Node | Token] = [self]
        while waiting:
            part = waiting.pop()
            if isinstance(part, Token):
                found.append(part)
            else:
                waiting.extend(reversed(part.children))
        return found

    def __repr__(self) -> str:
        return f"Node({self.kind!r}, {self.children!r})"


def span_of(file: str, part: Node | Token) -> Span:
    """Where a node or token stands."""
    first = part if isinstance(part, Token) else part.first_token()
    last = part if isinstance(part, Token) else part.last_token()
    return Span(file, first.line, first.column, last.end_line, last.end_column)


def text_of(token: Token | None) -> str:
    """The text between the quotes; long text loses its common indentation."""
    if token is None:
        return ""
    raw = str(token)
    if not raw.startswith('"""'):
        return raw[1:-1].strip()
    lines = raw[3:-3].split("\n")
    inner = [line for line in lines[1:] if line.strip()]
    margin = min((len(line) - len(line.lstrip()) for line in inner), default=0)
    return "\n".join([lines[0].strip(), *(line[margin:].rstrip() for line in lines[1:])]).strip()


def wording(part: Node | Token) -> str:
    """The clause as written, on one line."""
    if isinstance(part, Token):
        return " ".join(str(part).split())
    return " ".join(" ".join(part.words()).split()).replace(" ,", ",")
