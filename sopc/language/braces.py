"""Which brace belongs to which: found from the text alone, so that a missing one can be pointed at."""

from __future__ import annotations

import re
from dataclasses import dataclass

PIECES = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*|[{}]')
DEEPEST = 20  # blocks inside blocks; the grammar needs four, ways inside ways a few more


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening brace: where it stands, how far its line is indented, and the line before it."""

    position: int
    indent: int
    word: str
    header: str


def opening_at(text: str, position: int, word: str = "") -> Opening:
    """The opening brace at `position`; `word` names its block, else the first word of its line does."""
    start = text.rfind("\n", 0, position) + 1
    header = text[start:position]
    stripped = header.lstrip()
    words = stripped.split()
    first = words[0] if words else ""
    if first == "override" and len(words) > 1:
        first = words[1]
    return Opening(position, len(header) - len(stripped), word or first, stripped.strip())


def unclosed(text: str, end: int) -> Opening | None:
    """Of the braces open at position `end`, the one that most likely lacks its closing brace.

    The suspect is the first opening whose closing brace stands further left than its own line: that closing
    brace was meant for a block further out. Without such a slip it is the innermost block still open.
    """
    stack: list[Opening] = []
    suspect: Opening | None = None
    for match in PIECES.finditer(text, 0, end):
        piece = match.group()
        if piece == "{":
            stack.append(opening_at(text, match.start()))
        elif piece == "}" and stack:
            closed = stack.pop()
            line_start = text.rfind("\n", 0, match.start()) + 1
            before = text[line_start : match.start()]
            if suspect is None and not before.strip() and len(before) < closed.indent:
                suspect = closed
    return suspect if suspect is not None else (stack[-1] if stack else None)


def next_closing(text: str, position: int) -> tuple[int, int | None] | None:
    """Where the next } stands that closes a block open at `position`, and its indentation if it begins its line."""
    depth = 0
    for match in PIECES.finditer(text, position):
        piece = match.group()
        if piece == "{":
            depth += 1
        elif piece == "}" and depth:
            depth -= 1
        elif piece == "}":
            before = text[text.rfind("\n", 0, match.start()) + 1 : match.start()]
            return match.start(), None if before.strip() else len(before)
    return None


def too_deep(text: str) -> int | None:
    """Where the first block stands that lies deeper than any text needs, or None."""
    depth = 0
    for match in PIECES.finditer(text):
        piece = match.group()
        if piece == "{":
            depth += 1
            if depth > DEEPEST:
                return match.start()
        elif piece == "}":
            depth = max(depth - 1, 0)
    return None
