"""Diluting a concentrate: parts into millilitres, and how strong the result is.

"1:10" means one part in ten parts in all, 1 part concentrate + 9 parts water (so does WHO 2014, annex G: 1:100 is
1 + 99). One part + ten parts is eleven in all, and 9 % weaker; so everything here takes the parts spelt out.
Exact fractions throughout.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sopc.trade.quantities import NBSP, Dimension, DimensionError, Quantity, show_number

PPM_IN_PERCENT = 10_000
"""Guidelines read percent hypochlorite as percent available chlorine, and 1 % as 10,000 ppm."""
CHLORINE_IN_HYPOCHLORITE = Fraction("70.906") / Fraction("74.442")
"""Available chlorine by mass in sodium hypochlorite, strictly: Cl2 over NaOCl in g/mol."""
AGREES_WITHIN = Fraction(5, 100)
"""Of a strength: measuring by hand, and whether hypochlorite is read as available chlorine, make up to that much."""


@dataclass(frozen=True, slots=True)
class Mixture:
    """What to measure out, in millilitres."""

    concentrate: Fraction
    diluent: Fraction

    @property
    def total(self) -> Fraction:
        return self.concentrate + self.diluent

    def __str__(self) -> str:
        return f"{_as_measured(self.concentrate)} + {_as_measured(self.diluent)}{NBSP}mL"


def one_in(total: Fraction | int) -> tuple[Fraction, Fraction]:
    """Return the parts that "1:total" stands for: 1 part concentrate and total - 1 parts diluent."""
    if total < 1:
        raise ValueError(f"one part cannot be more than the whole of {total}")
    return Fraction(1), Fraction(total) - 1


def filling(concentrate_parts: Fraction, diluent_parts: Fraction, container: Fraction) -> Mixture:
    """Return what fills a container of `container` millilitres at the given parts."""
    share = _share(concentrate_parts, diluent_parts)
    return Mixture(container * share, container * (1 - share))


def show_measured(millilitres: Fraction) -> str:
    """Write an amount in mL as it can be measured."""
    return f"{_as_measured(millilitres)}{NBSP}mL"


def percent(stock: Fraction, concentrate_parts: Fraction, diluent_parts: Fraction) -> Fraction:
    """Return the strength in percent of a stock of `stock` percent, diluted."""
    return stock * _share(concentrate_parts, diluent_parts)


def ppm(stock: Fraction, concentrate_parts: Fraction, diluent_parts: Fraction) -> Fraction:
    """Return the strength in parts per million of a stock of `stock` percent, diluted."""
    return percent(stock, concentrate_parts, diluent_parts) * PPM_IN_PERCENT


def as_ppm(strength: Quantity) -> Fraction:
    """Return a strength in parts per million; DimensionError when it is neither percent nor ppm."""
    if strength.dimension is Dimension.FRACTION:
        return strength.base * PPM_IN_PERCENT
    if strength.dimension is Dimension.CONCENTRATION:
        return strength.base
    raise DimensionError(f"{strength} is no strength")


def diluted(stock: Quantity, concentrate_parts: Fraction, diluent_parts: Fraction) -> Fraction:
    """Return the strength in ppm of a stock of any strength, diluted."""
    return as_ppm(stock) * _share(concentrate_parts, diluent_parts)


def agree(stated: Fraction, right: Fraction) -> bool:
    """Whether a stated strength is the right one, within what measuring by hand allows."""
    return abs(stated - right) <= right * AGREES_WITHIN


def diluent_for(stock: Fraction, wanted: Fraction) -> Fraction:
    """Return the parts of diluent to one part of a `stock` percent concentrate that give `wanted` ppm.

    Raise ValueError when the stock is weaker than that, or nothing is wanted.
    """
    strength = stock * PPM_IN_PERCENT
    if not 0 < wanted <= strength:
        raise ValueError(f"{float(stock):g} % cannot be diluted to {float(wanted):g} ppm")
    return strength / wanted - 1


def _share(concentrate_parts: Fraction, diluent_parts: Fraction) -> Fraction:
    if concentrate_parts < 0 or diluent_parts < 0 or concentrate_parts + diluent_parts == 0:
        raise ValueError(f"nothing can be mixed {concentrate_parts} to {diluent_parts}")
    return Fraction(concentrate_parts) / Fraction(concentrate_parts + diluent_parts)


def _as_measured(millilitres: Fraction) -> str:
    """As fine as a measuring cup or a syringe shows: whole mL from 20, tenths below."""
    return show_number(millilitres, 0 if millilitres >= 20 else 1)
