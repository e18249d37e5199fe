"""The trade's numbers against published values: steam, altitude, lethality, disinfection, dilution, print."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from iapws.iapws97 import _PSat_T, _TSat_P

from sopc.trade import dilution, legibility, lethality, steam
from sopc.trade.quantities import quantity


@pytest.mark.parametrize(("celsius", "kpa"), [(121.1, 205.685), (132.0, 286.823), (134.0, 304.199), (135.0, 313.201)])
def test_v_01_02_saturated_steam_at_sterilizing_temperatures(celsius: float, kpa: float) -> None:
    """IAPWS-IF97, region 4, saturation-pressure equation."""
    assert steam.saturation_pressure(celsius) == pytest.approx(kpa, abs=0.05)


@pytest.mark.parametrize(("kelvin", "megapascal"), [(300.0, 0.353658941e-2), (500.0, 0.263889776e1)])
def test_saturation_pressure_of_the_verification_table(kelvin: float, megapascal: float) -> None:
    """IAPWS-IF97, table 35: computer-program verification of equation 30, nine digits."""
    assert steam.saturation_pressure(kelvin - 273.15) / 1000 == pytest.approx(megapascal, rel=1e-8)


@pytest.mark.parametrize(("megapascal", "kelvin"), [(0.1, 372.755919), (1.0, 453.035632)])
def test_saturation_temperature_of_the_verification_table(megapascal: float, kelvin: float) -> None:
    """IAPWS-IF97, table 36: computer-program verification of equation 31, nine digits."""
    assert steam.saturation_temperature(megapascal * 1000) + 273.15 == pytest.approx(kelvin, abs=1e-6)


@given(st.floats(1, 373))
@settings(deadline=None, max_examples=100)
def test_saturation_agrees_with_an_independent_program(celsius: float) -> None:
    """The iapws package, another implementation of IAPWS-IF97, both ways."""
    kpa = steam.saturation_pressure(celsius)
    assert kpa == pytest.approx(_PSat_T(celsius + 273.15) * 1000, rel=1e-9)
    assert steam.saturation_temperature(kpa) == pytest.approx(_TSat_P(kpa / 1000) - 273.15, abs=1e-6)


@pytest.mark.parametrize(("metres", "kpa"), [(0, 101.325), (1600, 83.524), (2200, 77.541)])
def test_v_03_pressure_of_the_air_at_altitude(metres: float, kpa: float) -> None:
    """ISO 2533:1975, standard atmosphere."""
    assert steam.atmosphere(metres) == pytest.approx(kpa, abs=0.05)


@pytest.mark.parametrize(("metres", "pascal"), [(1219.2, 87_439), (1524.0, 84_323), (2133.6, 78_193)])
def test_pressure_of_the_air_in_a_printed_table(metres: float, pascal: float) -> None:
    """US Standard Atmosphere table in steps of 1,000 ft, rounded there from psi."""
    assert steam.atmosphere(metres) * 1000 == pytest.approx(pascal, abs=100)


@pytest.mark.parametrize(("metres", "celsius"), [(0, 99.97), (1600, 94.65), (2200, 92.65)])
def test_v_04_water_boils_cooler_higher_up(metres: float, celsius: float) -> None:
    """IAPWS-IF97 at the pressures of ISO 2533:1975."""
    assert steam.boiling_point(metres) == pytest.approx(celsius, abs=0.03)


@pytest.mark.parametrize(
    ("celsius", "metres", "kpa"),
    [
        (134.0, 0, 202.87), (134.0, 1600, 220.68), (134.0, 2200, 226.66),
        (121.1, 0, 104.36), (121.1, 1600, 122.16), (121.1, 2200, 128.14),
    ],
)  # fmt: skip
def test_v_05_06_what_the_gauge_reads_at_altitude(celsius: float, metres: float, kpa: float) -> None:
    """IAPWS-IF97 less ISO 2533:1975."""
    assert steam.gauge_pressure(celsius, metres) == pytest.approx(kpa, abs=0.1)


def test_120_celsius_needs_two_psi_more_at_4000_feet() -> None:
    """Published retort figures: 14.1 psi at sea level, 16 psi at 1,219 m."""
    psi = [
        float(quantity(Fraction(steam.gauge_pressure(120.0, metres)), "kPa").to("psi").value) for metres in (0, 1219)
    ]
    assert psi == pytest.approx([14.12, 16.12], abs=0.01)


@pytest.mark.parametrize(("metres", "celsius"), [(0, 134.44), (1600, 132.42), (2200, 131.71)])
def test_30_psi_on_the_gauge_is_cooler_steam_higher_up(metres: float, celsius: float) -> None:
    """IAPWS-IF97 and ISO 2533:1975; 30 psi is the figure on the panels of table-top sterilizers."""
    kpa = float(quantity(30, "psi").to("kPa").value)
    assert steam.temperature_at_gauge(kpa, metres) == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize(("celsius", "air", "left"), [(121.1, 0.1, 117.8), (134.0, 0.1, 130.4), (134.0, 0.2, 126.5)])
def test_air_left_in_the_chamber_costs_degrees(celsius: float, air: float, left: float) -> None:
    """Dalton's law of partial pressures on IAPWS-IF97."""
    assert steam.temperature_with_air(celsius, air) == pytest.approx(left, abs=0.06)


