"""Quantities with units, held exactly: what a number in the text means and how it is printed.

Factors are exact by definition: inch, pound and US gallon (NIST SP 811, appendix B) and standard gravity
9.80665 m/s². Values are `Fraction`, so nothing is lost by converting back and forth.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import total_ordering
from typing import Literal

NBSP = "\u00a0"
MINUS = "\u2212"
DAY = 86_400

System = Literal["metric", "us"]


class Dimension(StrEnum):
    """What kind of thing a unit measures; only like may be compared with like."""

    TIME = "time"
    TEMPERATURE = "temperature"
    PRESSURE = "pressure"
    VOLUME = "volume"
    LENGTH = "length"
    MASS = "mass"
    CONCENTRATION = "concentration"
    FRACTION = "percent"
    COUNT_PER_VOLUME = "count per volume"
    ILLUMINANCE = "illuminance"
    FLOW = "flow"
    COUNT = "count"


class DimensionError(ValueError):
    """Two quantities of different dimensions were compared or converted."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: value in the dimension's base unit = number × factor + offset.

    Base units: s, °C, kPa, mL, mm, g, ppm, %, CFU/mL, lux, L/min, one.
    """

    name: str
    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)

    @property
    def symbol(self) -> str:
        """The unit as it is printed after one: °C for C, fl oz for floz."""
        return SYMBOLS.get(self.name, self.name)

    def __str__(self) -> str:
        return self.name


_PSI_IN_KPA = Fraction("0.45359237") * Fraction("9.80665") / Fraction("0.0254") ** 2 / 1000
_GALLON_IN_ML = Fraction("3785.411784")

_TABLE: tuple[Unit, ...] = (
    Unit("s", Dimension.TIME, Fraction(1)),
    Unit("min", Dimension.TIME, Fraction(60)),
    Unit("h", Dimension.TIME, Fraction(3600)),
    Unit("day", Dimension.TIME, Fraction(DAY)),
    Unit("week", Dimension.TIME, Fraction(7 * DAY)),
    Unit("C", Dimension.TEMPERATURE, Fraction(1)),
    Unit("F", Dimension.TEMPERATURE, Fraction(5, 9), Fraction(-160, 9)),
    Unit("kPa", Dimension.PRESSURE, Fraction(1)),
    Unit("bar", Dimension.PRESSURE, Fraction(100)),
    Unit("mbar", Dimension.PRESSURE, Fraction(1, 10)),
    Unit("psi", Dimension.PRESSURE, _PSI_IN_KPA),
    Unit("mL", Dimension.VOLUME, Fraction(1)),
    Unit("L", Dimension.VOLUME, Fraction(1000)),
    Unit("floz", Dimension.VOLUME, _GALLON_IN_ML / 128),
    Unit("qt", Dimension.VOLUME, _GALLON_IN_ML / 4),
    Unit("gal", Dimension.VOLUME, _GALLON_IN_ML),
    Unit("mm", Dimension.LENGTH, Fraction(1)),
    Unit("cm", Dimension.LENGTH, Fraction(10)),
    Unit("m", Dimension.LENGTH, Fraction(1000)),
    Unit("in", Dimension.LENGTH, Fraction("25.4")),
    Unit("ft", Dimension.LENGTH, Fraction("304.8")),
    Unit("mg", Dimension.MASS, Fraction(1, 1000)),
    Unit("g", Dimension.MASS, Fraction(1)),
    Unit("kg", Dimension.MASS, Fraction(1000)),
    Unit("lb", Dimension.MASS, Fraction("453.59237")),
    Unit("ppm", Dimension.CONCENTRATION, Fraction(1)),
    Unit("mg/L", Dimension.CONCENTRATION, Fraction(1)),  # in water, to the accuracy of the trade
    Unit("%", Dimension.FRACTION, Fraction(1)),
    Unit("CFU/mL", Dimension.COUNT_PER_VOLUME, Fraction(1)),
    Unit("lux", Dimension.ILLUMINANCE, Fraction(1)),
    Unit("L/min", Dimension.FLOW, Fraction(1)),
    Unit("gal/min", Dimension.FLOW, _GALLON_IN_ML / 1000),
    Unit("", Dimension.COUNT, Fraction(1)),
)

UNITS: dict[str, Unit] = {entry.name: entry for entry in _TABLE if entry.name}
UNITS["days"] = UNITS["day"]
UNITS["weeks"] = UNITS["week"]
COUNT = _TABLE[-1]

SYMBOLS: dict[str, str] = {"C": "°C", "F": "°F", "floz": "fl" + NBSP + "oz"}

_US = frozenset({"F", "psi", "in", "ft", "floz", "qt", "gal", "lb", "gal/min"})
_COUNTERPART: dict[str, str] = {
    "C": "F",
    "kPa": "psi",
    "bar": "psi",
    "mbar": "psi",
    "mL": "floz",
    "L": "gal",
    "mm": "in",
    "cm": "in",
    "m": "ft",
    "kg": "lb",
    "L/min": "gal/min",
    "F": "C",
    "psi": "kPa",
    "floz": "mL",
    "qt": "L",
    "gal": "L",
    "in": "mm",
    "ft": "m",
    "lb": "kg",
    "gal/min": "L/min",
}
_WHOLE_WHEN_CONVERTED = frozenset({"C", "F", "kPa", "mm", "mL"})

_SLIPS: dict[str, str] = {
    "sec": "s",
    "secs": "s",
    "second": "s",
    "seconds": "s",
    "mins": "min",
    "minute": "min",
    "minutes": "min",
    "hr": "h",
    "hrs": "h",
    "hour": "h",
    "hours": "h",
    "d": "day",
    "wk": "week",
    "wks": "week",
    "°c": "C",
    "degc": "C",
    "celsius": "C",
    "centigrade": "C",
    "°f": "F",
    "degf": "F",
    "fahrenheit": "F",
    "ml": "mL",
    "cc": "mL",
    "milliliter": "mL",
    "milliliters": "mL",
    "millilitre": "mL",
    "millilitres": "mL",
    "l": "L",
    "liter": "L",
    "liters": "L",
    "litre": "L",
    "litres": "L",
    "oz": "floz",
    "ounce": "floz",
    "ounces": "floz",
    "quart": "qt",
    "quarts": "qt",
    "gallon": "gal",
    "gallons": "gal",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "inch": "in",
    "inches": "in",
    "foot": "ft",
    "feet": "ft",
    "psig": "psi",
    "psia": "psi",
    "barg": "bar",
    "kpa": "kPa",
    "hpa": "mbar",
    "gram": "g",
    "grams": "g",
    "kilogram": "kg",
    "kilograms": "kg",
    "pound": "lb",
    "pounds": "lb",
    "lbs": "lb",
    "percent": "%",
    "pct": "%",
    "cfu": "CFU/mL",
    "cfu/ml": "CFU/mL",
    "lx": "lux",
    "lpm": "L/min",
    "l/min": "L/min",
    "gpm": "gal/min",
    "mg/l": "mg/L",
}

_DECIMAL = re.compile(r"-?[0-9]+(\.[0-9]+)?")


def unit(word: str) -> Unit | None:
    """Return the unit written as `word` (case counts), or None when there is no such unit."""
    return UNITS.get(word)


def alike(word: str) -> list[str]:
    """Return units the writer of `word` may have meant, likeliest first; at most three."""
    slip = _SLIPS.get(word.lower())
    found = [slip] if slip else []
    found += [name for name in UNITS if name.lower() == word.lower()]
    # One letter is too little to guess from by likeness, and no unit is long.
    if 1 < len(word) <= 20:
        found += difflib.get_close_matches(word, UNITS, n=3, cutoff=0.6)
    canonical = [UNITS[name].name for name in found]
    return list(dict.fromkeys(canonical))[:3]


@total_ordering
@dataclass(frozen=True, slots=True, eq=False)
class Quantity:
    """A number with its unit as written. Equal when it means the same: 60 s equals 1 min."""

    value: Fraction
    unit: Unit
    base: Fraction = field(init=False, repr=False)
    """The value in the base unit of the dimension; asked for often, and so worked out once."""

    def __post_init__(self) -> None:
        scaled = self.value * self.unit.factor
        object.__setattr__(self, "base", scaled + self.unit.offset if self.unit.offset else scaled)

    @property
    def dimension(self) -> Dimension:
        return self.unit.dimension

    def to(self, target: Unit | str) -> Quantity:
        """Return the same quantity in another unit; raise DimensionError when the units are not alike."""
        wanted = UNITS[target] if isinstance(target, str) else target
        self._same_dimension(wanted)
        return Quantity((self.base - wanted.offset) / wanted.factor, wanted)

    def ticks(self) -> int:
        """Return a time as whole seconds; raise ValueError when it is no time or not whole."""
        if self.dimension is not Dimension.TIME:
            raise DimensionError(f"{self} is not a time")
        if self.base.denominator != 1:
            raise ValueError(f"{self} is not a whole number of seconds")
        return self.base.numerator

    def show(self, system: System | None = None) -> str:
        """Print with a no-break space and the proper symbol, in the units of `system` (as written if None).

        A quantity already in a unit of the system is printed as written. A converted one is rounded to what
        a reader can use: whole °C, °F, kPa, mm and mL; psi to one decimal; others whole from 100, else to
        one decimal.
        """
        other = self._counterpart()
        if system is None or other is None or (self.unit.name in _US) == (system == "us"):
            return _with_unit(_number(self.value, 4), self.value, self.unit)
        return other._show_rounded()

    def show_both(self) -> str:
        """Print as written with the other system's reading after it: 270 °F (132 °C)."""
        other = self._counterpart()
        return f"{self}{NBSP}({other._show_rounded()})" if other else str(self)

    def __str__(self) -> str:
        return self.show()

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Quantity):
            return NotImplemented
        return self.dimension is other.dimension and self.base == other.base

    def __hash__(self) -> int:
        return hash((self.dimension, self.base))

    def __lt__(self, other: Quantity) -> bool:
        self._same_dimension(other.unit)
        return self.base < other.base

    def _same_dimension(self, other: Unit) -> None:
        if self.dimension is not other.dimension:
            raise DimensionError(f"{self.dimension} ({self.unit}) and {other.dimension} ({other}) cannot be compared")

    def _counterpart(self) -> Quantity | None:
        name = _COUNTERPART.get(self.unit.name)
        return self.to(UNITS[name]) if name else None

    def _show_rounded(self) -> str:
        if self.unit.name == "psi":
            return _with_unit(_fixed(self.value, 1), self.value, self.unit)
        whole = self.unit.name in _WHOLE_WHEN_CONVERTED or abs(self.value) >= 100
        return _with_unit(_number(self.value, 0 if whole else 1), self.value, self.unit)


