"""Sums that prove a day impossible, whatever the order of work: too much for the time there is, too many away at once.

Necessary conditions only: a day that passes them may still be impossible. Times are whole seconds after midnight.
Energy reasoning over windows: Baptiste, Le Pape and Nuijten, "Constraint-Based Scheduling" (2001), chapter 3.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Feed:
    """Units that come to a machine for one kind of load.

    `arrivals`: earliest time and share of each; a load takes `size` of shares, holds the machine for `hold` seconds and
    must leave it by `deadline`.
    """

    name: Hashable
    arrivals: tuple[tuple[int, int], ...]
    size: int
    hold: int
    deadline: int


@dataclass(frozen=True, slots=True)
class Overfull:
    """From `since` to `until` there are `there` seconds, all machines together, but `asked` are needed.

    `loads` gives for each feed its units and the fewest loads they make.
    """

    since: int
    until: int
    there: int
    asked: int
    loads: tuple[tuple[Feed, int, int], ...]

    @property
    def short(self) -> int:
        """Seconds that are missing."""
        return self.asked - self.there


def overfull(feeds: Sequence[Feed], machines: int) -> Overfull | None:
    """Return the window in which the machines lack most time, or None when no sum shows a lack."""
    found: Overfull | None = None
    for since in sorted({time for feed in feeds for time, _ in feed.arrivals}):
        window = _window(feeds, machines, since)
        if window is not None and window.short > 0 and (found is None or window.short > found.short):
            found = window
    return found


def _window(feeds: Sequence[Feed], machines: int, since: int) -> Overfull | None:
    loads = []
    for feed in feeds:
        shares = [share for time, share in feed.arrivals if time >= since]
        if shares:
            loads.append((feed, len(shares), -(-sum(shares) // feed.size)))
    until = max(feed.deadline for feed, _, _ in loads)
    there = max(0, until - since)
    asked = sum(feed.hold * number for feed, _, number in loads)
    if len(loads) == 1:
        # Loads of one kind do not split over machines.
        feed, _, number = loads[0]
        asked = max(asked, feed.hold * -(-number // machines) * machines)
    return Overfull(since, until, there * machines, asked, tuple(loads)) if asked else None


def most_away(starts: Sequence[tuple[int, int]], back_after: int) -> tuple[int, int]:
    """Return the most units away at once and when: each start takes so many units and gives them back later."""
    best = (0, 0)
    for now, _ in starts:
        away = sum(number for start, number in starts if start <= now < start + back_after)
        best = max(best, (away, -now))
    return best[0], -best[1]
