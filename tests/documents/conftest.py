"""The small office that tests of printed documents work on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import sopc
from sopc.model.nouns import Office

FOLDER = Path(__file__).parent / "small_office"


@pytest.fixture(scope="session")
def office() -> Office:
    """An office that uses each thing a printed document has to show."""
    made, findings = sopc.load(FOLDER)
    assert made is not None, findings
    return made


@pytest.fixture(scope="session")
def rewritten() -> Callable[..., Office]:
    """Give the same office with passages of one of its files written anew."""

    def rewrite(file: str, passages: dict[str, str]) -> Office:
        texts = {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.sop")}
        for was, now in passages.items():
            assert texts[file].count(was) == 1
            texts[file] = texts[file].replace(was, now)
        made, findings = sopc.load_text(texts)
        assert made is not None, findings
        return made

    return rewrite
