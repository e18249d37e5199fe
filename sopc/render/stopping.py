"""Holds back a request to stop while it could be lost, or would leave something half done."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

REQUESTS = (signal.SIGINT, signal.SIGTERM)

Handler = Callable[[int, FrameType | None], object]


@contextmanager
def stopping_later() -> Iterator[Callable[[], None]]:
    """Let requests to stop (SIGINT, SIGTERM) wait until the block ends, or the function handed out is called.

    What the request would have raised at once is raised there. Libraries that call back from C, or that go on whatever
    happens to one drawing, swallow what is raised while they work. A signal that is ignored or that ends the process
    by itself is left as it is, and so is everything in another thread than the main one, where none arrives.
    """
    usual: dict[int, Handler] = {}
    asked: list[int] = []

    def heed() -> None:
        if asked:
            number = asked.pop()
            asked.clear()
            usual[number](number, None)

    if threading.current_thread() is threading.main_thread():
        handlers = {number: signal.getsignal(number) for number in REQUESTS}
        usual |= {number: handler for number, handler in handlers.items() if callable(handler)}
    for number in usual:
        signal.signal(number, lambda arrived, _: asked.append(arrived))
    try:
        yield heed
    finally:
        for number, handler in usual.items():
            signal.signal(number, handler)
        heed()
