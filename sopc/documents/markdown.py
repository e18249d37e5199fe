"""Renders the officer's Markdown for paper: emphasis, lists and tables; never HTML, pictures or headings."""

from __future__ import annotations

from collections.abc import MutableMapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from sopc.documents.wording import bound_units

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markupsafe import Markup

NOT_FOR_PAPER = [
    "heading",
    "lheading",
    "html_block",
    "html_inline",
    "image",
    "link",
    "autolink",
    "reference",
    "code",
    "fence",
]
"""Rules switched off: headings would break the outline of the page, the rest has no place on paper."""


def rendered(text: str) -> Markup:
    """Return the text as HTML that may be printed as it is; HTML in the text comes out as the characters typed."""
    from markupsafe import Markup

    return Markup(_parser().render(bound_units(text.strip())))


def plain(text: str) -> str:
    """Return the text as one line without marks of emphasis, for places that take no HTML."""
    words: list[str] = []
    for token in _parser().parse(text.strip()):
        for child in token.children or ():
            words.append(
                child.content if child.type in ("text", "code_inline") else " " if "break" in child.type else ""
            )
        if token.type in ("paragraph_close", "list_item_close", "td_close", "th_close"):
            words.append(" ")
    return " ".join("".join(words).split())


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt

    parser = MarkdownIt("commonmark", {"html": False}).enable("table").disable(NOT_FOR_PAPER)
    parser.add_render_rule("th_open", _head_cell)
    parser.add_render_rule("table_open", _table)
    return parser


def _head_cell(renderer: Any, tokens: Sequence[Any], index: int, options: Any, env: MutableMapping[str, Any]) -> str:
    return '<th scope="col">'


def _table(renderer: Any, tokens: Sequence[Any], index: int, options: Any, env: MutableMapping[str, Any]) -> str:
    return '<table class="data">'
