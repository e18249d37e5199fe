"""The borders between zones: which ways lead over them, what they ask for, and where items come to them."""

from __future__ import annotations

from dataclasses import dataclass, field

from sopc.checks.items.effects import ItemEffects, Vocabulary
from sopc.checks.items.flow import Flow
from sopc.checks.report import title
from sopc.checks.rooms.trips import NOWHERE_YET, Tracker, handled
from sopc.model.nouns import Office, Passage


@dataclass(slots=True)
class Borders:
    """What zones and ways between them ask for, and where items come to them."""

    office: Office
    passages: dict[tuple[str, str], Passage] = field(init=False)
    words: Vocabulary = field(init=False)
    tracker: Tracker = field(init=False)

    def __post_init__(self) -> None:
        office = self.office
        self.passages = {(each.source, each.target): each for each in office.flow}
        self.words = Vocabulary(office)
        asked = [name for each in office.flow for name in each.only]
        asked += [name for zone in office.zones.values() for name in zone.admits]
        flows = {
            procedure.name: Flow(office, procedure, ItemEffects(self.words, procedure))
            for procedure in office.procedures.values()
            if handled(office, procedure)
        }
        self.tracker = Tracker(office, flows, self.words.mask(asked))

    def in_flow(self, zone: str) -> bool:
        """Whether some way leads into a zone or out of it; where no flow is declared, all are."""
        return not self.passages or any(zone in ends for ends in self.passages)

    def allowed(self, source: str, target: str) -> bool:
        """Whether an item may go this way. What has not been handled yet is where it is handled first."""
        if source == NOWHERE_YET:
            return self.in_flow(target)
        return not self.passages or (source, target) in self.passages

    def asked(self, source: str, target: str) -> tuple[str, ...]:
        """The conditions that an item needs to come this way."""
        passage = self.passages.get((source, target))
        only = passage.only if passage is not None else ()
        return tuple(dict.fromkeys((*only, *self.office.zones[target].admits)))

    def keeper(self, condition: str) -> str | None:
        """The zone that keeps a condition."""
        return next((zone.name for zone in self.office.zones.values() if condition in zone.keeps), None)

    def zone(self, name: str) -> str:
        """A zone as people call it."""
        return title(self.office.zones, name)
