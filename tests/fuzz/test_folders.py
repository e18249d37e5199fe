"""Whole office folders at random through the commands: the right exit status, and no fault of sopc."""

from __future__ import annotations

import contextlib
import io
import json
import random
import tempfile
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sopc.cli import CLEAN, FAULT, FOUND, WRONG_USE, run
from sopc.documents import day_plan
from tests.fuzz import folders
from tests.fuzz.pipeline import FEW, TODAY, bounded

SEEDS = st.integers(0, 2**32 - 1)
ALL = list(HealthCheck)


def told(*words: str) -> tuple[int, str, str]:
    """Exit status, output and messages of a command; both must be sayable in UTF-8."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
    quick = patch.multiple(day_plan, **FEW)
    with bounded(), quick, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = run(list(words))
    assert isinstance(out.buffer, io.BytesIO)
    assert isinstance(err.buffer, io.BytesIO)
    return status, out.buffer.getvalue().decode(), err.buffer.getvalue().decode()


def try_folder(draw: random.Random) -> None:
    with tempfile.TemporaryDirectory() as base:
        office = Path(base) / "office"
        folders.build(draw, office)
        form = draw.choice(("text", "json", "sarif"))
        status, output, messages = told("check", str(office), "--today", str(TODAY), "--format", form)
        assert status in (CLEAN, FOUND), messages
        if form != "text":
            said = json.loads(output)
            levels = [each["severity"] for each in said["findings"]] if form == "json" else []
            levels += [each["level"] for each in said["runs"][0]["results"]] if form == "sarif" else []
            assert ("error" in levels) == (status == FOUND)
        for others in (("plan", str(office), "--runs", "2"), ("diff", str(office), str(office))):
            status, output, messages = told(*others, "--today", str(TODAY))
            assert status != FAULT, messages
            assert status == CLEAN or messages.strip()
        assert status in (CLEAN, FOUND, WRONG_USE)
        assert str(Path(base).parent / "outside") not in output


@settings(max_examples=20, suppress_health_check=ALL)
@given(SEEDS)
def test_no_folder_is_a_fault_of_the_program(seed: int) -> None:
    try_folder(random.Random(seed))


@pytest.mark.long
@settings(max_examples=1500, suppress_health_check=ALL)
@given(SEEDS)
def test_none_of_very_many_folders_is_a_fault_of_the_program(seed: int) -> None:
    try_folder(random.Random(seed))
