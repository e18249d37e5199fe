"""Pressure that fits the steam, and limits of logs that catch what they are there to catch."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws.iapws97 import _PSat_T

from sopc.checks.figures import numbers
from sopc.checks.figures.minimums import enough_exposure
from sopc.checks.figures.physics import true_pressure
from sopc.findings import Finding
from tests.checks.small_offices import TODAY, codes, office

TRADE = """
office "Example" { open mon to fri 08:00 to 17:00  altitude METRES m }
role assistant "Assistant"
source book "The book" { authority guideline }
source ifu "The maker's instructions" { authority instructions }
kind steamer "Steam sterilizer"
minimum row_132 "Gravity, wrapped" { steam gravity  for wrapped  at 132 C for 15 min  dry 15 min  cite book read }
"""


def told(text: str, metres: int = 0) -> list[Finding]:
    return list(numbers.check(office(text, TRADE.replace("METRES", str(metres))), TODAY))


def sterilizer(clauses: str) -> str:
    return f'device s "Sterilizer" is steamer {{ program wrapped "Wrapped" {{ {clauses}  cite ifu "4" read }} }}\n'


def log(*columns: str) -> str:
    body = "\n".join(f"  column {column}" for column in columns)
    return f'log loads "Loads" {{ for s  sheet weekly 20 rows\n{body}\n}}\n'


@settings(max_examples=80, deadline=None)
@given(
    st.integers(2300, 2850),
    st.integers(0, 3600),
    st.sampled_from(["kPa", "psi", "bar"]),
    st.sampled_from(["gauge", "absolute"]),
    st.integers(-120, 120),
)
def test_a_pressure_is_wrong_exactly_when_it_is_more_than_five_kilopascals_off(
    tenths: int, metres: int, unit: str, kind: str, off: int
) -> None:
    """IAPWS-IF97 by the iapws package, less ISO 2533:1975 worked out here."""
    kelvin = (tenths / 10 - 32) * 5 / 9 + 273.15
    right = _PSat_T(kelvin) * 1000
    if kind == "gauge":
        right -= 101.325 * (1 - 0.0065 * metres / 288.15) ** 5.255876
    in_unit = {"kPa": 1.0, "psi": 6.894757293168, "bar": 100.0}[unit]
    stated = round((right + off / 10) / in_unit, 3)
    difference = abs(stated * in_unit - right)
    if abs(difference - 5.0) < 0.01 or stated <= 0:
        return
    text = sterilizer(
        f"steam gravity  at {tenths / 10} F for 30 min  dry 20 min  pressure {stated} {unit} {kind}  suits wrapped"
    )
    assert ("L01" in codes(told(text, metres))) == (difference > 5.0)


def test_a_figure_of_the_coast_is_known_for_one() -> None:
    (finding,) = told(
        sterilizer("steam gravity  at 132 C for 15 min  dry 15 min  pressure 186 kPa gauge  suits wrapped"), 2200
    )
    assert finding.code == "L01"
    assert finding.fix.startswith("The figure is that of sea level. Write `pressure 209 kPa gauge`")


def test_an_absolute_figure_taken_for_a_gauge_is_known_for_one() -> None:
    (finding,) = told(
        sterilizer("steam gravity  at 132 C for 15 min  dry 15 min  pressure 287 kPa  suits wrapped"), 2200
    )
    assert "The figure fits absolute pressure" in finding.fix


def test_an_absolute_pressure_needs_no_altitude() -> None:
    text = sterilizer("steam gravity  at 132 C for 15 min  dry 15 min  pressure 287 kPa absolute  suits wrapped")
    assert list(numbers.check(office(text, TRADE.replace("altitude METRES m", "")), TODAY)) == []


def test_a_gauge_without_an_altitude_is_undecided() -> None:
    text = sterilizer("steam gravity  at 132 C for 15 min  dry 15 min  pressure 186 kPa  suits wrapped")
    assert codes(numbers.check(office(text, TRADE.replace("altitude METRES m", "")), TODAY)) == ["L02"]


CYCLE = sterilizer("steam gravity  at 270 F for 15 min  dry 15 min  suits wrapped")


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        (['temp "Temp." F from 270 to 275', 'held "Minutes" min at least 15'], []),
        (['temp "Temp." C at least 132'], []),
        (['temp "Temp." C at least 131'], ["L15"]),
        (['temp "Temp." F at most 275'], ["L15"]),
        (['temp "Temp." F at least 270', 'top "Peak" F at most 275'], []),
        (['temp "Temp." F from 250 to 260'], ["L15", "L16"]),
        (['temp "Temp." F at least 270', 'held "Minutes" min at least 10'], ["L15"]),
        (['temp "Temp." F at least 270', 'held "Seconds" s at least 900'], []),
        (['temp "Temp." F at least 270', 'held "Minutes" min at least 20'], ["L16"]),
        (['temp "Temp." F at least 270', 'held "Minutes" min at most 14'], ["L16"]),
        (['temp "Temp." F at least 270', 'whole "Whole cycle" min from 50 to 70'], []),
        (['temp "Temp." F at least 270', 'held "Minutes" min at least 15', 'door "Door open" min'], []),
        (['temp "Temp." F at least 280'], ["L16"]),
        (['who "Initials" initials'], []),
        (['temp "Temp." F at least 270', 'door "Door open" min at least 2'], []),
        (['room "Incubator" C from 55 to 60'], []),
        (['gauge "Gauge" kPa from 187 to 200'], []),
        (['gauge "Gauge" kPa from 170 to 200'], ["L17"]),
        (['temp "Temp." F from 270 to 275', 'gauge "Gauge" psi from 27.1 to 30.7'], []),
        (['temp "Temp." F from 270 to 275', 'gauge "Gauge" psi from 27.1 to 32'], ["L17"]),
        (['temp "Temp." F from 270 to 275', 'gauge "Gauge" psi at least 30.6'], ["L17"]),
    ],
)
def test_limits_of_a_log_against_the_cycle_at_sea_level(columns: list[str], expected: list[str]) -> None:
    assert codes(told(CYCLE + log(*columns))) == expected


def test_a_log_written_in_one_procedure_is_held_against_the_program_run_there() -> None:
    two = (
        'device s "Sterilizer" is steamer {\n'
        '  program slow "250 °F" { steam gravity  at 250 F for 30 min  dry 15 min  suits wrapped  cite ifu }\n'
        '  program quick "270 °F" { steam gravity  at 270 F for 15 min  dry 15 min  suits wrapped  cite ifu }\n'
        "}\n"
        'procedure work "Work" { by assistant  step run "Run" { runs s slow  record loads } }\n'
    )
    assert codes(told(two + log('temp "Temp." F from 250 to 256', 'held "Minutes" min at least 30'))) == []


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        (['temp "Temp." F', 'held "Minutes" min at least 15'], ["L15"]),
        (['temp "Temp." F at least 270', 'gauge "Gauge" kPa'], ["L15"]),
        (['temp "Temp." F at least 270', 'held "Minutes" min'], ["L15"]),
        (['temp "Temp." F', 'held "Minutes" min'], ["L15", "L15"]),
        (['temp "Incubator" C'], []),
    ],
)
def test_what_is_read_when_the_program_runs_has_limits(columns: list[str], expected: list[str]) -> None:
    run = 'procedure work "Work" { by assistant  step run "Run" { runs s wrapped  record loads } }\n'
    assert codes(told(CYCLE + run + log(*columns))) == expected
    assert codes(told(CYCLE + log(*columns))) == []


def test_one_sheet_for_two_programs_is_told_to_be_parted() -> None:
    two = (
        'device s "Sterilizer" is steamer {\n'
        '  program slow "250 °F" { steam gravity  at 250 F for 30 min  dry 15 min  suits wrapped  cite ifu }\n'
        '  program quick "270 °F" { steam gravity  at 270 F for 15 min  dry 15 min  suits wrapped  cite ifu }\n'
        "}\n"
    )
    for least, code in ((250, "L15"), (270, "L16")):
        (finding,) = told(two + log(f'temp "Temp." F at least {least}'))
        assert finding.code == code
        assert "a sheet of its own" in finding.fix


def test_what_only_dries_is_held_against_nothing() -> None:
    assert told('device s "Cabinet" is steamer { program warm "Warm" { hot air  at 80 C for 20 min } }\n') == []


def test_a_washer_is_held_against_its_a0_by_both_columns() -> None:
    washer = (
        'device s "Washer" is steamer { program hot "Hot" {\n'
        "  hot water before sterilizing  a0 3000  at 90 C for 5 min  cite ifu } }\n"
    )
    assert codes(told(washer + log('temp "Temp." C at least 90', 'held "Minutes" min at least 5'))) == []
    longer = washer.replace("for 5 min", "for 5 to 9 min")
    assert codes(told(longer + log('temp "Temp." C at least 88', 'held "Minutes" min at least 8'))) == []
    assert codes(told(washer + log('temp "Temp." C at least 90', 'held "Minutes" min at least 8'))) == ["L16"]
    assert codes(told(washer + log('temp "Temp." C at least 88', 'held "Minutes" min at least 5'))) == ["L15"]


@pytest.mark.parametrize(
    ("column", "expected"),
    [
        ('count "Colonies" CFU/mL at most 500', []),
        ('count "Colonies" CFU/mL at most 501', ["L18"]),
        ('count "Colonies" CFU/mL', ["L18"]),
        ('count "Colonies" number at most 900', []),
    ],
)
def test_a_limit_stays_within_what_is_published(column: str, expected: list[str]) -> None:
    unit = (
        'device s "Unit" is steamer\nbounds water "Water" { on steamer  reading CFU/mL at most 500  cite book read }\n'
    )
    assert codes(told(unit + log(column))) == expected


def test_a_stricter_goal_binds_only_who_goes_by_it() -> None:
    unit = (
        'device s "Unit" is steamer\n'
        'bounds goal_1995 "Goal" { on steamer  reading CFU/mL at most 200  goal  cite book read }\n'
    )
    column = 'count "Colonies" CFU/mL at most 500'
    assert codes(told(unit + log(column))) == []
    assert codes(told(unit + log(column).replace("for s", "for s  cite book"))) == ["L18"]


def test_enough_exposure_is_what_the_rows_say_or_a_maker_vouches_for() -> None:
    def enough(clauses: str) -> bool:
        loaded = office(f'device s "S" is steamer {{ program p "P" {{ {clauses} }} }}', TRADE.replace("METRES", "0"))
        return enough_exposure(loaded, loaded.devices["s"].programs["p"])

    assert enough("steam gravity  at 132 C for 15 min  dry 15 min  suits wrapped")
    assert not enough("steam gravity  at 132 C for 14 min  dry 15 min  suits wrapped")
    assert not enough("steam gravity  at 132 C for 15 min  dry 14 min  suits wrapped")
    assert not enough("steam gravity  at 132 C for 15 min  suits unwrapped")
    assert enough("steam gravity  at 132 C for 14 min  dry 15 min  suits wrapped  cite ifu read")
    assert not enough("steam gravity  at 132 C for 15 min  dry 15 min")


def test_a_true_pressure_is_one_that_can_be_shown_to_be_so() -> None:
    def true(clauses: str, altitude: str = "altitude 2200 m") -> bool:
        text = f'device s "S" is steamer {{ program p "P" {{ steam gravity  at 132 C for 15 min  {clauses} }} }}'
        loaded = office(text, TRADE.replace("altitude METRES m", altitude))
        return true_pressure(loaded, loaded.devices["s"].programs["p"])

    assert true("pressure 209 kPa gauge")
    assert not true("pressure 186 kPa gauge")
    assert not true("pressure 209 kPa gauge", altitude="")
    assert true("pressure 287 kPa absolute", altitude="")
    assert not true("")
