"""Finds which thing of the old text became which of the new, and what was moved."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Mapping, Sequence
from typing import TypeVar

from sopc.changes.meaning import likeness

Thing = TypeVar("Thing")
ALIKE_ENOUGH = 0.62
MOST_TRIED = 4000


def matched(old: Mapping[str, Thing], new: Mapping[str, Thing], words: Callable[[Thing], str]) -> list[tuple[str, str]]:
    """Pairs of old and new names: equal ones first, then those of what is left whose `words` are most alike.

    Each name stands in one pair at most; two things are taken for one only from 62 % likeness on.
    """
    pairs = [(name, name) for name in old if name in new]
    gone = [name for name in old if name not in new]
    come = [name for name in new if name not in old]
    if len(gone) * len(come) > MOST_TRIED:
        return pairs
    scored = sorted(
        (-likeness(words(old[one]), words(new[two])), place, two, one) for one in gone for place, two in enumerate(come)
    )
    used: set[tuple[str, str]] = set()
    for score, _, two, one in scored:
        if -score >= ALIKE_ENOUGH and ("old", one) not in used and ("new", two) not in used:
            used |= {("old", one), ("new", two)}
            pairs.append((one, two))
    return pairs


def staying(order: Sequence[int]) -> set[int]:
    """Places of a longest increasing subsequence: what need not be called moved (Schensted 1961).

    One thing carried elsewhere is one move, however far.
    """
    tails: list[int] = []  # smallest end of a run of each length
    places: list[int] = []
    before: list[int] = []
    for place, value in enumerate(order):
        length = bisect_left(tails, value)
        before.append(places[length - 1] if length else -1)
        if length == len(tails):
            tails.append(value)
            places.append(place)
        else:
            tails[length] = value
            places[length] = place
    kept: set[int] = set()
    place = places[-1] if places else -1
    while place >= 0:
        kept.add(place)
        place = before[place]
    return kept


def paired_elements(
    old: Sequence[Thing],
    new: Sequence[Thing],
    old_key: Callable[[Thing], Hashable],
    new_key: Callable[[Thing], Hashable],
    words: Callable[[Thing], str],
) -> list[tuple[Thing | None, Thing | None]]:
    """What differs between two unnamed series: pairs of old and new, None where one has no counterpart.

    Equal elements fall away wherever they stand; of the rest the most alike are one changed element.
    """
    rest = list(new)
    gone: list[Thing] = []
    for element in old:
        same = next((other for other in rest if new_key(other) == old_key(element)), None)
        if same is None:
            gone.append(element)
        else:
            rest.pop(next(place for place, other in enumerate(rest) if other is same))
    pairs: list[tuple[Thing | None, Thing | None]] = []
    while gone and rest:
        tried = [(likeness(words(one), words(two)), -i, -j) for i, one in enumerate(gone) for j, two in enumerate(rest)]
        _, one, two = max(tried)
        pairs.append((gone.pop(-one), rest.pop(-two)))
    pairs += [(element, None) for element in gone]
    pairs += [(None, element) for element in rest]
    return pairs
