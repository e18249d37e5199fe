"""What to measure out for a container of working solution."""

from __future__ import annotations

from fractions import Fraction

import pytest

from sopc.trade.dilution import Mixture, diluent_for, filling, one_in, ppm


def test_a_litre_of_one_part_to_nine_is_100_and_900_millilitres() -> None:
    assert filling(Fraction(1), Fraction(9), Fraction(1000)) == Mixture(Fraction(100), Fraction(900))


def test_a_litre_of_one_in_a_hundred_is_10_and_990_millilitres() -> None:
    mixture = filling(*one_in(100), Fraction(1000))
    assert (mixture.concentrate, mixture.diluent, mixture.total) == (10, 990, 1000)


def test_the_parts_of_water_for_a_wanted_strength_give_that_strength() -> None:
    water = diluent_for(Fraction("5.25"), Fraction(1000))
    assert water == Fraction("51.5")
    assert ppm(Fraction("5.25"), Fraction(1), water) == 1000


def test_a_weak_stock_cannot_be_diluted_to_something_stronger() -> None:
    with pytest.raises(ValueError):
        diluent_for(Fraction("0.05"), Fraction(1000))


@pytest.mark.parametrize(("concentrate", "diluent"), [(0, 0), (-1, 9), (1, -9)])
def test_parts_that_are_none_cannot_be_mixed(concentrate: int, diluent: int) -> None:
    with pytest.raises(ValueError):
        filling(Fraction(concentrate), Fraction(diluent), Fraction(1000))
