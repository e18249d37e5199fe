"""The parser made from grammar/sop.lark, kept ready in the user's cache folder between runs."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from sopc.language.syntax import Node
from sopc.language.words import WORD_END
from sopc.shipped import shipped

if TYPE_CHECKING:  # a text that is right is read without lark
    from lark import Lark
    from lark.lexer import TerminalDef


def cache_folder() -> Path | None:
    """A private folder for things that can be made again, or None when there is nowhere to write."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    folder = Path(base) / "sopc"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def whole_words(terminal: TerminalDef) -> TerminalDef:
    """Let a keyword match only as a whole word, so that `bywearing` is never read as two."""
    from lark.lexer import PatternRE, PatternStr

    if isinstance(terminal.pattern, PatternStr) and terminal.pattern.value.isalnum():
        terminal.pattern = PatternRE(terminal.pattern.value + WORD_END)
        terminal.priority = 1
    return terminal


def grammar_text() -> str:
    """The grammar as shipped."""
    return (shipped("grammar") / "sop.lark").read_text(encoding="utf-8")


def build(text: str, **options: object) -> Lark:
    """Make the LALR(1) parser from a grammar text; nodes are our own."""
    from lark import Lark

    from sopc.language.lexer import WordLexer

    return Lark(
        text,
        parser="lalr",
        lexer="contextual",
        keep_all_tokens=True,
        maybe_placeholders=False,
        edit_terminals=whole_words,
        tree_class=Node,
        **{"_plugins": {"ContextualLexer": WordLexer}, **options},
    )


@cache
def parser() -> Lark:
    """The parser, from the cache when it was made before."""
    text = grammar_text()
    folder = cache_folder()
    if folder is None:
        return build(text)
    try:
        return build(text, cache=str(folder / "grammar.pickle"))
    except OSError:
        return build(text)
