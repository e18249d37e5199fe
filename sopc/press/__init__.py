"""The press: everything an office prints, from the checked office to files on disk, all or nothing."""

from __future__ import annotations

from sopc.press.order import Order, Paper, Pressed, PressError, Progress

__all__ = ["Order", "Paper", "PressError", "Pressed", "Progress", "press"]


def press(order: Order, progress: Progress = None) -> Pressed:
    """Print what the order asks for. A failure leaves the last good paper as it was.

    Raises PressError when a chart or a log does not fit, a figure is missing, or the folder cannot be written.
    """
    from sopc.press.compose import compose
    from sopc.press.write import guard, standing, write

    guard(order)
    already = standing(order)
    if already is not None:
        return already
    papers, fresh = compose(order, progress)
    return write(order, papers, max(fresh, 1))
