"""Whether print can be read: letter height and type size for a reading distance, contrast of two colours.

Angles are minutes of arc that a capital letter spans at the eye (ISO 9241-303: at least 16, preferably 20 to 22).
"""

from __future__ import annotations

from math import ceil, pi, tan

LEAST_ANGLE = 16.0
TARGET_ANGLE = 22.0
WEAK_SIGHT = 1.4
"""How much larger for readers of visual acuity 0.5 (DIN 1450)."""
POINT_MM = 25.4 / 72
"""One typographic point in millimetres."""

TEXT_CONTRAST = 4.5
LARGE_TEXT_CONTRAST = 3.0
"""WCAG 2.2, 1.4.3; large is from 18 pt, or 14 pt bold. Graphics need 3 as well (1.4.11)."""


def letter_height(distance: float, angle: float = TARGET_ANGLE) -> float:
    """Return the height of a capital, in the unit of `distance`, that spans `angle` minutes of arc from there."""
    return 2.0 * distance * tan(angle / 60.0 * pi / 180.0 / 2.0)


def point_size(distance: float, cap_height: float, angle: float = TARGET_ANGLE) -> float:
    """Return the type size in points for a reading distance in millimetres.

    `cap_height` is that of the face as a share of the type size (0.70 is usual for a sans).
    """
    return letter_height(distance, angle) / cap_height / POINT_MM


def point_size_to_use(distance: float, cap_height: float) -> int:
    """Return the whole type size in points that is comfortable from `distance` millimetres, rounded up."""
    return ceil(point_size(distance, cap_height) - 1e-9)


def reading_distance(points: float, cap_height: float, angle: float = TARGET_ANGLE) -> float:
    """Return from how far, in millimetres, type of that size is read at that angle."""
    return points * POINT_MM * cap_height / (2.0 * tan(angle / 60.0 * pi / 180.0 / 2.0))


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written #rrggbb, from 1 to 21 (WCAG 2.2, definition)."""
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def luminance(colour: str) -> float:
    """Return the relative luminance of a colour written #rrggbb, from 0 to 1 (WCAG 2.2, definition)."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255.0) for at in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    if channel <= 0.04045:
        return channel / 12.92
    bright: float = ((channel + 0.055) / 1.055) ** 2.4
    return bright
