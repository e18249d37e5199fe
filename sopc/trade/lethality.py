"""Heat over time as one number: F0 for moist-heat sterilization, A0 for thermal disinfection, and what survives.

This arithmetic presumes saturated steam, or hot water, on a cleaned surface. It never shortens a maker's cycle.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

F0_REFERENCE = 121.1
"""°C. Sources differ: 121, 121.1 and 121.11 (exactly 250 °F); 15 min at 121 °C then count 15.00, 14.66 or 14.63."""
F0_FROM = 100.0
"""°C below which heat is not counted towards F0."""
A0_REFERENCE = 80.0
A0_FROM = 65.0
"""°C below which heat is not counted towards A0 (ISO 15883-1)."""
Z = 10.0
"""°C that change the effect tenfold."""


def lethal_rate(celsius: float, reference: float = F0_REFERENCE, z: float = Z) -> float:
    """Return how many minutes at `reference` one minute at `celsius` is worth: 10 to the power (T - Tref)/z."""
    rate: float = 10.0 ** ((celsius - reference) / z)
    return rate


def f0(celsius: float, minutes: float, reference: float = F0_REFERENCE) -> float:
    """Return equivalent minutes at `reference` of `minutes` held at `celsius` (FDA 1976 definition, z = 10 °C)."""
    return minutes * lethal_rate(celsius, reference) if celsius >= F0_FROM else 0.0


def f0_of_readings(celsius: Iterable[float], every: float, reference: float = F0_REFERENCE) -> float:
    """Return F0 of readings `every` so many minutes, each taken to hold until the next (rectangles)."""
    return sum(f0(reading, every, reference) for reading in celsius)


def f0_of_curve(celsius: Sequence[float], every: float, reference: float = F0_REFERENCE) -> float:
    """Return F0 of readings `every` so many minutes with straight rates between them (trapezoids)."""
    rates = [f0(reading, 1.0, reference) for reading in celsius]
    return sum((one + two) / 2.0 * every for one, two in pairwise(rates))


def minutes_for_f0(wanted: float, celsius: float, reference: float = F0_REFERENCE) -> float:
    """Return the minutes at `celsius` that are worth `wanted` minutes at `reference`."""
    return wanted / lethal_rate(celsius, reference)


def a0(celsius: float, seconds: float) -> float:
    """Return equivalent seconds at 80 °C of `seconds` held at `celsius` (ISO 15883-1, z = 10 °C)."""
    return seconds * lethal_rate(celsius, A0_REFERENCE) if celsius >= A0_FROM else 0.0


def a0_of_readings(celsius: Iterable[float], every: float) -> float:
    """Return A0 of readings `every` so many seconds, each taken to hold until the next."""
    return sum(a0(reading, every) for reading in celsius)


def seconds_for_a0(wanted: float, celsius: float) -> float:
    """Return the seconds at `celsius` that are worth `wanted` seconds at 80 °C."""
    return wanted / lethal_rate(celsius, A0_REFERENCE)


def log_reduction(f_value: float, d_value: float) -> float:
    """Return by how many powers of ten `f_value` minutes lower organisms whose D-value is `d_value` minutes."""
    return f_value / d_value


def survivors(start: float, f_value: float, d_value: float) -> float:
    """Return how many of `start` organisms are left; below one it is the chance of one (sterility assurance)."""
    left: float = start * 10.0 ** -log_reduction(f_value, d_value)
    return left
