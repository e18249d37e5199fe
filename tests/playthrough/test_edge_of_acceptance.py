"""Offices that sopc only just accepts are played through, and nothing may go wrong on the floor."""

from __future__ import annotations

import pytest

from tests.playthrough.runs import played
from tests.playthrough.small_works import TRADE, accepted

WRONG = ("order", "promise", "lost", "loop", "step", "time")


def wrong(seeds: range, timed: bool, runs: int) -> tuple[int, list[str]]:
    """How many of the offices drawn are accepted, and what goes wrong in the first of them that fails."""
    count = 0
    for seed in seeds:
        found = accepted(seed, timed)
        if found is None:
            continue
        count += 1
        breaches = played(found[1], runs, seed, names=["work"]).of(*WRONG)
        if breaches:
            return count, [f"seed {seed}", *map(str, breaches), found[0].removeprefix(TRADE)]
    return count, []


@pytest.mark.parametrize("timed", [False, True])
def test_nothing_goes_wrong_at_the_edge_of_acceptance(timed: bool) -> None:
    count, breaches = wrong(range(1080, 1100), timed, 30)
    assert breaches == []
    assert count >= 7


@pytest.mark.long
@pytest.mark.parametrize("timed", [False, True])
def test_nothing_goes_wrong_in_thousands_at_the_edge_of_acceptance(timed: bool) -> None:
    assert wrong(range(1500), timed, 60)[1] == []
