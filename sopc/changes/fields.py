"""Compares two records field by field and says each difference once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Any

from sopc.changes.change import Change, How, Kind
from sopc.changes.matching import paired_elements
from sopc.changes.meaning import Names, field_key, is_record, key, same_but_for_words
from sopc.changes.saying import label, leaf_words, say
from sopc.model.nouns import Office, Procedure
from sopc.source import Span

ELEMENTWISE = {
    "signals", "checks", "records", "figures", "performs", "runs", "does", "schedules", "history", "citations", "notes",
    "phones", "holds", "stages", "bookings", "staff", "way_limits", "sentences",
}  # fmt: skip
"""Fields whose elements are compared one by one."""

PROSE_FIELDS = {
    "title", "purpose", "scope", "done", "notes", "when", "topics", "out_of_limits", "trainer", "text", "because",
    "question", "until", "publisher", "group",
}  # fmt: skip
"""Fields of free text, where other words may say the same."""

SKIPPED = {"name", "span", "overridden", "number", "parts", "limits", "columns", "programs"}


@dataclass(frozen=True, slots=True)
class View:
    """Where in the two offices a comparison stands, and what was renamed between them."""

    old: Office
    new: Office
    names: Names
    kind: Kind
    name: str
    title: str
    part: str = ""
    part_name: str = ""
    old_procedure: Procedure | None = None
    new_procedure: Procedure | None = None

    def change(
        self, how: How, facet: str, before: object, after: object, old_span: Span | None, new_span: Span | None
    ) -> Change:
        """One change seen from here, both sides put into words."""
        return Change(
            self.kind,
            self.name,
            self.title,
            how,
            self.part,
            self.part_name,
            facet,
            say(self.old, before, self.old_procedure),
            say(self.new, after, self.new_procedure),
            old_span,
            new_span,
            before,
            after,
        )


def compare_fields(
    view: View, before: object, after: object, leave_out: frozenset[str] = frozenset()
) -> Iterator[Change]:
    """Every field that differs; records of one class. `leave_out` names fields that someone else compares."""
    assert is_record(before)
    assert is_record(after)
    for each in fields(before):
        if each.name in SKIPPED or each.name in leave_out or each.name.endswith("span"):
            continue
        one, two = getattr(before, each.name), getattr(after, each.name)
        if field_key(each.name, one, view.names) == field_key(each.name, two):
            continue
        if each.name in ELEMENTWISE:
            yield from _elements(view, each.name, one, two, before, after)
        else:
            how = _how(each.name, one, two, view.names)
            old_span, new_span = _place(before, each.name, one), _place(after, each.name, two)
            yield view.change(how, label(each.name), one, two, old_span, new_span)


def _elements(view: View, name: str, old: Any, new: Any, before: object, after: object) -> Iterator[Change]:
    pairs = paired_elements(old, new, lambda item: key(item, view.names), key, leaf_words)
    if not pairs:
        yield view.change(How.MOVED, label(name), old, new, _place(before, name, None), _place(after, name, None))
    for one, two in pairs:
        how = _how(name, one, two, view.names)
        yield view.change(how, label(name), one, two, _place(before, name, one), _place(after, name, two))


def _how(name: str, old: object, new: object, names: Names) -> How:
    if old in (None, (), ""):
        return How.ADDED
    if new in (None, (), ""):
        return How.REMOVED
    free = name in PROSE_FIELDS or not isinstance(old, str)
    return How.REWORDED if free and same_but_for_words(old, new, names) else How.CHANGED


def _place(record: object, name: str, value: object) -> Span | None:
    """The span of a value: its own, the one kept beside its field, or that of the record it stands in."""
    own = getattr(value, "span", None)
    beside = getattr(record, f"{name}_span", None)
    first = value[0].span if isinstance(value, tuple) and value and hasattr(value[0], "span") else None
    return own or beside or first or getattr(record, "span", None)
