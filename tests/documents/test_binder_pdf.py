"""From a small office to paper and back: what a PDF reader finds on the pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path

import pypdfium2
import pytest

import sopc
from sopc.documents.binder import binder_documents, blank_backs
from sopc.documents.frame import CAUTION
from sopc.render.pdf import write_pdf

TODAY = date(2026, 11, 25)
SMALL = Path(__file__).parent / "small_office"


@lru_cache(maxsize=4)
def pages_of(id: str, paper: str = "a4") -> tuple[str, ...]:
    office, _ = sopc.load(SMALL)
    assert office is not None
    office = replace(office, premises=replace(office.premises, paper=paper))
    document = next(each for each in binder_documents(office, TODAY) if each.id == id)
    complaints: list[str] = []
    data = write_pdf(document.html, document.assets, TODAY, warn=complaints.append)
    assert complaints == []
    pdf = pypdfium2.PdfDocument(data)
    return tuple(" ".join(page.get_textpage().get_text_bounded().replace("\u00a0", " ").split()) for page in pdf)


def test_each_page_says_which_page_of_how_many_of_its_own_document() -> None:
    pages = pages_of("SOP-06")
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page


def test_each_page_carries_the_frame() -> None:
    for page in pages_of("SOP-06"):
        for mark in (
            "Two Birches Dental",
            "SOP-06",
            "Revision 3",
            "NOT YET EFFECTIVE",
            "effective 1 Dec 2026",
            "Source",
        ):
            assert mark in page
        assert CAUTION[:70] in page


def test_the_document_ends_with_an_end_mark() -> None:
    assert "END OF SOP-06" in pages_of("SOP-06")[-1]


def test_all_step_numbers_and_titles_are_read_back_in_order() -> None:
    text = " ".join(pages_of("SOP-06"))
    office, _ = sopc.load(SMALL)
    assert office is not None
    titles = [step.title for step in office.procedures["reprocess"].steps() if "pouch" not in step.title]
    places = [text.index(title) for title in titles]
    assert places == sorted(places)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_step_and_its_caution_share_a_page(paper: str) -> None:
    for page in pages_of("SOP-06", paper):
        assert ("Splashes carry blood" in page) == ("Brush each instrument under the water line Where" in page)


def test_a_letter_binder_is_printed_on_letter() -> None:
    office, _ = sopc.load(SMALL)
    assert office is not None
    office = replace(office, premises=replace(office.premises, paper="letter"))
    document = binder_documents(office, TODAY)[2]
    page = pypdfium2.PdfDocument(write_pdf(document.html, document.assets, TODAY, tagged=False))[0]
    assert page.get_size() == pytest.approx((612, 792), abs=0.5)


def test_a_back_left_blank_says_whose_back_it_is() -> None:
    """A loose sheet found blank on one side is told from one whose print failed."""
    office, _ = sopc.load(SMALL)
    assert office is not None
    documents = binder_documents(office, TODAY)
    counts = {document.id: 2 - number % 2 for number, document in enumerate(documents)}  # every second one is odd
    data = write_pdf(blank_backs(office, documents, TODAY, counts).html, {}, TODAY)
    pages = [" ".join(page.get_textpage().get_text_bounded().split()) for page in pypdfium2.PdfDocument(data)]
    odd = [document for document in documents[:-1] if counts[document.id] == 1]
    assert len(pages) == len(odd) > 1
    for page, document in zip(pages, odd, strict=True):
        for mark in (document.id, document.revision, f"Source {document.source}", "Back of page 1 of 1", "left blank"):
            assert mark in page
