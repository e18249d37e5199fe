"""What the reader would have taken at a place, said in words."""

from __future__ import annotations

from collections.abc import Iterable

from sopc.language.grammar import parser

PLAIN = {
    "NAME": "a name",
    "STRING": 'a text in "quotes"',
    "LONG_TEXT": 'a text in """three quotes"""',
    "NUMBER": "a number",
    "UNIT": "a unit (min, h, °C as C, mL, ppm, % …)",
    "DATE": "a date (2026-12-31)",
    "DATE_IN_YEAR": "a month and day (03-15)",
    "TIME": "a time (08:00)",
    "LBRACE": "{",
    "RBRACE": "}",
    "COMMA": "a comma",
    "$END": "the end of the file",
    "DAY": "a weekday (mon, tue, wed, thu, fri, sat, sun)",
    "_PARTS": "part or parts",
    "DECIDER": "by machine or by staff",
    "MARK": "read, memory, practice or calculated",
    "SIGNAL_WORD": "danger, warning, caution or notice",
}

ARTICLES = {
    "action": "an action",
    "area": "an area",
    "item": "an item",
    "office": "the office",
    "override": "an override",
}


def terminal_words(terminal: str) -> list[str]:
    """The words of the language that this terminal stands for; empty for names, texts and numbers."""
    for definition in parser().terminals:
        if definition.name == terminal:
            pattern = definition.pattern.value
            bare = pattern.removesuffix(r"(?![\w-])")
            return [] if bare == pattern else bare.strip("()").split("|")
    return []


def words_for(terminals: Iterable[str]) -> list[str]:
    """Every keyword among these terminals, sorted."""
    found = {word for terminal in terminals for word in terminal_words(terminal)}
    return sorted(word for word in found if "?" not in word)


def in_words(terminals: Iterable[str], block: str) -> str:
    """Say what was expected: the plain things first, then the keywords or, when many, the kind of clause."""
    known = set(terminals)
    plain = [
        PLAIN[name] for name in PLAIN if name in known and name not in ("RBRACE", "$END", "DECIDER", "SIGNAL_WORD")
    ]
    plain = list(dict.fromkeys(plain))
    listed = {word for name in known if name in PLAIN for word in terminal_words(name)}
    keywords = [word for word in words_for(known) if word not in listed]
    if len(keywords) > 8:
        kind = (
            f"the next clause of {in_words_owner(block)}"
            if block
            else "a declaration (office, role, area, device, item, procedure, task, log …)"
        )
        plain.append(kind)
    else:
        plain.extend(f"“{word}”" for word in keywords)
    if "RBRACE" in known:
        plain.append("}")
    if not plain:
        return "the end of the file"
    return plain[0] if len(plain) == 1 else ", ".join(plain[:-1]) + " or " + plain[-1]


def in_words_owner(block: str) -> str:
    """The block's keyword with its article: a step, an item, the office."""
    return ARTICLES.get(block, f"a {block}")