@pytest.mark.parametrize("celsius", [-1.0, 400.0])
def test_outside_its_range_there_is_no_saturated_steam(celsius: float) -> None:
    """IAPWS-IF97 region 4 ends at the triple point and at the critical point."""
    with pytest.raises(ValueError):
        steam.saturation_pressure(celsius)


def test_v_07_08_f0_of_prevacuum_cycles() -> None:
    """F0 = time × 10^((T - Tref)/z): FDA proposed rule of 1976, 21 CFR 212.3; reference 121.1 °C."""
    assert lethality.f0(132.0, 4.0) == pytest.approx(49.21, abs=0.01)
    assert lethality.f0(134.0, 3.0) == pytest.approx(58.495, abs=0.01)


@pytest.mark.parametrize(("celsius", "minutes", "worth"), [(121, 15, 15.0), (111, 15, 1.5), (120, 1, 0.794)])
def test_f0_examples_with_reference_121(celsius: float, minutes: float, worth: float) -> None:
    """Worked examples of the FDA proposal of 1976 and of PDA Technical Report 1."""
    assert lethality.f0(celsius, minutes, reference=121.0) == pytest.approx(worth, abs=0.001)


PROFILE = [100, 105, 110, 115, 118, 120, *[121] * 10, 118, 112, 104]


def test_v_09_f0_of_a_profile_of_one_minute_readings() -> None:
    """The F0 integral of PDA Technical Report 1 as rectangles and as trapezoids; reference 121.1 °C."""
    assert lethality.f0_of_readings(PROFILE, 1.0) == pytest.approx(12.026, abs=0.001)
    assert lethality.f0_of_curve(PROFILE, 1.0) == pytest.approx(12.012, abs=0.001)


def test_v_10_a0_of_washer_disinfector_holds() -> None:
    """ISO 15883-1: A0 600 is 90 °C for 1 min, 3000 for 5 min."""
    assert lethality.a0(90, 60) == pytest.approx(600, abs=0.1)
    assert lethality.a0(90, 300) == pytest.approx(3000, abs=0.1)
    assert lethality.a0(93, 60) == pytest.approx(1197.2, abs=0.1)


def test_v_11_a0_of_a_ramp() -> None:
    """ISO 15883-1: the sum over readings of a minute each, all above 65 °C."""
    assert lethality.a0_of_readings([66, 74, 82, 90, 90, 84, 76], 60) == pytest.approx(1487.15, abs=0.1)


def test_below_65_celsius_nothing_counts_towards_a0() -> None:
    """ISO 15883-1: the lower limit of integration is 65 °C."""
    assert lethality.a0(64.9, 100_000) == 0


@pytest.mark.parametrize(("stock", "expected"), [("5.25", (5250, 525, 105)), ("6.15", (6150, 615, 123))])
def test_v_12_13_hypochlorite_one_in_ten_hundred_and_five_hundred(stock: str, expected: tuple[int, int, int]) -> None:
    """CDC/HICPAC 2008: 1:100 of 5.25-6.15 % hypochlorite is 525-615 ppm."""
    found = tuple(dilution.ppm(Fraction(stock), *dilution.one_in(total)) for total in (10, 100, 500))
    assert found == expected


