"""Saturated steam and the pressure of the air: what a gauge must read at a temperature and an altitude.

Temperatures in °C, pressures in kPa absolute unless a name says gauge, altitudes in metres. Weather moves the real
pressure of the air by about 2 to 3 kPa.
"""

from __future__ import annotations

from math import sqrt

SEA_LEVEL_KPA = 101.325
KELVIN = 273.15

# IAPWS-IF97 (Revised Release 2012), table 34: coefficients of the saturation line.
_N = (
    0.11670521452767e4,
    -0.72421316703206e6,
    -0.17073846940092e2,
    0.12020824702470e5,
    -0.32325550322333e7,
    0.14915108613530e2,
    -0.48232657361591e4,
    0.40511340542057e6,
    -0.23855557567849,
    0.65017534844798e3,
)
_TRIPLE_KPA = 0.611213
_CRITICAL_KPA = 22_064.0
_CRITICAL_CELSIUS = 373.946


def saturation_pressure(celsius: float) -> float:
    """Return the pressure of saturated steam, IAPWS-IF97 equation 30; ValueError outside 0 to 373.946 °C."""
    if not 0.0 <= celsius <= _CRITICAL_CELSIUS:
        raise ValueError(f"no saturated steam at {celsius} °C")
    kelvin = celsius + KELVIN
    theta = kelvin + _N[8] / (kelvin - _N[9])
    a = theta * theta + _N[0] * theta + _N[1]
    b = _N[2] * theta * theta + _N[3] * theta + _N[4]
    c = _N[5] * theta * theta + _N[6] * theta + _N[7]
    root: float = (2.0 * c / (-b + sqrt(b * b - 4.0 * a * c))) ** 4
    return root * 1000.0


def saturation_temperature(kpa: float) -> float:
    """Return the temperature of saturated steam, IAPWS-IF97 equation 31; ValueError outside 0.611 to 22,064 kPa."""
    if not _TRIPLE_KPA <= kpa <= _CRITICAL_KPA:
        raise ValueError(f"no saturated steam at {kpa} kPa")
    beta = (kpa / 1000.0) ** 0.25
    e = beta * beta + _N[2] * beta + _N[5]
    f = _N[0] * beta * beta + _N[3] * beta + _N[6]
    g = _N[1] * beta * beta + _N[4] * beta + _N[7]
    d = 2.0 * g / (-f - sqrt(f * f - 4.0 * e * g))
    kelvin: float = (_N[9] + d - sqrt((_N[9] + d) ** 2 - 4.0 * (_N[8] + _N[9] * d))) / 2.0
    return kelvin - KELVIN


def atmosphere(altitude: float) -> float:
    """Return the pressure of the standard atmosphere, ISO 2533:1975; ValueError outside -2,000 to 11,000 m."""
    if not -2_000.0 <= altitude <= 11_000.0:
        raise ValueError(f"no office stands at {altitude} m")
    factor: float = (1.0 - 0.0065 * altitude / 288.15) ** 5.255876
    return SEA_LEVEL_KPA * factor


def boiling_point(altitude: float) -> float:
    """Return the temperature at which water boils in the open at that altitude."""
    return saturation_temperature(atmosphere(altitude))


def gauge_pressure(celsius: float, altitude: float = 0.0) -> float:
    """Return what a gauge reads (kPa above the air outside) when saturated steam has that temperature."""
    return saturation_pressure(celsius) - atmosphere(altitude)


def temperature_at_gauge(kpa: float, altitude: float = 0.0) -> float:
    """Return the temperature of saturated steam when the gauge reads `kpa` above the air outside."""
    return saturation_temperature(kpa + atmosphere(altitude))


def temperature_with_air(celsius: float, air: float) -> float:
    """Return the temperature left at the pressure of `celsius` steam when `air` (0 to 1 by volume) is still in it.

    Partial pressures by Dalton's law: the steam has only its share of the pressure.
    """
    return saturation_temperature(saturation_pressure(celsius) * (1.0 - air))
