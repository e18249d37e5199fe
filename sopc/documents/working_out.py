"""Long sums of a page, begun ahead: where they are done, and whether they are kept, is for the press to say."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

Work = Callable[..., Callable[[], Any]]
"""Takes a function and its arguments, all plain values; the call it returns gives what JSON keeps of the result."""


def here(function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
    """Work it out in this process, when it is asked for."""
    return partial(function, *arguments)
