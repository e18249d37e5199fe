"""The office whose text the tests change, and the way they change it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from sopc.library import load_text
from sopc.model.nouns import Office

FOLDER = Path(__file__).parent.parent / "documents" / "small_office"
TEXTS = {path.name: path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.sop"))}


def built(texts: dict[str, str]) -> Office:
    """The office these texts make; they must be free of errors."""
    made, findings = load_text(texts)
    assert made is not None, [str(finding) for finding in findings]
    return made


@pytest.fixture(scope="session")
def office() -> Office:
    """The office before any change."""
    return built(TEXTS)


@pytest.fixture(scope="session")
def edited() -> Callable[..., Office]:
    """Make the office with pieces of its text replaced: pairs of what stands there once and what shall."""

    def edit(*pairs: tuple[str, str]) -> Office:
        texts = dict(TEXTS)
        for was, becomes in pairs:
            places = [name for name, text in texts.items() if was in text]
            assert len(places) == 1, f"{was!r} stands in {places}"
            texts[places[0]] = texts[places[0]].replace(was, becomes)
        return built(texts)

    return edit
