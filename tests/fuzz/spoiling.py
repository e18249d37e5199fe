"""Spoils texts at random: by words of the same kind, by clauses the grammar allows, by pieces, by odd letters."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

from sopc.language import table
from sopc.language.grammar import parser
from sopc.language.parse import parse
from sopc.language.syntax import Node
from sopc.language.words import WORD_END
from sopc.source import SourceFile
from tests.fuzz.offices import tokens_of, words

PIECES = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|[\w.-]+|\s+|.')
MOST_LETTERS = 60_000  # a text that is doubled again and again stays small enough to be tried

ODD: dict[str, Sequence[str]] = {
    "NUMBER": ("0", "1", "2", "7", "0.5", "0.0000001", "999", "100000", "9" * 20, "9" * 400, "0." + "0" * 300 + "1"),
    "DATE": ("9999-12-31", "0001-01-01", "0000-00-00", "2026-02-30", "2028-02-29", "2026-12-02", "1999-13-01"),
    "TIME": ("0:00", "00:00", "23:59", "24:00", "99:99", "8:60", "12:00"),
    "DATE_IN_YEAR": ("02-29", "02-30", "12-31", "00-00", "13-01", "01-01"),
    "STRING": tuple(
        f'"{text}"'
        for text in (
            *("", " ", "a", "long " * 400, "W" * 900, "<b>&amp;</b>", "\u202eabc\u0000", "**", "../../etc", "“so”"),
            *("\u0301\U0001f600\ufeff", "[x](javascript:x)", "{{ 7 }}{% x %}"),
        )
    ),
    "LONG_TEXT": tuple(
        f'"""{text}"""'
        for text in ("", "\n- a\n  - b\n    - c\n", "> " * 60 + "x", "| a |\n|---|\n| b |", "<script>", "`" * 99, "# a")
    ),
    "NAME": ("x", "soiled", "clean", "assistant", "x-y_z", "A" * 300, "sterile", "office-1"),
    "UNIT": (
        *("s", "min", "h", "day", "week", "C", "F", "kPa", "psi", "%", "ppm", "mL", "qt", "mm", "lux", "CFU/mL"),
        *("µ", "furlong", "°"),
    ),
}
LETTERS = (
    *("\x00", "\ufeff", "\r\n", "\r", "\t", "\u2028", "\u0085", "\x0b", "\x1b", "\u00a0", "\u202e", "\U0001f600"),
    *("“", "”", "«", "ß", "İ", "{", "}", '"', '"""', "#", ",", "/*", "\\", "\n\n\n"),
    *("{" * 30, "}" * 5, "x" * 5000, "9" * 500, " " * 2000),
)

Draw = random.Random
Way = Callable[[Draw, str], str]


# ── Ways that keep the form ─────────────────────────────────────────────────────────────────────


def _tree(text: str) -> Node | None:
    return parse(SourceFile.from_text("text", text))[0]


def _exchanged(text: str, start: int | None, end: int | None, new: str) -> str:
    return text[: start or 0] + new + text[end or 0 :]


def another_word(draw: Draw, text: str) -> str:
    """Another word of the same kind in a word's place: from the same kind of clause, or an odd one."""
    tokens = tokens_of(_tree(text))
    free = [(rule, token) for rule, token in tokens if token.type in ODD or (rule, token.type) in words()]
    if not free:
        return text
    rule, token = draw.choice(free)
    same = [str(other) for kind, other in tokens if kind == rule and other.type == token.type]
    pools: list[Sequence[str]] = [same, words().get((rule, token.type), ()), ODD.get(token.type, ())]
    new = draw.choice(draw.choice([pool for pool in pools if pool]))
    return _exchanged(text, token.start_pos, token.end_pos, new)


def _clauses(text: str) -> list[Node]:
    """The nodes of a text that stand in a block or at its outermost level."""
    found: list[Node] = []
    waiting = [tree] if (tree := _tree(text)) is not None else []
    while waiting:
        node = waiting.pop()
        children = [child for child in node.children if isinstance(child, Node)]
        if node.kind == "start" or node.token("LBRACE") is not None:
            found += children
        waiting += children
    return found


def _stretch(node: Node) -> tuple[int, int]:
    return node.first_token().start_pos or 0, node.last_token().end_pos or 0


def without_a_clause(draw: Draw, text: str) -> str:
    """A clause, or a whole block, taken out."""
    clauses = _clauses(text)
    return _exchanged(text, *_stretch(draw.choice(clauses)), "") if clauses else text


def clause_elsewhere(draw: Draw, text: str) -> str:
    """A clause said once more behind another one of the same kind, as in another block."""
    clauses = _clauses(text)
    if not clauses:
        return text
    one = draw.choice(clauses)
    other = draw.choice([clause for clause in clauses if clause.kind == one.kind])
    start, end = _stretch(one)
    at = _stretch(other)[1]
    return f"{text[:at]} {text[start:end]} {text[at:]}"


def clauses_exchanged(draw: Draw, text: str) -> str:
    """Two clauses of a kind in each other's place."""
    clauses = _clauses(text)
    if not clauses:
        return text
    one = draw.choice(clauses)
    other = draw.choice([clause for clause in clauses if clause.kind == one.kind])
    (start, end), (resume, last) = sorted([_stretch(one), _stretch(other)])
    if resume < end:
        return text
    return text[:start] + text[resume:last] + text[end:resume] + text[start:end] + text[last:]


