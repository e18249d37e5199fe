"""Every code that the compiler can give is registered and explained, and every registered one can be given."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import sopc
from sopc.findings.explain import listing, long_form, page
from sopc.findings.registry import Code, codes

OF_THE_TEXT = [entry for entry in codes().values() if entry.code[0] in "RFNQ"]
PACKAGE = Path(sopc.__file__).parent
EMITTED = re.compile(r'"([A-Z][0-9]{2})"')


def emitted() -> set[str]:
    """Codes that stand in the package's own text, outside of the registry."""
    files = [path for path in PACKAGE.rglob("*.py") if path.parent.name != "codes"]
    return {code for path in files for code in EMITTED.findall(path.read_text(encoding="utf-8"))}


def test_every_code_that_is_given_is_registered() -> None:
    assert emitted() - set(codes()) == set()


def test_every_registered_code_is_given_somewhere() -> None:
    assert set(codes()) - emitted() == set()


@pytest.mark.parametrize("entry", codes().values(), ids=lambda entry: entry.code)
def test_an_explanation_is_more_than_a_title(entry: Code) -> None:
    assert len(entry.explanation.split()) > 10


@pytest.mark.parametrize("entry", OF_THE_TEXT, ids=lambda entry: entry.code)
def test_an_explanation_shows_what_is_wrong_and_what_is_right(entry: Code) -> None:
    assert "Not so" in entry.explanation
    assert "But so" in entry.explanation


@pytest.mark.parametrize("entry", OF_THE_TEXT, ids=lambda entry: entry.code)
def test_the_long_form_fits_a_terminal(entry: Code) -> None:
    assert max(map(len, long_form(entry).split("\n"))) <= 120


def test_the_listing_names_every_code_once() -> None:
    assert [line.split()[0] for line in listing().splitlines() if line.startswith("  ")] == list(codes())


def test_the_reference_page_of_codes_is_the_registry_as_it_is() -> None:
    page_in_the_house = PACKAGE.parent / "grammar" / "CODES.md"
    assert page_in_the_house.read_text(encoding="utf-8") == page(), (
        "make it anew: sopc explain --all > grammar/CODES.md"
    )
