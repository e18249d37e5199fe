"""What a change is: which thing of the office, what about it, how it stood and how it stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from sopc.source import Span


class How(StrEnum):
    """In which way two texts differ at one place."""

    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"
    RENAMED = "renamed"  # the name in the text; nothing that is printed
    CHANGED = "changed"
    REWORDED = "reworded"  # the same said in other words: no number, no "not" or "only" came or went


class Kind(StrEnum):
    """What kind of thing changed; the value is the word of the language."""

    OFFICE = "office"
    CALENDAR = "opening hours"
    SOURCE = "source"
    ROLE = "role"
    ZONE = "zone"
    FLOW = "flow"
    AREA = "area"
    PPE = "ppe"
    KIND = "kind"
    DEVICE = "device"
    ITEM = "item"
    CONDITION = "condition"
    SUPPLY = "supply"
    ACTION = "action"
    PROCEDURE = "procedure"
    TASK = "task"
    LOG = "log"
    TRAINING = "training"
    REQUIREMENT = "requirement"
    SET_ASIDE = "set aside"
    NOT_APPLICABLE = "not applicable"
    TERM = "term"
    PACK = "pack"
    VISIT = "visit"
    CIRCUIT = "circuit"
    CASELOAD = "caseload"
    MINIMUM = "minimum"
    BOUNDS = "bounds"


@dataclass(frozen=True, slots=True)
class Change:
    """One difference between two offices.

    `name` is the name in the new text (in the old one, when removed). `part` says which part of the thing, such as
    "step 4, Rinse"; `part_name` is that part's name in the text. `facet` says what about it; empty when the whole thing
    or part was added, removed, moved or renamed. `old` and `new` are in words; `before` and `after` the values.
    """

    kind: Kind
    name: str
    title: str
    how: How
    part: str = ""
    part_name: str = ""
    facet: str = ""
    old: str = ""
    new: str = ""
    old_span: Span | None = None
    new_span: Span | None = None
    before: object = field(default=None, repr=False, compare=False)
    after: object = field(default=None, repr=False, compare=False)

    @property
    def subject(self) -> str:
        """What changed, in words, without how."""
        words = [self.part] if self.part else []
        if self.facet:
            words.append(self.facet)
        return ": ".join(words)