def quantity(number: str | int | Fraction, word: str) -> Quantity:
    """Build a quantity from a plain decimal and a unit as written; "" counts things.

    Raise ValueError when the number is no plain decimal or the unit does not exist (ask `unit` first).
    """
    found = COUNT if word == "" else UNITS.get(word)
    if found is None:
        raise ValueError(f"no unit is written {word!r}")
    # Fraction itself would take "1e999999999" and never come back.
    if isinstance(number, str) and not _DECIMAL.fullmatch(number):
        raise ValueError(f"{number!r} is not a plain decimal number")
    return Quantity(Fraction(number), found)


def seconds(ticks: int) -> Quantity:
    """Return whole seconds as a time quantity in seconds."""
    return Quantity(Fraction(ticks), UNITS["s"])


def show_duration(ticks: int) -> str:
    """Print whole seconds as people say them: "45 s", "1 h 30 min", "36 h", "2 days". Spaces do not break."""
    if ticks < 0:
        return MINUS + show_duration(-ticks)
    days, rest = divmod(ticks, DAY)
    # Up to two days people count on in hours; whole days are days.
    if rest and ticks < 2 * DAY:
        days, rest = 0, ticks
    parts = [
        (days, "day" if days == 1 else "days"),
        (rest // 3600, "h"),
        (rest % 3600 // 60, "min"),
        (rest % 60, "s"),
    ]
    return NBSP.join(f"{_grouped(count)}{NBSP}{word}" for count, word in parts if count) or f"0{NBSP}s"


def show_number(value: Fraction, decimals: int = 4) -> str:
    """Print a number rounded half up to at most `decimals` places; thousands are parted with commas."""
    return _number(value, decimals)


def _with_unit(number: str, value: Fraction, printed: Unit) -> str:
    symbol = printed.symbol
    if printed.name in ("day", "week") and value != 1:
        symbol += "s"
    return f"{number}{NBSP}{symbol}" if symbol else number


def _number(value: Fraction, decimals: int) -> str:
    text = _fixed(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _fixed(value: Fraction, decimals: int) -> str:
    scale = 10**decimals
    # Half up by whole numbers: binary floats would print 0.1 + 0.2 wrongly and round 2.5 to 2.
    scaled = (abs(value) * scale * 2 + 1) // 2
    whole, part = divmod(scaled, scale)
    sign = MINUS if value < 0 and scaled else ""
    return sign + _grouped(whole) + (f".{part:0{decimals}d}" if decimals else "")


def _grouped(number: int) -> str:
    return f"{number:,}"
