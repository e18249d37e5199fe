"""Staff who keep to a proven order of work, and machines and patients that take what time they like.

Each thing is begun as soon as what must come before it is there, by the rules that the proof of dynamic controllability
leaves behind (Morris 2014): what must have happened so long ago, and what must be waited for while a machine runs.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from random import Random

from sopc.trade.network import Network
from sopc.trade.semireducible import Search, _Frame


class Rules(Search):
    """The search for a contradiction, which on its way writes down what each moment must wait for."""

    def __init__(self, network: Network) -> None:
        super().__init__(network)
        self.after: dict[int, dict[int, int]] = defaultdict(dict)  # moment: others, and how long before it they come
        self.unless_ended: dict[int, dict[int, int]] = defaultdict(dict)  # moment: link, and how long it holds it up

    def _note_hold(self, frame: _Frame, point: int) -> None:
        super()._note_hold(frame, point)
        if point >= self._points:
            return
        least = -frame.distance[point]
        if frame.target < self._points:
            self.after[point][frame.target] = max(least, self.after[point].get(frame.target, 0))
            return
        number = frame.target - self._points
        if point != self._links[number].contingent_end:
            seconds = self._links[number].low + least
            self.unless_ended[point][number] = max(seconds, self.unless_ended[point].get(number, 0))


class Player:
    """Plays one network many times."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.rules = Rules(network)
        assert self.rules.run(), "only what is proven can be played"
        self.links = self.rules._links
        self.ends = {link.contingent_end: number for number, link in enumerate(self.links)}
        for point in self.ends:
            self.rules.unless_ended.pop(point, None)
        self.held_up: dict[int, list[int]] = defaultdict(list)
        for point, holds in self.rules.unless_ended.items():
            for number in holds:
                self.held_up[number].append(point)
        self.begun: dict[int, list[int]] = defaultdict(list)
        for number, link in enumerate(self.links):
            self.begun[link.activation].append(number)
        for bound in network.bounds:
            if bound.weight <= 0 and bound.source != bound.target:
                known = self.rules.after[bound.source].get(bound.target, 0)
                self.rules.after[bound.source][bound.target] = max(-bound.weight, known)
        for link in network.links:
            if link.high == link.low:
                self.rules.after[link.contingent_end][link.activation] = link.low

    def play(self, random: Random) -> list[int]:
        """The time of each moment, machines and patients drawing theirs by lot."""
        times: list[int | None] = [None] * self.network.size
        waiting = {point: set(after) for point, after in self.rules.after.items() if point not in self.ends}
        for point, holds in self.rules.unless_ended.items():
            waiting.setdefault(point, set()).update(self.links[number].activation for number in holds)
        followers: dict[int, list[int]] = defaultdict(list)
        for point, others in waiting.items():
            for other in others:
                followers[other].append(point)
        held = {point: dict(holds) for point, holds in self.rules.unless_ended.items()}
        lasts = [random.choice((link.low, link.high, random.randint(link.low, link.high or link.low))) or link.low
                 for link in self.links]  # fmt: skip
        events = [(0, point) for point in range(self.network.size) if point not in self.ends and not waiting.get(point)]
        heapq.heapify(events)
        while events:
            now, point = heapq.heappop(events)
            if times[point] is not None:
                continue
            due = self._due(point, now, times, held)
            if due > now:
                heapq.heappush(events, (due, point))
                continue
            times[point] = now
            self._happened(point, now, times, waiting, followers, lasts, events)
        assert None not in times
        return [time or 0 for time in times]

    def _due(self, point: int, now: int, times: list[int | None], held: dict[int, dict[int, int]]) -> int:
        """When a moment that waits for nothing more may come at the earliest, as it looks now."""
        if point in self.ends:
            return now
        due = now
        for other, least in self.rules.after.get(point, {}).items():
            due = max(due, (times[other] or 0) + least)
        for number, seconds in held.get(point, {}).items():
            link = self.links[number]
            if times[link.contingent_end] is None:
                due = max(due, (times[link.activation] or 0) + seconds)
        return due

    def _happened(self, point, now, times, waiting, followers, lasts, events) -> None:  # type: ignore[no-untyped-def]
        for number in self.begun[point]:
            heapq.heappush(events, (now + lasts[number], self.links[number].contingent_end))
        for follower in followers[point]:
            waiting[follower].discard(point)
            if not waiting[follower]:
                heapq.heappush(events, (now, follower))
        if point in self.ends:
            # An end that is seen may free what was held up for it.
            for follower in self.held_up[self.ends[point]]:
                if times[follower] is None and not waiting.get(follower):
                    heapq.heappush(events, (now, follower))
