"""A share of the seeded faults: what must always be caught is caught, and what does no harm is not flagged."""

from __future__ import annotations

import pytest

from sopc.findings import Severity
from tests.faults.catalogue import demo, drawn, kinds
from tests.faults.kinds import Kind
from tests.faults.report import Tally
from tests.faults.trial import Verdict

SURE = [kind for kind in kinds() if kind.sure]
HARMLESS = [kind for kind in kinds() if not kind.harmful]


def lives(kind: Kind, most: int, seed: int) -> list[str]:
    """What was not caught of a share of this kind."""
    made = drawn(demo().protocol, kind, most, seed)
    assert made
    return [f"{each.where}: {each.what}" for each in made if not demo().catches(each)]


@pytest.mark.parametrize("kind", SURE, ids=lambda kind: kind.name)
def test_every_fault_of_a_sure_kind_is_caught(kind: Kind) -> None:
    assert lives(kind, 3, seed=1) == []


@pytest.mark.parametrize("kind", HARMLESS, ids=lambda kind: kind.name)
def test_what_does_no_harm_is_not_flagged(kind: Kind) -> None:
    made = drawn(demo().protocol, kind, 2, seed=1)
    outcomes = list(demo().judge_all((kind.name, each) for each in made))
    assert [each for each in outcomes if each.verdict is Verdict.CAUGHT] == []


@pytest.mark.parametrize("every", [21, pytest.param(1, marks=pytest.mark.long)])
def test_going_no_further_than_the_first_finding_catches_the_same(every: int) -> None:
    tried = [(kind, mutant) for kind in kinds()[::every] for mutant in drawn(demo().protocol, kind, 1, seed=2)]
    caught = [mutant for _, mutant in tried if demo().catches(mutant)]
    assert caught == [mutant for kind, mutant in tried if demo().judge(kind.name, mutant).verdict is Verdict.CAUGHT]
    all_found = [(mutant, demo().office_of(mutant)[1]) for _, mutant in tried]
    assert caught == [
        mutant for mutant, found in all_found if any(each.severity is not Severity.REMARK for each in found)
    ]
    assert 0 < len(caught) < len(tried)


def test_trying_mutants_leaves_the_office_as_it_was() -> None:
    kind = next(kind for kind in kinds() if kind.name == "drop a step")
    list(demo().judge_all((kind.name, each) for each in drawn(demo().protocol, kind, 2, seed=1)))
    assert demo().read(demo().texts)[1] == []


def test_the_share_caught_leaves_out_what_does_no_harm() -> None:
    tally = Tally()
    tally.verdicts.update([Verdict.CAUGHT] * 3 + [Verdict.EXCUSED] * 5 + [Verdict.MISSED])
    assert (tally.made, tally.harmless, tally.missed, tally.share) == (9, 5, 1, 0.75)
