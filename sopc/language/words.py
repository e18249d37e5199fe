"""The words of the language: how a terminal lists them, and that they match only as wholes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lark.lexer import TerminalDef

WORD_END = r"(?![\w-])"


def words_in(terminal: TerminalDef) -> tuple[str, ...]:
    """The words that a terminal lists, each matched only as a whole; none for names, texts, numbers and signs."""
    pattern: str = terminal.pattern.value
    bare = pattern.removesuffix(WORD_END).removeprefix("(").removesuffix(")")
    return tuple(bare.split("|")) if bare != pattern and bare.replace("|", "").isalnum() else ()


def rank(terminal: TerminalDef) -> tuple[int, int, int, str]:
    """Lark's own order of trying terminals."""
    return (-terminal.priority, -terminal.pattern.max_width, -len(terminal.pattern.value), terminal.name)
