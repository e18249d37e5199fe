"""Real offices spoilt at random, and texts made by the grammar: findings with places, and an end to it."""

from __future__ import annotations

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sopc.language.folder import TextFolder
from sopc.model.nouns import Office
from tests.fuzz.offices import Texts, demo, hosts
from tests.fuzz.pipeline import bounded, go_through, judge
from tests.fuzz.spoiling import KEEPING_FORM, WAYS, declarations, spoilt

SEEDS = st.integers(0, 2**32 - 1)
ALL = list(HealthCheck)
_sound: dict[int, Office | None] = {}


def spoilt_office(draw: random.Random, ways: tuple[int, ...] = (1, 1, 2, 3, 5)) -> tuple[int, Texts]:
    """A small office with one of its texts spoilt, and which of them it was."""
    number = draw.randrange(5) if draw.random() < 0.6 else draw.randrange(len(hosts()))
    texts = hosts()[number]
    name = draw.choice(sorted(texts))
    kinds = KEEPING_FORM if draw.random() < 0.7 else WAYS
    return number, {**texts, name: spoilt(draw, texts[name], draw.choice(ways), kinds)}


def try_office(draw: random.Random) -> None:
    """Go the whole way with a spoilt office, and compare it with the sound one."""
    with bounded():
        number, texts = spoilt_office(draw)
        if number not in _sound:
            _sound[number] = judge(TextFolder(hosts()[number])).office
        go_through(TextFolder(texts), _sound[number])


def try_demo(draw: random.Random, texts: Texts) -> None:
    """Spoil one text of the demo office, read and check it."""
    name = draw.choice(sorted(texts))
    changed = {**texts, name: spoilt(draw, texts[name], draw.choice((1, 1, 2)), KEEPING_FORM)}
    with bounded():
        judge(TextFolder(changed))


@settings(max_examples=30, suppress_health_check=ALL)
@given(SEEDS)
def test_no_spoilt_office_is_a_fault_of_the_program(seed: int) -> None:
    try_office(random.Random(seed))


@settings(max_examples=20, suppress_health_check=ALL)
@given(SEEDS)
def test_no_text_made_by_the_grammar_is_a_fault_of_the_program(seed: int) -> None:
    with bounded():
        go_through(TextFolder({"office.sop": declarations(random.Random(seed), "")}))


@pytest.mark.long
@settings(max_examples=4000, suppress_health_check=ALL)
@given(SEEDS)
def test_none_of_very_many_spoilt_offices_is_a_fault_of_the_program(seed: int) -> None:
    try_office(random.Random(seed))


@pytest.mark.long
@settings(max_examples=500, suppress_health_check=ALL)
@given(SEEDS, st.sampled_from(("2026-09", "2026-12")))
def test_no_spoilt_demo_is_a_fault_of_the_program(seed: int, revision: str) -> None:
    try_demo(random.Random(seed), demo(revision))
