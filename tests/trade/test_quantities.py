"""Quantities mean what is written, convert exactly, and print as the trade prints them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.quantities import (
    UNITS,
    Dimension,
    DimensionError,
    alike,
    quantity,
    seconds,
    show_duration,
    unit,
)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(250, 121.11), (270, 132.22), (273, 133.89), (275, 135.00)])
def test_fahrenheit_of_sterilizer_panels_in_celsius(fahrenheit: int, celsius: float) -> None:
    assert float(quantity(fahrenheit, "F").to("C").value) == pytest.approx(celsius, abs=0.01)


def test_132_celsius_is_exactly_269_6_fahrenheit() -> None:
    assert quantity(132, "C").to("F").value == Fraction("269.6")


@given(
    st.sampled_from(sorted(UNITS)),
    st.sampled_from(sorted(UNITS)),
    st.fractions(min_value=-1000, max_value=1000, max_denominator=1000),
)
@settings(deadline=None, max_examples=100)
def test_converting_there_and_back_loses_nothing(first: str, second: str, number: Fraction) -> None:
    start = quantity(number, first)
    if UNITS[first].dimension is UNITS[second].dimension:
        assert start.to(second).to(first).value == number
    else:
        with pytest.raises(DimensionError):
            start.to(second)


def test_sixty_seconds_equal_one_minute() -> None:
    assert quantity(60, "s") == quantity(1, "min")
    assert hash(quantity(60, "s")) == hash(quantity(1, "min"))


def test_90_minutes_are_longer_than_one_hour() -> None:
    assert quantity(90, "min") > quantity(1, "h")
    assert quantity("0.5", "h") <= quantity(30, "min")


def test_a_time_is_never_compared_with_a_temperature() -> None:
    with pytest.raises(DimensionError):
        _ = quantity(4, "min") < quantity(132, "C")
    assert quantity(4, "min") != quantity(4, "C")


def test_ticks_are_whole_seconds() -> None:
    assert quantity("3.5", "min").ticks() == 210
    assert quantity(28, "days").ticks() == 28 * 86_400
    assert seconds(210) == quantity("3.5", "min")


@pytest.mark.parametrize(("number", "word"), [("0.25", "s"), ("1", "C")])
def test_what_is_no_whole_number_of_seconds_has_no_ticks(number: str, word: str) -> None:
    with pytest.raises(ValueError):
        quantity(number, word).ticks()


@pytest.mark.parametrize("number", ["1e9", "1/3", "", "٣", "1.", "nan", " 1"])
def test_only_plain_decimals_are_numbers(number: str) -> None:
    with pytest.raises(ValueError):
        quantity(number, "min")


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("minutes", "min"),
        ("hr", "h"),
        ("hours", "h"),
        ("secs", "s"),
        ("°C", "C"),
        ("c", "C"),
        ("ml", "mL"),
        ("KPA", "kPa"),
        ("Kpa", "kPa"),
        ("dayss", "day"),
        ("cfu/ml", "CFU/mL"),
    ],
)
def test_a_slip_in_a_unit_finds_the_unit_meant(slip: str, meant: str) -> None:
    assert unit(slip) is None
    assert alike(slip)[0] == meant


def test_a_word_like_no_unit_finds_nothing() -> None:
    assert alike("xyzzy") == []


def test_every_slip_leads_to_a_unit() -> None:
    from sopc.trade import quantities

    assert set(quantities._SLIPS.values()) <= set(UNITS)
    assert not set(quantities._SLIPS) & set(UNITS)


@pytest.mark.parametrize(
    ("number", "word", "metric", "us"),
    [
        ("4", "min", "4 min", "4 min"),
        ("132", "C", "132 °C", "270 °F"),
        ("270", "F", "132 °C", "270 °F"),
        ("500", "CFU/mL", "500 CFU/mL", "500 CFU/mL"),
        ("5250", "ppm", "5,250 ppm", "5,250 ppm"),
        ("185.5", "kPa", "185.5 kPa", "26.9 psi"),
        ("15", "psi", "103 kPa", "15 psi"),
        ("2200", "m", "2,200 m", "7,218 ft"),
        ("2.5", "cm", "2.5 cm", "1 in"),
        ("28", "day", "28 days", "28 days"),
        ("1", "day", "1 day", "1 day"),
        ("5.25", "%", "5.25 %", "5.25 %"),
        ("1", "L", "1 L", "0.3 gal"),
    ],
)
def test_a_quantity_prints_in_the_reader_s_system(number: str, word: str, metric: str, us: str) -> None:
    value = quantity(number, word)
    assert (plain(value.show("metric")), plain(value.show("us"))) == (metric, us)


def test_both_readings_of_a_temperature() -> None:
    assert plain(quantity(270, "F").show_both()) == "270 °F (132 °C)"
    assert plain(quantity(132, "C").show_both()) == "132 °C (270 °F)"
    assert plain(quantity(4, "min").show_both()) == "4 min"


def test_a_quantity_never_breaks_across_lines() -> None:
    assert " " not in quantity(132, "C").show_both()
    assert " " not in show_duration(5430)


@pytest.mark.parametrize(
    ("ticks", "said"),
    [
        (0, "0 s"),
        (45, "45 s"),
        (90, "1 min 30 s"),
        (5400, "1 h 30 min"),
        (86_400, "1 day"),
        (129_600, "36 h"),
        (172_800, "2 days"),
        (176_400, "2 days 1 h"),
        (-60, "−1 min"),
    ],
)
def test_a_duration_as_people_say_it(ticks: int, said: str) -> None:
    assert plain(show_duration(ticks)) == said


def test_counting_has_no_unit() -> None:
    assert str(quantity(3, "")) == "3"
    assert quantity(3, "").dimension is Dimension.COUNT
