"""Ranges of numbers as people write them (“under 10 mL”, “10 mL or more”), and what a list of them leaves out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from sopc.trade.quantities import UNITS, Dimension, Quantity, show_number

_NUMBER = r"(-?[0-9]+(?:\.[0-9]+)?)\s*([a-z%°][a-z%/°]*)?"
_LESS = "under|below|(?:less|fewer|smaller|shorter|cooler|lower|lighter) than"
_MORE = "over|above|beyond|(?:more|larger|longer|hotter|higher|heavier|greater) than"
_UP_TO = "at most|up to|(?:no|not) (?:more|larger|longer|hotter|higher|greater) than"
_FROM = "at least|(?:no|not) (?:less|fewer|smaller|shorter|cooler|lower) than"
_FORMS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(rf"(?:{_LESS}) {_NUMBER}"), "below"),
    (re.compile(rf"(?:{_MORE}) {_NUMBER}"), "above"),
    (re.compile(rf"(?:{_UP_TO}) {_NUMBER}"), "to"),
    (re.compile(rf"{_NUMBER} (?:or|and) (?:less|fewer|under|below|smaller|shorter|cooler|lower)"), "to"),
    (re.compile(rf"(?:{_FROM}) {_NUMBER}"), "from"),
    (re.compile(rf"{_NUMBER} (?:or|and) (?:more|over|above|larger|longer|hotter|higher|greater)"), "from"),
    (re.compile(rf"from {_NUMBER} (?:on|up|upwards)"), "from"),
    (re.compile(rf"(?:exactly )?{_NUMBER}"), "is"),
)
_BETWEEN = re.compile(rf"(?:from |between )?{_NUMBER} (?:to|and|up to) {_NUMBER}")
_UNITS = {name.casefold(): found for name, found in UNITS.items()} | {
    "°c": UNITS["C"],
    "°f": UNITS["F"],
    "minutes": UNITS["min"],
    "minute": UNITS["min"],
    "seconds": UNITS["s"],
    "hours": UNITS["h"],
    "hour": UNITS["h"],
    "days": UNITS["day"],
    "weeks": UNITS["week"],
}


@dataclass(frozen=True, slots=True)
class Range:
    """From `low` to `high` in the base unit of the dimension (None: no end), each included or not.

    `dimension` is None for numbers without a unit, which count things. `unit` is as written, "" for counts.
    """

    dimension: Dimension | None
    low: Fraction | None
    low_in: bool
    high: Fraction | None
    high_in: bool
    unit: str

    def holds(self, value: Fraction) -> bool:
        """Whether a number, in the base unit, is in it."""
        over = self.low is None or value > self.low or (self.low_in and value == self.low)
        return over and (self.high is None or value < self.high or (self.high_in and value == self.high))


def range_of(text: str) -> Range | None:
    """Read a range from words in lower case, which must say nothing else; None when it is none."""
    both = re.split(r",? (?:and|but) (?=[a-z])", text)
    if len(both) == 2:
        one, other = map(range_of, both)
        return _meeting(one, other) if one is not None and other is not None else None
    between = _BETWEEN.fullmatch(text)
    if between is not None:
        return _between(*between.groups())
    for form, sense in _FORMS:
        found = form.fullmatch(text)
        if found is not None:
            return _of(sense, *found.groups())
    return None


def _between(low: str, low_unit: str | None, high: str, high_unit: str | None) -> Range | None:
    one, other = _of("from", low, low_unit or high_unit), _of("to", high, high_unit or low_unit)
    return _meeting(one, other) if one is not None and other is not None else None


def _of(sense: str, number: str, written: str | None) -> Range | None:
    unit = _UNITS.get(written) if written else None
    if written and unit is None:
        return None
    value = Quantity(Fraction(number), unit).base if unit is not None else Fraction(number)
    dimension, name = (unit.dimension, unit.name) if unit is not None else (None, "")
    low = value if sense in ("above", "from", "is") else None
    high = value if sense in ("below", "to", "is") else None
    return Range(dimension, low, sense in ("from", "is"), high, sense in ("to", "is"), name)


def _meeting(one: Range, other: Range) -> Range | None:
    """What is in both, where one has only a lower end and the other only an upper one."""
    lower, upper = (one, other) if one.low is not None else (other, one)
    if one.dimension is not other.dimension or lower.high is not None or upper.low is not None:
        return None
    return Range(one.dimension, lower.low, lower.low_in, upper.high, upper.high_in, lower.unit)


def gap(ranges: Sequence[Range]) -> str:
    """The first numbers that no range is for, in words; empty when every number has one.

    Nothing lies below zero, but temperatures do.
    """
    ends = {end for each in ranges for end in (each.low, each.high) if end is not None}
    warmth = ranges[0].dimension is Dimension.TEMPERATURE
    borders = sorted(ends if warmth else {end for end in ends if end > 0} | {Fraction(0)})
    # Each end by itself, and the open stretch before and behind it, in which all numbers fare alike.
    cells: list[_Cell] = [(None, borders[0])] if warmth else []
    for place, border in enumerate(borders):
        cells += [(border, border), (border, borders[place + 1] if place + 1 < len(borders) else None)]
    free = [not any(each.holds(_inside(cell)) for each in ranges) for cell in cells]
    if True not in free:
        return ""
    first = free.index(True)
    last = first + [*free[first:], False].index(False) - 1
    return _named(cells[first], cells[last], warmth, ranges[0].unit)


_Cell = tuple[Fraction | None, Fraction | None]


def _inside(cell: _Cell) -> Fraction:
    low, high = cell
    if low is None or high is None:
        return (high or Fraction(0)) - 1 if low is None else low + 1
    return (low + high) / 2


def _named(first: _Cell, last: _Cell, warmth: bool, unit: str) -> str:
    """What lies from one cell to another, in words. A cell of one number is that border itself."""
    (low, edge), (other, high) = first, last
    if first == last and low is not None and low == edge:
        return f"exactly {_shown(low, unit)}"
    said = []
    if low is not None and (low or edge != low or warmth):
        said.append(f"{'at least' if edge == low else 'more than'} {_shown(low, unit)}")
    if high is not None:
        said.append(f"{'at most' if other == high else 'less than'} {_shown(high, unit)}")
    return " and ".join(said) or (f"at least {_shown(low, unit)}" if low is not None else "any temperature")


def gap_of_counts(ranges: Sequence[Range]) -> str:
    """The first whole number, from one, that no range is for; empty when every one has its range."""
    ends = [end for each in ranges for end in (each.low, each.high) if end is not None]
    last = max((int(end) for end in ends), default=0) + 2
    for number in range(1, last + 1):
        if not any(each.holds(Fraction(number)) for each in ranges):
            return f"{number} or more" if number > max(ends, default=Fraction(0)) else str(number)
    return ""


def _shown(base: Fraction, unit: str) -> str:
    known = UNITS[unit]
    number = (base - known.offset) / known.factor
    return f"{show_number(number)} {known.symbol}"
