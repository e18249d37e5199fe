"""All kinds of fault in one place, the offices they are tried on, and how a share of mutants is drawn."""

from __future__ import annotations

import random
from datetime import date
from functools import cache
from pathlib import Path

from tests.faults import (
    flow_faults,
    form_faults,
    harmless_changes,
    keeping_faults,
    number_faults,
    people_faults,
    trade_faults,
)
from tests.faults.kinds import KINDS, Kind, Mutant
from tests.faults.protocol import Protocol, texts_of
from tests.faults.trial import Bench

PROTOCOLS = Path(__file__).resolve().parents[2] / "protocols"
TODAY = date(2026, 12, 2)
MODULES = (
    flow_faults,
    number_faults,
    people_faults,
    trade_faults,
    keeping_faults,
    form_faults,
    harmless_changes,
)


def kinds() -> tuple[Kind, ...]:
    """Every kind of change that is known, those that do no harm last."""
    assert MODULES
    return tuple(KINDS.values())


@cache
def demo() -> Bench:
    """The demo office as it is in force, read once."""
    return Bench(texts_of(PROTOCOLS / "larkspur_pass" / "2026-12", PROTOCOLS / "packs"), TODAY)


def drawn(protocol: Protocol, kind: Kind, most: int, seed: int) -> list[Mutant]:
    """All mutants of a kind, or `most` of them drawn by `seed`, in the order of the text."""
    made = list(kind.make(protocol))
    if len(made) <= most:
        return made
    chosen = sorted(random.Random(f"{seed} {kind.name}").sample(range(len(made)), most))
    return [made[place] for place in chosen]
