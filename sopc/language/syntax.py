"""The syntax tree: nodes named after grammar rules, with every token kept, so that nothing written is lost."""

from __future__ import annotations

from collections.abc import Iterator

from lark import Token

from sopc.source import Span


class Node:
    """One grammar rule as it was matched. Children are nodes and tokens in the order of the text."""

    __slots__ = ("children", "kind")

    def __init__(self, kind: str, children: list[Node | Token], meta: object = None) -> None:
        self.kind = str(kind)
        self.children = children

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
    return Span(file, first.line or 0, first.column or 0, last.end_line or 0, last.end_column or 0)


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
