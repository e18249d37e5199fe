"""Seeded faults that sopc accepts, played through: what breaks on the floor should have been refused."""

from __future__ import annotations

import pytest

from sopc.findings import Severity
from tests.faults.catalogue import demo, drawn, kinds
from tests.faults.kinds import Kind
from tests.playthrough.runs import played

FAMILIES = ("order", "time", "machines", "supplies", "units", "people", "places", "items", "rules")
SPOILING = [kind for kind in kinds() if kind.harmful and kind.family in FAMILIES]
RUNS = 400


def accepted_that_break(kind: Kind, most: int, seed: int) -> list[str]:
    """Mutants of this kind that give no error and no warning, and break something when played."""
    found: list[str] = []
    for mutant in drawn(demo().protocol, kind, most, seed):
        office, fresh = demo().office_of(mutant)
        if office is None or any(each.severity is not Severity.REMARK for each in fresh):
            continue
        breaches = played(office, RUNS, seed).of()
        found += [f"{mutant.where}: {mutant.what}: {breaches[0]}"] if breaches else []
    return found


@pytest.mark.long
@pytest.mark.parametrize("kind", SPOILING, ids=lambda kind: kind.name)
def test_no_accepted_mutant_breaks_on_the_floor(kind: Kind) -> None:
    assert accepted_that_break(kind, 25, seed=11) == []


@pytest.mark.parametrize("name", ["shorten a contact time to a tenth", "drop a step"])
def test_no_accepted_mutant_of_a_few_breaks_on_the_floor(name: str) -> None:
    kind = next(kind for kind in SPOILING if kind.name == name)
    assert accepted_that_break(kind, 4, seed=5) == []
