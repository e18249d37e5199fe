"""A supply made for the work: random procedures that sopc accepts never find it too old, and those told do."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from sopc.findings import Severity
from sopc.library import check, load_text
from tests.playthrough.runs import played
from tests.playthrough.test_random_procedures import TRADE, bodies

TODAY = date(2026, 12, 1)


@st.composite
def offices(draw: st.DrawFn) -> str:
    """A task that makes a bath for each load and performs a random procedure; some of its steps use the bath."""
    inner, inside = draw(bodies("r", 2, acting=False))
    body, names = draw(bodies("s", 5, acting=False))
    keeps = draw(st.integers(5, 200))
    text = f'{TRADE}supply bath "Bath" {{ use within {keeps} min }}\n'
    text += 'task load "Load" { by assistant  each load of tumbler  perform work  renews bath }\n'
    text += f'procedure extra "Extra" {{ by assistant\n{inner}}}\nprocedure work "Work" {{ by assistant\n{body}}}\n'
    for name in draw(st.lists(st.sampled_from([*inside, *names]), min_size=1, max_size=3, unique=True)):
        text = text.replace(f'step {name} "{name}" {{', f'step {name} "{name}" {{ using bath ')
    return text


def hold(text: str) -> None:
    office, findings = load_text(text)
    assert office is not None, findings
    findings += check(office, TODAY)
    told = [each for each in findings if each.code == "S06"]
    refused = [each for each in findings if each.severity is not Severity.REMARK and each.code[0] in "OTP"]
    assume(not refused)
    broken = [each for each in played(office, 60, seed=1, names=["work"]).of("time") if "bath keeps" in each.text]
    event(f"told: {bool(told)}, too old: {bool(broken)}")
    assert bool(told) >= bool(broken), text
    sure = [each for each in told if re.search("has done with it|first used", each.sentence)]
    if sure and "extra" not in text.split("procedure work")[1]:
        assert list(played(office, 500, seed=2, names=["work"]).of("time")), text


@settings(max_examples=25, deadline=None)
@given(offices())
def test_what_is_accepted_is_never_used_too_old(text: str) -> None:
    hold(text)


@pytest.mark.long
@settings(max_examples=2_000, deadline=None)
@given(offices())
def test_what_is_accepted_is_never_used_too_old_in_thousands(text: str) -> None:
    hold(text)
