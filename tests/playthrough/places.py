"""Places in the text of a procedure: what stands there, what follows, what lies around."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.model.nouns import Branch, Choice, Part, Procedure, Step, Way

Place = tuple[int, ...]  # index of a part; inside it the number of the way or branch and the index there; and so on


def part_at(procedure: Procedure, place: Place) -> Part | None:
    """The part at a place, or None past the end of its list."""
    parts = procedure.parts
    for part, inside in zip(place[:-1:2], place[1::2], strict=True):
        parts = _insides(parts[part])[inside].parts
    return parts[place[-1]] if place[-1] < len(parts) else None


def following(place: Place) -> Place:
    """The next place in the same list."""
    return (*place[:-1], place[-1] + 1)


def outwards(place: Place, depth: int) -> Place | None:
    """From the end of a list to what follows what is around it; None at the end of a list of this depth or less."""
    return None if len(place) <= max(depth, 1) else following(place[:-2])


def steps_with_places(parts: tuple[Part, ...], around: Place) -> Iterator[tuple[Place, Step]]:
    """All steps with where they stand."""
    for number, part in enumerate(parts):
        here = (*around, number)
        if isinstance(part, Step):
            yield here, part
            continue
        for which, inside in enumerate(_insides(part)):
            yield from steps_with_places(inside.parts, (*here, which))


def _insides(part: Part) -> tuple[Way | Branch, ...]:
    """The ways or branches of a part; none of a step."""
    if isinstance(part, Step):
        return ()
    return part.ways if isinstance(part, Choice) else part.branches
