"""Held hot enough for long enough: how a printed row is met, and what lies between two rows."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.minimums import Row, Standing, judge, judge_amount, keeps_under, reaches, same_figure
from sopc.trade.quantities import Quantity, quantity


def degrees(text: str) -> Quantity:
    number, unit = text.split()
    return quantity(number, unit)


def rows(*pairs: tuple[str, int]) -> list[Row]:
    return [Row(f"row {place}", degrees(text), Fraction(minutes * 60)) for place, (text, minutes) in enumerate(pairs)]


GRAVITY = rows(("121 C", 30), ("132 C", 15), ("135 C", 10))


def standing(text: str, minutes: float, table: list[Row] = GRAVITY) -> Standing:
    return judge(degrees(text), Fraction(minutes) * 60, table).standing


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("270 F", "132 C"), ("250 F", "121 C"), ("121.1 C", "250 F"), ("273 F", "134 C"), ("275 F", "135 C"),
        ("132.2 C", "132 C"), ("375 F", "190 C"), ("320 F", "160 C"),
    ],
)  # fmt: skip
def test_one_row_of_a_table_in_both_scales_is_one_figure(one: str, other: str) -> None:
    assert same_figure(degrees(one), degrees(other))
    assert same_figure(degrees(other), degrees(one))


@pytest.mark.parametrize(("one", "other"), [("270 F", "134 C"), ("131 C", "132 C"), ("250 F", "120 C")])
def test_other_rows_are_other_figures(one: str, other: str) -> None:
    assert not same_figure(degrees(one), degrees(other))


@pytest.mark.parametrize(
    ("stated", "wanted", "there"),
    [
        ("273 F", "134 C", True),  # 133.9 °C, printed as 134
        ("121 C", "250 F", True),
        ("269.6 F", "132 C", True),  # the exact conversion
        ("269 F", "132 C", False),
        ("131.6 C", "132 C", False),  # rounds to it, and is cooler
        ("132 C", "132 C", True),
    ],
)
def test_a_temperature_reaches_a_row_as_it_is_printed(stated: str, wanted: str, there: bool) -> None:
    assert reaches(degrees(stated), degrees(wanted)) is there


def test_an_upper_end_is_read_as_it_is_printed_too() -> None:
    assert keeps_under(degrees("100 F"), degrees("38 C"))
    assert keeps_under(degrees("38 C"), degrees("100 F"))
    assert not keeps_under(degrees("101 F"), degrees("38 C"))


@pytest.mark.parametrize(
    ("text", "minutes", "expected"),
    [
        ("132 C", 15, Standing.ENOUGH),
        ("132 C", 14, Standing.SHORT),
        ("270 F", 14, Standing.SHORT),
        ("121.1 C", 29, Standing.SHORT),
        ("126 C", 30, Standing.ENOUGH),
        ("126 C", 20, Standing.UNSHOWN),
        ("126 C", 14, Standing.SHORT),
        ("138 C", 10, Standing.ENOUGH),
        ("138 C", 9, Standing.UNSHOWN),
        ("115 C", 60, Standing.UNCOVERED),
        ("115 C", 20, Standing.SHORT),
    ],
)
def test_a_time_is_held_against_the_nearest_rows(text: str, minutes: int, expected: Standing) -> None:
    assert standing(text, minutes) is expected


def test_where_sources_differ_between_them_is_contested() -> None:
    table = rows(("150 C", 150), ("150 C", 180))
    assert [standing("302 F", minutes, table) for minutes in (140, 150, 180)] == [
        Standing.SHORT,
        Standing.CONTESTED,
        Standing.ENOUGH,
    ]


def test_no_row_at_all_is_not_zero() -> None:
    assert standing("132 C", 1000, []) is Standing.UNCOVERED


@settings(max_examples=200, deadline=None)
@given(
    st.integers(1100, 1400),
    st.integers(0, 2400),
    st.dictionaries(st.integers(115, 138), st.integers(1, 40), min_size=1, max_size=5),
)
def test_more_time_or_more_heat_never_stands_worse_in_a_table_that_falls(
    tenths: int, seconds: int, table: dict[int, int]
) -> None:
    falling: list[Row] = []
    least = 41
    for celsius in sorted(table):
        least = min(least, table[celsius])
        falling.append(Row(str(celsius), quantity(str(celsius), "C"), Fraction(least * 60)))
    order = [Standing.SHORT, Standing.UNCOVERED, Standing.UNSHOWN, Standing.CONTESTED, Standing.ENOUGH]
    here = quantity(Fraction(tenths, 10), "C")
    now = order.index(judge(here, Fraction(seconds), falling).standing)
    assert order.index(judge(here, Fraction(seconds + 60), falling).standing) >= now
    # By independent reckoning: enough exactly when some row at or below the temperature is kept.
    kept = any(int(row.name) * 10 <= tenths and seconds >= row.seconds for row in falling)
    assert (order[now] is Standing.ENOUGH) == kept


def test_a_number_of_its_own_is_held_against_others() -> None:
    wanted = [("plain", Fraction(600)), ("strict", Fraction(3000))]
    found = [judge_amount(Fraction(amount), wanted) for amount in (599, 600, 3000)]
    assert found == [Standing.SHORT, Standing.CONTESTED, Standing.ENOUGH]
    assert judge_amount(Fraction(1), []) is Standing.UNCOVERED
