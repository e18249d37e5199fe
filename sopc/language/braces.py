"""Which brace belongs to which: found from the text alone, so that a missing one can be pointed at."""

from __future__ import annotations

import re
from dataclasses import dataclass

_PIECES = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*|[{}]')


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening brace: where it stands, how far its line is indented, and the first word of that line."""

    position: int
    line: int
    indent: int
    word: str
    header: str


def open_at(text: str, end: int) -> tuple[list[Opening], Opening | None]:
    """Return the braces open at position `end`, and the one that most likely lacks its closing brace.

    The suspect is the first opening whose closing brace stands further left than its own line: that closing
    brace was meant for a block further out. Without such a slip it is the innermost block still open.
    """
    stack: list[Opening] = []
    suspect: Opening | None = None
    for match in _PIECES.finditer(text, 0, end):
        piece = match.group()
        if piece == "{":
            stack.append(_opening(text, match.start()))
        elif piece == "}" and stack:
            closed = stack.pop()
            line_start = text.rfind("\n", 0, match.start()) + 1
            before = text[line_start : match.start()]
            if suspect is None and not before.strip() and len(before) < closed.indent:
                suspect = closed
    return stack, suspect if suspect is not None else (stack[-1] if stack else None)


def _opening(text: str, position: int) -> Opening:
    start = text.rfind("\n", 0, position) + 1
    header = text[start:position]
    stripped = header.lstrip()
    words = stripped.split()
    first = words[0] if words else ""
    if first == "override" and len(words) > 1:
        first = words[1]
    return Opening(position, text.count("\n", 0, position) + 1, len(header) - len(stripped), first, stripped.strip())
