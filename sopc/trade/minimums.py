"""Held hot enough for long enough? One exposure against the rows of published tables.

Tables print whole degrees: 270 °F and 132 °C are one row, though they are 0.2 °C apart; 375 °F and 190 °C another,
0.56 °C apart. So a temperature is that of a row when they lie closer than tables round; and it reaches a row when, in
its own unit, it is not below the row's figure as printed there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from sopc.trade.quantities import Quantity

ROUNDED_IN_TABLES = Fraction(6, 10)
"""°C between the two scales of one row, at the most."""


class Standing(StrEnum):
    """How a time held stands to what is published."""

    ENOUGH = "enough"  # all that is published for this temperature is kept
    CONTESTED = "contested"  # some of what is published for this temperature is kept, some is not
    SHORT = "short"  # nothing published is kept, whichever table is asked
    UNSHOWN = "unshown"  # between two rows: less than the cooler, not less than the hotter one asks
    UNCOVERED = "uncovered"  # no row at this temperature or below it


@dataclass(frozen=True, slots=True)
class Row:
    """So many seconds at that temperature; `name` is whose row it is."""

    name: str
    temperature: Quantity
    seconds: Fraction


@dataclass(frozen=True, slots=True)
class Judgement:
    """How it stands, against which rows: those that decide, and those kept among them."""

    standing: Standing
    rows: tuple[Row, ...]
    kept: tuple[Row, ...]


def rounded(value: Fraction) -> int:
    """The whole number nearest to `value`, halves upwards."""
    return (value + Fraction(1, 2)).__floor__()


def same_figure(one: Quantity, other: Quantity) -> bool:
    """Whether two temperatures are one figure in print."""
    return abs(one.base - other.base) <= ROUNDED_IN_TABLES


def reaches(stated: Quantity, wanted: Quantity) -> bool:
    """Whether a quantity is not below another, which may stand in a rounder unit: 270 °F reaches 132 °C."""
    there = wanted.to(stated.unit).value
    return stated.value >= min(there, Fraction(rounded(there)))


def keeps_under(stated: Quantity, wanted: Quantity) -> bool:
    """Whether a quantity is not above another, which may stand in a rounder unit: 100 °F keeps under 38 °C."""
    there = wanted.to(stated.unit).value
    return stated.value <= max(there, Fraction(rounded(there)))


def judge(temperature: Quantity, seconds: Fraction, rows: Sequence[Row]) -> Judgement:
    """Hold one exposure against rows of one process and one kind of load.

    Hotter asks for less time. So what the nearest row at or below the temperature asks is enough; what falls short of
    the nearest hotter row is short for sure; between the two nothing is published.
    """
    cooler = _nearest([row for row in rows if reaches(temperature, row.temperature)], hottest=True)
    hotter = _nearest([row for row in rows if not reaches(temperature, row.temperature)], hottest=False)
    beaten = bool(hotter) and all(seconds < row.seconds for row in hotter)
    if not cooler:
        return Judgement(Standing.SHORT if beaten else Standing.UNCOVERED, hotter, ())
    kept = tuple(row for row in cooler if seconds >= row.seconds)
    if len(kept) == len(cooler):
        return Judgement(Standing.ENOUGH, cooler, kept)
    if kept:
        return Judgement(Standing.CONTESTED, cooler, kept)
    if any(same_figure(temperature, row.temperature) for row in cooler):
        return Judgement(Standing.SHORT, cooler, ())
    return Judgement(Standing.SHORT, hotter, ()) if beaten else Judgement(Standing.UNSHOWN, cooler, ())


def judge_amount(amount: Fraction, wanted: Sequence[tuple[str, Fraction]]) -> Standing:
    """Hold a number of its own, such as an A0, against published ones by the names of their rows."""
    if not wanted:
        return Standing.UNCOVERED
    kept = [name for name, least in wanted if amount >= least]
    if len(kept) == len(wanted):
        return Standing.ENOUGH
    return Standing.CONTESTED if kept else Standing.SHORT


def _nearest(rows: Sequence[Row], hottest: bool) -> tuple[Row, ...]:
    if not rows:
        return ()
    edge = (max if hottest else min)(rows, key=lambda row: row.temperature.base).temperature
    return tuple(row for row in rows if same_figure(row.temperature, edge))
