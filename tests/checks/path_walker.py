"""Walks small procedures in every way they can go, step by step; what a step makes of things, its heir says.

Shares no code with the checks. It knows steps, choices and two branches side by side, and outcomes that go on, stop,
go to a step or repeat from one once; inside ways and branches only those that go on or stop.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from itertools import combinations
from typing import Generic, TypeVar

from sopc.model.nouns import Choice, GoTo, Part, Procedure, Proceed, Repeat, Step, Stop, Together

State = TypeVar("State")


@dataclass
class PathWalker(ABC, Generic[State]):
    """One walk through a procedure. `State` is what is known between two steps; it is hashable."""

    procedure: Procedure

    @abstractmethod
    def step(self, step: Step, state: State) -> list[tuple[State, object]]:
        """Every state and outcome a step can lead to; outcome None: on to the next."""

    @abstractmethod
    def at_the_end(self, state: State) -> None:
        """Note what holds at the normal end."""

    def walk(self, start: State) -> None:
        """Go every way there is, each place and state once."""
        seen: set[tuple[int, State, tuple[str, ...]]] = set()
        queue: list[tuple[int, State, tuple[str, ...]]] = [(0, start, ())]
        while queue:
            at = queue.pop()
            if at in seen:
                continue
            seen.add(at)
            place, state, repeated = at
            if place == len(self.procedure.parts):
                self.at_the_end(state)
                continue
            queue += self._part(place, state, repeated)

    def _part(self, place: int, state: State, repeated: tuple[str, ...]) -> list[tuple[int, State, tuple[str, ...]]]:
        part = self.procedure.parts[place]
        if not isinstance(part, Step):
            return [(place + 1, after, repeated) for after in self._inner(part, state)]
        found = []
        for after, stated in self.step(part, state):
            outcome = stated
            if isinstance(outcome, Repeat):
                if part.name not in repeated:
                    found.append((self._index(outcome.step), after, (*repeated, part.name)))
                    continue
                outcome = outcome.afterwards
            if isinstance(outcome, GoTo):
                found.append((self._index(outcome.step), after, repeated))
            elif outcome is None or isinstance(outcome, Proceed):
                found.append((place + 1, after, repeated))
            else:
                assert isinstance(outcome, Stop)
        return found

    def _index(self, name: str) -> int:
        parts = self.procedure.parts
        return next(place for place, part in enumerate(parts) if isinstance(part, Step) and part.name == name)

    def _inner(self, part: Part, state: State) -> set[State]:
        """What may be after a choice, or after branches mixed in every way."""
        if isinstance(part, Choice):
            return {after for way in part.ways for after in self._sequence(list(way.parts), state)}
        assert isinstance(part, Together)
        one, two = (list(branch.parts) for branch in part.branches)
        total = len(one) + len(two)
        found: set[State] = set()
        for places in combinations(range(total), len(one)):
            first, second = iter(one), iter(two)
            mixed = [next(first) if place in places else next(second) for place in range(total)]
            found |= self._sequence(mixed, state)
        return found

    def _sequence(self, parts: list[Part], start: State) -> set[State]:
        states = {start}
        for part in parts:
            assert isinstance(part, Step)
            states = {
                after for state in states for after, outcome in self.step(part, state) if not isinstance(outcome, Stop)
            }
        return states
