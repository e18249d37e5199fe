"""What physics says at the office's altitude: pressure of saturated steam, boiling water, units mixed up."""

from __future__ import annotations

from fractions import Fraction

from sopc.model.nouns import Agent, Office, Program
from sopc.trade.minimums import same_figure
from sopc.trade.quantities import NBSP, UNITS, Quantity, show_number
from sopc.trade.steam import atmosphere, boiling_point, saturation_pressure, temperature_at_gauge

PRESSURE_TOLERANCE = 5.0
"""kPa (0.7 psi): weather moves the air by 2 to 3 kPa, and panels show rounded figures."""
_OTHER_SCALE = {"C": "F", "F": "C"}
_DECIMALS = {"kPa": 0, "mbar": 0, "bar": 2}


def metres(office: Office) -> float | None:
    """The office's height above the sea; None when the text does not say."""
    height = office.premises.altitude
    return float(height.to("m").value) if height is not None else None


def celsius(temperature: Quantity) -> float:
    """A temperature as °C."""
    return float(temperature.to("C").value)


def steam_pressure(temperature: Quantity, kind: str, altitude: float) -> float | None:
    """kPa that a display of this kind shows for saturated steam; None where there is no such steam."""
    try:
        absolute = saturation_pressure(celsius(temperature))
    except ValueError:
        return None
    return absolute if kind == "absolute" else absolute - atmosphere(altitude)


def true_pressure(office: Office, program: Program) -> bool:
    """Whether the stated pressure is that of saturated steam at the stated temperature here; False if undecided."""
    if program.exposure is None or program.pressure is None:
        return False
    reading, kind = program.pressure
    altitude = metres(office)
    right = steam_pressure(program.exposure.temperature, kind, altitude or 0.0)
    known = kind == "absolute" or altitude is not None
    return known and right is not None and fits(float(reading.to("kPa").value), right)


def fits(shown: float, right: float) -> bool:
    """Whether a pressure is the right one, as far as weather and rounding let it be, in kPa."""
    return abs(shown - right) <= PRESSURE_TOLERANCE


def steam_temperature(kpa: float, kind: str, altitude: float) -> float | None:
    """°C of saturated steam when a display of this kind shows `kpa`; None where there is none."""
    try:
        return temperature_at_gauge(kpa - atmosphere(altitude) if kind == "absolute" else kpa, altitude)
    except ValueError:
        return None


def boiling(office: Office) -> float:
    """°C at which water boils in the open at the office; at sea level when it does not say how high it lies."""
    return boiling_point(metres(office) or 0.0)


def in_kpa_and_psi(kpa: float) -> str:
    """A pressure as both kinds of gauge show it: 211 kPa (30.6 psi); tenths of a kPa only when it is small."""
    exact = Fraction(kpa)
    psi = Quantity(exact, UNITS["kPa"]).to("psi").value
    return f"{show_number(exact, 1 if abs(kpa) < 10 else 0)}{NBSP}kPa ({show_number(psi, 1)}{NBSP}psi)"


def as_displayed(kpa: float, unit: str) -> str:
    """A pressure as the text states it in one unit, no finer than displays show it: 30.6 psi, 2.11 bar, 211 kPa."""
    there = Quantity(Fraction(kpa), UNITS["kPa"]).to(unit)
    return f"{show_number(there.value, _DECIMALS.get(unit, 1)).replace(',', '')} {there.unit}"


def other_scale(office: Office, program: Program) -> Quantity | None:
    """The stated temperature read on the other scale, if only that is one a published row has for this process."""
    exposure, process = program.exposure, program.process
    if exposure is None or process is None:
        return None
    stated = exposure.temperature
    other = Quantity(stated.value, UNITS[_OTHER_SCALE[stated.unit.name]])
    rows = [
        each.exposure.temperature
        for each in office.minimums.values()
        if each.exposure is not None and each.process is not None and each.process.agent is process.agent
    ]
    if process.agent is Agent.HOT_WATER:
        low, high = 65.0, boiling(office)
        return other if low <= celsius(other) < high else None
    if any(same_figure(stated, row) for row in rows):
        return None
    return other if any(abs(celsius(other) - celsius(row)) <= 3.0 for row in rows) else None