def new_clause(draw: Draw, text: str) -> str:
    """A clause put into a block that may hold it, made by the grammar."""
    clauses = _clauses(text)
    if not clauses:
        return text
    beside = draw.choice(clauses)
    rule = draw.choice(_rules_with(beside.kind) or ("declaration",))
    return _exchanged(text, _stretch(beside)[1], _stretch(beside)[1], f" {made(draw, rule)} ")


@cache
def _rules_with(kind: str) -> tuple[str, ...]:
    """The rules of which one alternative is this kind of clause: its block's."""
    return tuple(
        sorted(
            {
                str(rule.origin.name)
                for rule in parser().rules
                if [str(symbol.name) for symbol in rule.expansion] == [kind] and not rule.origin.name.startswith("_")
            }
        )
    )


# ── Texts made by the grammar ───────────────────────────────────────────────────────────────────


@cache
def _expansions() -> dict[str, list[list[Any]]]:
    found: dict[str, list[list[Any]]] = {}
    for rule in parser().rules:
        found.setdefault(str(rule.origin.name), []).append(list(rule.expansion))
    return found


@cache
def _depths() -> dict[str, int]:
    """How many rules at least lie between a rule and its words."""
    depths: dict[str, int] = {}
    for _ in _expansions():
        for name, choices in _expansions().items():
            known = [
                max((0 if symbol.is_term else depths[symbol.name] for symbol in choice), default=0) + 1
                for choice in choices
                if all(symbol.is_term or symbol.name in depths for symbol in choice)
            ]
            if known:
                depths[name] = min(known)
    return depths


def made(draw: Draw, rule: str, deepest: int = 12) -> str:
    """A text that the grammar makes of a rule; names and texts are mostly such as stand in real offices."""
    return " ".join(_made(draw, rule, rule, deepest))


def _made(draw: Draw, rule: str, around: str, left: int) -> list[str]:
    choices = _expansions()[rule]
    depths = _depths()

    def reach(choice: list[Any]) -> int:
        return max((0 if symbol.is_term else depths[symbol.name] for symbol in choice), default=0)

    fitting = [choice for choice in choices if reach(choice) < left] or [min(choices, key=reach)]
    said: list[str] = []
    for symbol in draw.choice(fitting):
        if symbol.is_term:
            said.append(_word(draw, around, symbol.name))
        else:
            name = str(symbol.name)
            said += _made(draw, name, around if name.startswith("_") or name == "names" else name, left - 1)
    return said


@cache
def _literals() -> dict[str, str]:
    return {each.name: each.pattern.value.replace(WORD_END, "") for each in parser().terminals}


def _word(draw: Draw, rule: str, terminal: str) -> str:
    if terminal in ("LBRACE", "RBRACE", "COMMA"):
        return {"LBRACE": "{", "RBRACE": "}", "COMMA": ","}[terminal]
    seen = words().get((rule, terminal), ())
    if seen and draw.random() < 0.85:
        return draw.choice(seen)
    if terminal in ODD:
        return draw.choice(ODD[terminal])
    if table.words_of(terminal):
        return draw.choice(table.words_of(terminal))
    return "by machine" if terminal == "DECIDER" else _literals()[terminal]


def declarations(draw: Draw, text: str) -> str:
    """Whole declarations made by the grammar, put behind the text."""
    return text + "\n" + "\n".join(made(draw, "declaration") for _ in range(draw.randint(1, 4))) + "\n"


# ── Ways that break the form ────────────────────────────────────────────────────────────────────


def _lines(text: str) -> list[str]:
    return re.split(r"(?<=\n)", text)


def _braces(text: str) -> list[str]:
    return re.split(r"(?=[{}])|(?<=[{}])", text)


def _by_pieces(split: Callable[[str], list[str]]) -> Way:
    def spoil(draw: Draw, text: str) -> str:
        pieces = split(text) or [" "]
        here, there = draw.randrange(len(pieces)), draw.randrange(len(pieces))
        kind = draw.choice(("delete", "double", "swap", "cut"))
        if kind == "delete":
            del pieces[here]
        elif kind == "double":
            pieces.insert(here, pieces[there])
        elif kind == "swap":
            pieces[here], pieces[there] = pieces[there], pieces[here]
        else:
            del pieces[min(here, there) : max(here, there)]
        return "".join(pieces)

    return spoil


def odd_letters(draw: Draw, text: str) -> str:
    """Letters put in that no keyboard puts there, or far too many of one."""
    at = draw.randint(0, len(text))
    return text[:at] + draw.choice(LETTERS) + text[at:]


def other_line_ends(draw: Draw, text: str) -> str:
    """The line ends of another system, or a mark at the beginning."""
    return draw.choice((text.replace("\n", "\r\n"), text.replace("\n", "\r"), "\ufeff" + text, text.replace("\n", " ")))


WAYS: tuple[Way, ...] = (
    another_word,
    another_word,
    another_word,
    without_a_clause,
    clause_elsewhere,
    clauses_exchanged,
    new_clause,
    new_clause,
    declarations,
    _by_pieces(PIECES.findall),
    _by_pieces(_lines),
    _by_pieces(_braces),
    _by_pieces(list),
    odd_letters,
    other_line_ends,
)
KEEPING_FORM = WAYS[:9]


def spoilt(draw: Draw, text: str, times: int, ways: Sequence[Way] = WAYS) -> str:
    """A text spoilt so many times, each time in a way drawn anew."""
    for _ in range(times):
        text = draw.choice(ways)(draw, text)[:MOST_LETTERS]
    return text