def test_one_part_and_99_of_five_percent_is_500_ppm() -> None:
    """WHO 2014, infection prevention for acute respiratory infections, annex G, table G.1; 2 + 98 of 2.5 % too."""
    assert dilution.ppm(Fraction(5), Fraction(1), Fraction(99)) == 500
    assert dilution.ppm(Fraction("2.5"), Fraction(2), Fraction(98)) == 500


def test_half_a_percent_is_5000_ppm() -> None:
    """WHO laboratory biosafety manual: 0.5 % is 5 g/L; a circulated answer of 10,000 ppm is a slip."""
    assert dilution.percent(Fraction(5), Fraction(1), Fraction(9)) * dilution.PPM_IN_PERCENT == 5000


def test_v_14_one_part_and_ten_parts_is_no_one_in_ten() -> None:
    """Arithmetic of parts: 1 + 10 of 5.25 % is 9.1 % weaker than the 5,250 ppm of 1 + 9."""
    assert float(dilution.ppm(Fraction("5.25"), Fraction(1), Fraction(10))) == pytest.approx(4772.7, abs=0.1)


def test_5_25_percent_hypochlorite_is_five_percent_chlorine() -> None:
    """Molar masses of Cl2 (70.906) and NaOCl (74.442)."""
    assert float(Fraction("5.25") * dilution.CHLORINE_IN_HYPOCHLORITE) == pytest.approx(5.00, abs=0.005)


def test_v_15_twelve_logs_leave_one_in_a_million() -> None:
    """Sterility assurance level of 10^-6: EN 556-1, by N = N0 × 10^(-F0/D)."""
    assert lethality.survivors(1e6, 18.0, 1.5) == pytest.approx(1e-6, rel=0.01)


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(250, 121.11), (270, 132.22), (273, 133.89), (275, 135.00)])
def test_v_16_fahrenheit_to_celsius(fahrenheit: int, celsius: float) -> None:
    """NIST SP 811, appendix B: t/°C = (t/°F - 32) / 1.8."""
    assert float(quantity(fahrenheit, "F").to("C").value) == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize(
    ("metres", "least_mm", "least_pt", "target_mm", "points"),
    [
        (0.4, 1.9, 8, 2.6, 11), (1.0, 4.7, 19, 6.4, 26), (1.5, 7.0, 28, 9.6, 39),
        (2.0, 9.3, 38, 12.8, 52), (3.0, 14.0, 57, 19.2, 78),
    ],
)  # fmt: skip
def test_letter_heights_for_reading_distances(
    metres: float, least_mm: float, least_pt: int, target_mm: float, points: int
) -> None:
    """ISO 9241-303: capitals of at least 16, better 22 minutes of arc; a sans with capitals of 0.70 em."""
    distance = metres * 1000
    assert round(legibility.letter_height(distance, legibility.LEAST_ANGLE), 1) == least_mm
    assert round(legibility.letter_height(distance), 1) == target_mm
    assert round(legibility.point_size(distance, 0.70, legibility.LEAST_ANGLE)) == least_pt
    assert legibility.point_size_to_use(distance, 0.70) == points
    assert legibility.reading_distance(points, 0.70) >= distance


def test_office_guide_of_distance_over_155() -> None:
    """BGI 650 (German office guide): letter height is the distance divided by 155."""
    assert legibility.letter_height(1550) == pytest.approx(10, abs=0.1)


@pytest.mark.parametrize(("grey", "ratio"), [("#595959", 7.0), ("#767676", 4.5), ("#949494", 3.0), ("#000000", 21.0)])
def test_lightest_greys_on_white(grey: str, ratio: float) -> None:
    """WCAG 2.2, contrast ratio: the lightest greys that still pass 7, 4.5 and 3."""
    assert legibility.contrast(grey, "#ffffff") == pytest.approx(ratio, abs=0.06)
    assert legibility.contrast("#ffffff", grey) >= ratio
