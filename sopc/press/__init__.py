"""The press: everything an office prints, from the checked office to files on disk, all or nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sopc.press.order import Order, Paper, Pressed, PressError, Progress

if TYPE_CHECKING:
    from sopc.render.setters import Setters

__all__ = ["Order", "Paper", "PressError", "Pressed", "Progress", "press"]


def press(order: Order, progress: Progress = None, crew: Setters | None = None) -> Pressed:
    """Print what the order asks for, with `crew` when its processes run already. A failure leaves the last good paper.

    Raises PressError when a chart or a log does not fit, a figure is missing, or the folder cannot be written.
    """
    from sopc.press.compose import compose
    from sopc.press.write import guard, standing, write

    guard(order)
    already = standing(order)
    if already is not None:
        return already
    papers, fresh = compose(order, progress, crew)
    return write(order, papers, max(fresh, 1))
