"""The small office that tests of printed documents work on."""

from __future__ import annotations

from pathlib import Path

import pytest

import sopc
from sopc.model.nouns import Office


@pytest.fixture(scope="session")
def office() -> Office:
    """An office that uses each thing a printed document has to show."""
    made, findings = sopc.load(Path(__file__).parent / "small_office")
    assert made is not None, findings
    return made
