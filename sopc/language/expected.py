"""What the reader would have taken at a place, said in words."""

from __future__ import annotations

from collections.abc import Iterable

from sopc.language.table import words_of

PLAIN = {
    "NAME": "a name",
    "STRING": 'a text in "quotes"',
    "LONG_TEXT": 'a text in """three quotes"""',
    "NUMBER": "a number",
    "UNIT": "a unit (min, h, C, mL, ppm, % …)",
    "DATE": "a date (2026-12-31)",
    "DATE_IN_YEAR": "a month and day (03-15)",
    "TIME": "a time (08:00)",
    "LBRACE": "{",
    "COMMA": "a comma",
    "DAY": "a weekday (mon, tue, wed, thu, fri, sat, sun)",
    "_PARTS": "part or parts",
    "DECIDER": "by machine or by staff",
    "MARK": "read, memory, practice or calculated",
    "SIGNAL_WORD": "danger, warning, caution or notice",
}
OPTIONAL = ("DECIDER", "SIGNAL_WORD", "MARK")  # possible at many places, and never what is missing
MOST_WORDS = 8

ARTICLES = {"action": "an action", "area": "an area", "item": "an item", "office": "the office"}


def words_for(terminals: Iterable[str]) -> list[str]:
    """Every word of the language among these terminals, sorted."""
    return sorted({word for terminal in terminals for word in words_of(terminal)})


def in_words(terminals: Iterable[str], block: str) -> str:
    """Say what was expected: the plain things first, then the words or, when many, the kind of clause."""
    known = set(terminals)
    plain = [said for name, said in PLAIN.items() if name in known and name not in OPTIONAL]
    words = words_for(name for name in known if name not in PLAIN)
    if len(words) > MOST_WORDS:
        # Where a clause may end, what could have continued it is seldom what the author wants to hear.
        plain = [f"the next clause of {owner(block)}" if block else "the next declaration"]
    else:
        plain.extend(f"“{word}”" for word in words)
    if "RBRACE" in known:
        plain.append("}")
    return either(plain) if plain else "the end of the file"


def either(words: list[str]) -> str:
    """A, b or c."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " or " + words[-1]


def owner(block: str) -> str:
    """The block's keyword with its article: a step, an item, the office."""
    return ARTICLES.get(block, f"a {block}")
