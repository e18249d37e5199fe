"""The moments of one playthrough: when each comes to greedy staff, and whether any times would keep its limits."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Upper:
    """`later` comes at most `seconds` after `earlier`; `what` says which line asks for it."""

    earlier: int
    later: int
    seconds: int
    what: str


@dataclass(slots=True)
class Timetable:
    """Moments are numbers from 0, the start; times are whole seconds.

    `least` holds (earlier, later, seconds): later comes at least so long after earlier. What a duration ties together
    from both sides is kept apart from limits, because greedy staff heed it without looking ahead.
    """

    moments: int = 1
    least: list[tuple[int, int, int]] = field(default_factory=list)
    lasting: list[Upper] = field(default_factory=list)  # how long a step may last
    limits: list[Upper] = field(default_factory=list)

    def moment(self) -> int:
        """A new moment."""
        self.moments += 1
        return self.moments - 1

    def after(self, earlier: int, later: int, seconds: int = 0) -> None:
        """Let one moment come at least so long after another."""
        self.least.append((earlier, later, seconds))

    def greedy(self) -> list[int] | None:
        """When each moment comes if everything is done as soon as it may be; None when that never settles."""
        return _settled(self.moments, self.least, self.lasting)

    def possible(self) -> bool:
        """Whether these durations leave any times at all that keep every limit, even to one who knows the future."""
        return _settled(self.moments, self.least, [*self.lasting, *self.limits]) is not None

    def broken(self, times: list[int]) -> list[Upper]:
        """The limits that these times break."""
        return [each for each in self.limits if times[each.later] - times[each.earlier] > each.seconds]


def _settled(moments: int, least: list[tuple[int, int, int]], most: list[Upper]) -> list[int] | None:
    """The earliest times by relaxation (Bellman-Ford); None when the bounds contradict each other."""
    times = [0] * moments
    # An upper bound of the later moment is a lower bound of the earlier one.
    pushes = [*least, *((each.later, each.earlier, -each.seconds) for each in most)]
    for _ in range(moments + 1):
        moved = False
        for earlier, later, seconds in pushes:
            if times[earlier] + seconds > times[later]:
                times[later] = times[earlier] + seconds
                moved = True
        if not moved:
            return times if times[0] == 0 else None
    return None
