"""Figures as people write them in a sentence (“for two minutes”, “270 to 275 °F”, “at most 500 CFU/mL”)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from sopc.trade.quantities import UNITS, Dimension, Quantity, Unit

_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "fourteen": 14, "fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40,
    "forty-five": 45, "fifty": 50, "sixty": 60, "ninety": 90,
}  # fmt: skip
_SPELLED: dict[str, str] = {
    "seconds": "s", "second": "s", "secs": "s", "sec": "s", "minutes": "min", "minute": "min", "mins": "min",
    "hours": "h", "hour": "h", "hrs": "h", "hr": "h", "days": "day", "weeks": "week", "°C": "C", "°F": "F",
}  # fmt: skip
_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?|(?:" + "|".join(sorted(_WORDS, key=len, reverse=True)) + r")\b"
_UNIT = "|".join(re.escape(name) for name in sorted({*UNITS, *_SPELLED}, key=len, reverse=True))
_FROM = r"at least|not less than|no less than|no shorter than|no cooler than"
_UP_TO = (
    r"at most|up to|(?:no|not|never) (?:more|longer|later|hotter|higher|warmer|greater|over) than|(?:no|not|never) over"
)
_FIGURE = re.compile(
    rf"(?:\b(?P<lead>{_FROM}|{_UP_TO}|[a-z]+)\s+)?(?<![\w.,:+/-])(?P<low>{_NUMBER})"
    rf"(?:\s*(?P<own>{_UNIT})?\s*(?P<join>to|and|–|(?<=\d)-(?=\d))\s*(?P<high>{_NUMBER}))?"
    rf"\s*(?P<unit>{_UNIT})(?![\w/])(?:(?P<more>\s+(?:(?:or|and)\s+(?:more|longer|over|above|hotter|higher|upwards)"
    r"|at (?:the )?least)\b)|(?P<less>\s+(?:(?:or|and)\s+(?:less|fewer|under|below|shorter|cooler|lower)"
    r"|at (?:the )?most)\b))?",
    re.IGNORECASE,
)
_SOME = re.compile(r"\d|\b(?:" + "|".join(_WORDS) + r")\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure: from `least` to `most` in the base unit of its dimension; both alike where it says one number.

    `None` is an end that it leaves open. `lead` is the word before it in lower case, or the words that bound it;
    `start` and `end` are its place in the text.
    """

    text: str
    unit: Unit
    least: Fraction | None
    most: Fraction | None
    lead: str
    start: int
    end: int

    @property
    def dimension(self) -> Dimension:
        """What it measures."""
        return self.unit.dimension


@cache
def figures_in(text: str) -> tuple[Figure, ...]:
    """All numbers with a unit that stand in a text, in its order; units and numbers may be spelled out."""
    return tuple(_figures(text))


def _figures(text: str) -> Iterator[Figure]:
    for found in _FIGURE.finditer(text) if _SOME.search(text) else ():
        unit = _unit(found["unit"])
        lead = " ".join((found["lead"] or "").casefold().split())
        if unit is None:
            continue
        if found["join"] == "and" and lead != "between":
            yield from _two(found, unit, lead)
            continue
        low = _base(found["low"], _unit(found["own"]) or unit)
        high = _base(found["high"], unit) if found["high"] else low
        if re.fullmatch(_FROM, lead) or found["more"]:
            yield _figure(found, unit, low, None, lead)
        elif re.fullmatch(_UP_TO, lead) or found["less"]:
            yield _figure(found, unit, None, high, lead)
        else:
            yield _figure(found, unit, low, high, lead)


def _figure(
    found: re.Match[str], unit: Unit, low: Fraction | None, high: Fraction | None, lead: str, first: str = "low"
) -> Figure:
    start = found.start(first)
    return Figure(found.string[start : found.end()], unit, low, high, lead, start, found.end())


def _two(found: re.Match[str], unit: Unit, lead: str) -> Iterator[Figure]:
    """Two numbers joined by “and”, without “between”: the second, and the first where it has a unit of its own."""
    own = _unit(found["own"])
    if own is not None:
        value, start = _base(found["low"], own), found.start("low")
        yield Figure(found.string[start : found.end("own")], own, value, value, lead, start, found.end("own"))
    value = _base(found["high"], unit)
    yield _figure(found, unit, value, value, "and", "high")


def _unit(word: str | None) -> Unit | None:
    if word is None:
        return None
    return UNITS.get(word) or UNITS.get(_SPELLED.get(word) or _SPELLED.get(word.casefold(), ""))


def _base(number: str, unit: Unit) -> Fraction:
    return Quantity(_plain(number), unit).base


# ── Mixtures ────────────────────────────────────────────────────────────────────────────────────

_PARTS = re.compile(
    rf"\b(?P<one>{_NUMBER}) parts? (?:of )?(?:\w+,? ){{0,3}}?(?:with|to|and|,)? ?(?P<other>{_NUMBER}) parts?\b"
    rf"|\b(?P<some>{_NUMBER}) parts? in (?P<all>a hundred|a thousand|{_NUMBER})\b"
    rf"|(?<![\d+.])(?P<left>\d+) \+ (?P<right>\d+)(?![\d+.])"
    rf"|(?<![\d:.])1:(?P<whole>\d+)(?![\d:.])",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Mixture:
    """Parts as a sentence says them: how many parts of the diluent come to one of the concentrate."""

    text: str
    diluent: Fraction


@cache
def mixtures_in(text: str) -> tuple[Mixture, ...]:
    """All mixtures that a text names: “one part treatment with nine parts water”, “1 + 9”, and 1:10 for the same."""
    return tuple(_mixtures(text))


def _mixtures(text: str) -> Iterator[Mixture]:
    for found in _PARTS.finditer(text) if _SOME.search(text) else ():
        if found["whole"]:
            yield Mixture(found[0], Fraction(found["whole"]) - 1)
            continue
        one = _plain(found["one"] or found["left"] or found["some"])
        other = _plain(found["other"] or found["right"] or found["all"])
        if one:
            yield Mixture(found[0], other / one - (1 if found["some"] else 0))


def _plain(number: str) -> Fraction:
    word = {"a hundred": "100", "a thousand": "1000"}.get(number.casefold(), number.casefold())
    return Fraction(_WORDS[word]) if word in _WORDS else Fraction(word.replace(",", ""))
