"""The frame of a controlled document: how valid it is, and the number that tells two editions apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from sopc.documents.frame import CAUTION, Status, fingerprint, status_of
from sopc.documents.sop import sop_page
from sopc.model.nouns import Document, Office
from sopc.source import NOWHERE

TODAY = date(2026, 11, 25)
COMPLETE = Document(
    name="d",
    title="D",
    span=NOWHERE,
    id="SOP-1",
    revision=1,
    effective=date(2026, 1, 1),
    review=date(2027, 1, 1),
    owner="a",
    approver="b",
)


@pytest.mark.parametrize("missing", ["id", "revision", "effective", "owner", "approver"])
def test_a_document_is_a_draft_while_any_approval_data_is_missing(missing: str) -> None:
    assert status_of(replace(COMPLETE, **{missing: None}), TODAY) is Status.DRAFT


def test_a_complete_document_is_effective_from_its_date() -> None:
    assert status_of(COMPLETE, date(2026, 1, 1)) is Status.EFFECTIVE


def test_before_its_date_it_is_not_yet_effective() -> None:
    assert status_of(COMPLETE, date(2025, 12, 31)) is Status.NOT_YET_EFFECTIVE


def test_on_its_review_date_it_is_still_good() -> None:
    assert status_of(COMPLETE, date(2027, 1, 1)) is Status.EFFECTIVE


def test_after_its_review_date_it_is_overdue() -> None:
    assert status_of(COMPLETE, date(2027, 1, 2)) is Status.REVIEW_OVERDUE


def test_the_source_number_is_eight_hexadecimal_digits() -> None:
    assert len(fingerprint("x")) == 8
    int(fingerprint("x"), 16)


def test_the_source_number_does_not_change_with_the_day(office: Office) -> None:
    procedure = office.procedures["reprocess"]
    first = sop_page(office, procedure, TODAY).frame
    later = sop_page(office, procedure, date(2028, 1, 1)).frame
    assert first.source == later.source
    assert first.status != later.status


def test_the_source_number_changes_with_the_text(office: Office) -> None:
    procedure = office.procedures["reprocess"]
    changed = replace(procedure, scope="Something else.")
    assert sop_page(office, procedure, TODAY).frame.source != sop_page(office, changed, TODAY).frame.source


def test_the_standing_caution_defers_to_instructions_law_and_licensed_judgement() -> None:
    assert all(word in CAUTION for word in ("instructions for use", "law", "licensed judgement"))
