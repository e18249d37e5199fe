"""Does one of the ways of a choice always fit: numbers without a gap, every class of item, or a way for all else?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from sopc.checks.figures.ranges import gap, gap_of_counts, range_of
from sopc.checks.report import finding, listed
from sopc.findings import Finding, Note
from sopc.model.nouns import Category, Choice, Item, Office, Part, Procedure, Property, Step

_FRAME = re.compile(r"^(?:(?:the|an?|all|for)\s+)?(?:items?\s+)?(?:(?:is|are)\s+)?(.*?)(?:\s+items?)?$")
_CATEGORIES = tuple(Property(category) for category in Category)
_HEAT = (Property.HEAT_STABLE, Property.HEAT_SENSITIVE)


def check(office: Office) -> Iterator[Finding]:
    """Hold what questions with several ways promise.

    Where each way says when it is taken:

    1. Numbers, yes and no, and classes of items leave nothing out (O22).
    2. Where nobody can tell from the words, there is a way for all else (O23).
    """
    for procedure in office.procedures.values():
        for choice in choices_of(procedure.parts):
            yield from _choice(office, procedure, choice)


def choices_of(parts: Sequence[Part]) -> Iterator[Choice]:
    """All choices among these parts, those inside ways and branches included."""
    for part in parts:
        if isinstance(part, Step):
            continue
        if isinstance(part, Choice):
            yield part
        for inside in part.ways if isinstance(part, Choice) else part.branches:
            yield from choices_of(inside.parts)


def _choice(office: Office, procedure: Procedure, choice: Choice) -> Iterator[Finding]:
    said = [way.when for way in choice.ways]
    stated = all(said)
    if not stated and any(said):
        return  # what says nothing is for all else
    words = [_plain(text) for text in (said if stated else [way.title for way in choice.ways])]
    left_out = _left_out(office, procedure, words)
    if left_out:
        yield _gap(choice, left_out)
    elif left_out is None and stated:
        yield _undecided(choice)


def _plain(text: str) -> str:
    """The condition itself: without what explains it behind a colon, a bracket or a semicolon."""
    return " ".join(re.split(r"[:;(]", text, maxsplit=1)[0].casefold().split()).rstrip(".")


def _left_out(office: Office, procedure: Procedure, words: Sequence[str]) -> str | None:
    """What none of these conditions is for: empty when one always fits, None when that cannot be told."""
    if _denied(words):
        return ""
    ranges = [range_of(text) for text in words]
    known = [each for each in ranges if each is not None]
    if len(known) == len(ranges) and len({each.dimension for each in known}) == 1:
        return gap(known) if known[0].dimension else gap_of_counts(known)
    kinds = [_kinds(text) for text in words]
    sure = [each for each in kinds if each is not None]
    return _unclassed(office, procedure, sure) if len(sure) == len(kinds) else None


def _denied(words: Sequence[str]) -> bool:
    """Whether one of them denies another word for word: yes and no, clean and not clean."""
    found = set(words)
    return {"yes", "no"} <= found or any(f"{no} {text}" in found for text in found for no in ("not", "no"))


# ── Classes of items ────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Kind:
    """One property an item has, or has not."""

    property: Property
    has: bool


_Kinds = tuple[tuple[_Kind, ...], ...]  # any of these, each all of those


def _kinds(text: str) -> _Kinds | None:
    """The classes that a condition names: “critical or heat sensitive”, “not hollow”; None for other words."""
    framed = _FRAME.match(text)
    found: list[tuple[_Kind, ...]] = []
    for either in re.split(r",| or ", framed[1] if framed else text):
        both = [_kind(each.strip()) for each in either.split(" and ")]
        known = tuple(each for each in both if each is not None)
        if len(known) != len(both):
            return None
        found.append(known)
    return tuple(found)


def _kind(text: str) -> _Kind | None:
    name = text.removeprefix("not ")
    try:
        return _Kind(Property(name), name == text)
    except ValueError:
        return None


def _unclassed(office: Office, procedure: Procedure, kinds: Sequence[_Kinds]) -> str:
    """The item handled here, or without any the class, that none of these is for."""
    handled = [office.items[name] for name in procedure.handles if name in office.items]
    for item in handled:
        for properties in _possible(item, kinds):
            if not any(_fits(properties, each) for each in kinds):
                return f"{item.title}, which is {_said(properties, kinds)}"
    if not handled:
        for properties in _possible(None, kinds):
            if not any(_fits(properties, each) for each in kinds):
                return f"items that are {_said(properties, kinds)}"
    return ""


def _possible(item: Item | None, kinds: Sequence[_Kinds]) -> Iterator[frozenset[Property]]:
    """What the item is; where the text does not say, each of what it may be."""
    own = frozenset() if item is None else item.properties
    named = {each.property for way in kinds for both in way for each in both}
    groups: list[tuple[Property | None, ...]] = []
    for group in (_CATEGORIES, _HEAT):
        known = tuple(each for each in group if each in own)
        groups.append(known or (group if named & set(group) else (None,)))
    rest = sorted(named - set(_CATEGORIES) - set(_HEAT))
    groups += [(each,) if each in own else (None,) if item is not None else (None, each) for each in rest]
    for chosen in product(*groups):
        yield frozenset(each for each in chosen if each is not None)


def _fits(properties: frozenset[Property], kinds: _Kinds) -> bool:
    return any(all((each.property in properties) == each.has for each in both) for both in kinds)


def _said(properties: frozenset[Property], kinds: Sequence[_Kinds]) -> str:
    named = {each.property for way in kinds for both in way for each in both}
    groups = [group for group in (_CATEGORIES, _HEAT) if named & set(group)]
    told = [str(each) for each in sorted(properties) if any(each in group for group in groups) or each in named]
    grouped = {each for group in groups for each in group}
    told += [f"not {each}" for each in sorted(named - properties - grouped)]
    return listed(told)


# ── In words ────────────────────────────────────────────────────────────────────────────────────


def _gap(choice: Choice, left_out: str) -> Finding:
    return finding(
        "O22",
        choice.span,
        f"“{choice.question}”: nothing is said for {left_out}.",
        floor="Someone stands before the page with just this case, and none of the ways is theirs.",
        fix="Move the border of one of the ways, add a `way` for it, or let one say no `when`: it is for all else.",
        notes=[Note(f"“{way.title}”", way.span) for way in choice.ways],
    )


def _undecided(choice: Choice) -> Finding:
    return finding(
        "O23",
        choice.span,
        f"“{choice.question}”: each way says when it is taken, and nothing says that one of them always fits.",
        floor="A case that nobody thought of has no way; staff take the nearest one, or none.",
        fix="Leave out the `when` of the way that is right for all else: it prints as “otherwise”. Or add one.",
        notes=[Note(f"“{way.title}” when {way.when}", way.span) for way in choice.ways],
    )
