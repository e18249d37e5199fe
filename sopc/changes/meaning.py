"""Reduces values to what they mean, so that formatting, order and spelling of the same quantity make no difference."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from difflib import SequenceMatcher
from enum import Enum
from fractions import Fraction
from typing import Any, TypeGuard

from sopc.model.nouns import (
    Booking,
    Check,
    Choice,
    Column,
    Duration,
    Figure,
    PastRevision,
    Schedule,
    Signal,
    Step,
    Stop,
    Term,
    Together,
    Way,
)
from sopc.model.sentences import Sentence, Thing, Trait
from sopc.source import Span
from sopc.trade.quantities import Quantity

Names = Mapping[str, str]
"""Old names to new ones, for what was renamed."""

ORDERLESS = {
    "stands_in_for", "citations", "meets", "excludes", "needs", "brings", "undoes", "only_for", "never_for", "with_any",
    "not_with", "suits", "wearing", "using", "materials", "handles", "from_conditions", "to_conditions", "roles",
    "chairs", "weekdays", "staff", "covers", "renews", "unless", "loses", "does", "holds", "schedules",
    "loads", "kinds", "strength", "only_after", "again_after", "admits", "keeps", "only", "fixed", "protects", "any_of",
    "once_off",
}  # fmt: skip
"""Fields whose order says nothing."""

FOLLOWS_FROM_OTHERS: dict[type, frozenset[str]] = {
    Duration: frozenset({"decider_stated"}),
    Schedule: frozenset({"complete", "text"}),
    Booking: frozenset({"text"}),
    Step: frozenset({"number"}),
    Choice: frozenset({"number"}),
    Together: frozenset({"number"}),
    Sentence: frozenset({"text"}),
    Thing: frozenset({"text"}),
    Trait: frozenset({"text"}),
}
"""Fields that the builder derives; what they derive from is compared."""

PROSE: dict[type, tuple[str, ...]] = {
    Check: ("question",),
    Stop: ("text",),
    Signal: ("text",),
    Figure: ("caption",),
    Choice: ("question",),
    Way: ("title", "when"),
    PastRevision: ("what",),
    Duration: ("until",),
    Column: ("title",),
    Term: ("text",),
    Schedule: ("event",),
}
"""Fields that are free text for a reader."""

WEIGHTY = re.compile(
    r"\d+(?:[.,]\d+)*|\b(?:not?|never|none|only|must|may|always|unless|without|before|after|until|at least|at most|"
    r"more|less|over|under|all|any|each|every|both|either|left|right|yes|cannot|can't|don't|do|stop|fail|pass|"
    r"one|two|three|four|five|six|seven|eight|nine|ten|twice|once|half|double)\b|[%°]",
    re.IGNORECASE,
)
"""What makes other words say something else: numbers, negations, limits, order."""


def is_record(value: object) -> TypeGuard[Any]:
    """Whether a value is one of the frozen records."""
    return is_dataclass(value) and not isinstance(value, type)


def key(value: object, names: Names | None = None, bare: bool = False) -> object:
    """What a value means, to be compared. Old `names` are read as new ones; with `bare`, free text is left out."""
    names = names or {}
    if isinstance(value, Quantity):
        return (value.dimension, value.base)
    if isinstance(value, Span) or value is None:
        return None
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, str):
        return names.get(value, " ".join(value.split()))
    if isinstance(value, int | Fraction | date):
        return value
    if isinstance(value, Mapping):
        return frozenset((key(name, names, bare), key(item, names, bare)) for name, item in value.items())
    if isinstance(value, frozenset):
        return frozenset(key(item, names, bare) for item in value)
    if isinstance(value, tuple):
        return tuple(key(item, names, bare) for item in value)
    return _record_key(value, names, bare)


def _record_key(value: object, names: Names, bare: bool) -> object:
    if not is_record(value):
        return repr(value)
    prose = PROSE.get(type(value), ()) if bare else ()
    found: list[object] = [type(value).__name__]
    for each in fields(value):
        derived = FOLLOWS_FROM_OTHERS.get(type(value), frozenset())
        if each.name in derived or each.name in prose or each.name.endswith("span"):
            continue
        found.append(field_key(each.name, getattr(value, each.name), names, bare))
    return tuple(found)


def field_key(name: str, value: object, names: Names | None = None, bare: bool = False) -> object:
    """The key of a field's value; the order of its parts counts only where it says something."""
    if name in ORDERLESS and isinstance(value, tuple):
        counted = Counter(key(item, names, bare) for item in value)
        return frozenset(counted.items())
    if name == "roles" and isinstance(value, tuple):
        return frozenset(key(item, names, bare) for item in value)
    return key(value, names, bare)


def prose_of(value: object) -> str:
    """All free text in a value, in one line."""
    if isinstance(value, tuple):
        return " ".join(prose_of(item) for item in value)
    if not is_record(value):
        return ""
    words = [str(getattr(value, name)) for name in PROSE.get(type(value), ())]
    words += [prose_of(getattr(value, each.name)) for each in fields(value) if not each.name.endswith("span")]
    return " ".join(word for word in words if word)


def same_but_for_words(old: object, new: object, names: Names) -> bool:
    """Whether two values differ in free text only, and that text says the same in other words."""
    if isinstance(old, str) and isinstance(new, str):
        return merely_worded(old, new)
    if old is None or new is None or key(old, names, bare=True) != key(new, None, bare=True):
        return False
    return merely_worded(prose_of(old), prose_of(new))


def merely_worded(old: str, new: str) -> bool:
    """Whether a text was put in other words: no number, negation or word of order came or went, and much of it stayed.

    Errs on the side of "changed": people then train once too often rather than once too seldom.
    """
    weighty = [Counter(word.casefold() for word in WEIGHTY.findall(text)) for text in (old, new)]
    return bool(old and new) and weighty[0] == weighty[1] and likeness(old, new) >= 0.4


def likeness(old: str, new: str) -> float:
    """How alike two texts are, 0 to 1, word by word and letter by letter, whichever is more."""
    letters = SequenceMatcher(None, old.casefold(), new.casefold(), autojunk=False).ratio()
    words = SequenceMatcher(None, old.casefold().split(), new.casefold().split(), autojunk=False).ratio()
    return max(letters, words)
