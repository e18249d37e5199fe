"""Figures and mixtures read out of sentences, as people in offices write them (invented sentences)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sopc.trade.figures import figures_in, mixtures_in


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Keep wet for two minutes", [("s", 120, 120)]),
        ("Run each line for 20 to 30 seconds", [("s", 20, 30)]),
        ("Rub for at least 20 seconds", [("s", 20, None)]),
        ("Never longer than 15 minutes", [("s", None, 900)]),
        ("20 minutes at most", [("s", None, 1200)]),
        ("Between 60 and 100 °C?", [("C", 60, 100)]),
        ("4 minutes or more, 121 C", [("s", 240, None), ("C", 121, 121)]),
        ("Twenty-five minutes", []),  # a number that is not known is not read as another
        ("At most 500 CFU/mL", [("CFU/mL", None, 500)]),
        ("5,250 ppm", [("ppm", 5250, 5250)]),
        ("1.5 h", [("s", 5400, 5400)]),
        ("Water and 3 drops", []),
        ("SOP-24 in the red binder", []),
        ("30 mL and 90 mL", [("mL", 30, 30), ("mL", 90, 90)]),  # two numbers joined without “between” are two
    ],
)
def test_a_number_with_its_unit_is_read_with_its_bounds(text: str, expected: list[tuple[str, int, int]]) -> None:
    found = [(each.least, each.most) for each in figures_in(text)]
    assert found == [(least, most) for _, least, most in expected]


@pytest.mark.parametrize(
    ("text", "diluent"),
    [
        ("Mix one part treatment with nine parts water", [9]),
        ("1 part bleach, 99 parts water", [99]),
        ("Label: name, 1 + 9, time", [9]),
        ("Pour 1:10 bleach over it", [9]),  # one in ten parts in all
        ("Two parts in a hundred", [49]),
        ("Open 08:00 to 17:10", []),
        ("A part of the tray", []),
    ],
)
def test_parts_are_read_as_parts_of_diluent_to_one(text: str, diluent: list[int]) -> None:
    assert [each.diluent for each in mixtures_in(text)] == [Fraction(each) for each in diluent]


@given(st.integers(1, 5000), st.sampled_from([("min", 60), ("s", 1), ("h", 3600), ("hours", 3600)]))
def test_any_whole_time_is_read_back(number: int, unit: tuple[str, int]) -> None:
    (figure,) = figures_in(f"Leave it for {number} {unit[0]}")
    assert (figure.least, figure.most, figure.lead) == (number * unit[1], number * unit[1], "for")


@given(st.text(max_size=60))
def test_no_text_is_too_strange_to_be_read(text: str) -> None:
    for figure in figures_in(text):
        assert text[figure.start : figure.end] == figure.text
    mixtures_in(text)
