"""Does the flow lead one way: on every circle of ways between zones, is there one that not everything may go?"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from sopc.checks.report import asked_by, finding, listed
from sopc.checks.rooms.borders import Borders
from sopc.findings import Finding
from sopc.model.nouns import Passage


def check(borders: Borders) -> Iterator[Finding]:
    """Hold that on every circle of ways some way, or the zone it leads to, asks for something (Z07).

    The last way of the text that closes such a circle is the one that is told of.
    """
    free: list[Passage] = []
    for passage in borders.office.flow:
        if borders.asked(passage.source, passage.target):
            continue
        back = _shortest(free, passage.target, passage.source)
        free.append(passage)
        if back:
            yield _closed(borders, passage, back)


def _shortest(free: Iterable[Passage], start: str, goal: str) -> list[str]:
    """The zones on the shortest way from one to the other, both included; empty when there is none."""
    came: dict[str, list[str]] = {start: [start]}
    queue = deque((start,))
    while queue and goal not in came:
        here = queue.popleft()
        for passage in free:
            if passage.source == here and passage.target not in came:
                came[passage.target] = [*came[here], passage.target]
                queue.append(passage.target)
    return came.get(goal, [])


def _closed(borders: Borders, passage: Passage, back: list[str]) -> Finding:
    source, target = borders.zone(passage.source), borders.zone(passage.target)
    between = [f"“{borders.zone(zone)}”" for zone in back[1:-1]]
    by = f", by {listed(between)}," if between else ""
    return finding(
        "Z07",
        passage.span,
        f"From “{source}” anything may go to “{target}” and{by} back again: none of these ways asks for a condition.",
        floor="What is soiled and what is clean go to and fro, and the flow keeps nothing apart.",
        fix=f"Say what alone may go back (`flow {passage.source} to {passage.target} only …`), or what the zone "
        f"takes in (`admits …`); or strike the way.",
        asked_by=asked_by(borders.office, *(borders.office.zones[zone] for zone in back)),
    )
