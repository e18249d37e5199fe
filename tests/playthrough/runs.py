"""Plays many procedures of an office by a seed, and sums up what went wrong and what was seen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from random import Random

from sopc.model.nouns import Office
from tests.playthrough.player import Breach, Player

TEMPERS = (0.0, 0.1, 0.3, 0.6, 0.95)  # how likely an answer is no


@dataclass(slots=True)
class Played:
    """What many playthroughs showed. `steps` and `limits` are those that were done, and that bound."""

    runs: int = 0
    breaches: Counter[Breach] = field(default_factory=Counter)
    steps: set[tuple[str, str]] = field(default_factory=set)
    limits: set[str] = field(default_factory=set)

    def of(self, *kinds: str) -> list[Breach]:
        """The breaches of these kinds; of all when none is named."""
        return [breach for breach in self.breaches if not kinds or breach.kind in kinds]


def played(office: Office, runs: int, seed: int, names: Collection[str] = ()) -> Played:
    """Play `runs` procedures in turn: all of the office's, or those named."""
    random = Random(seed)
    found = Played()
    procedures = [office.procedures[name] for name in names] if names else list(office.procedures.values())
    for number in range(runs if procedures else 0):
        player = Player(office, random, random.choice(TEMPERS))
        found.breaches.update(player.play(procedures[number % len(procedures)]))
        found.steps |= player.seen
        found.limits |= {limit.what for limit in player.timetable.limits}
        found.runs += 1
    return found
