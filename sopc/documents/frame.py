"""What stands on every page of a controlled document: whose it is, which one, how valid, and the standing caution."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from sopc.documents.wording import day
from sopc.model.nouns import Document, Office

CAUTION = (
    "Supports and never replaces the makers’ instructions for use, the law of the place and licensed judgement. "
    "Where they differ, the instructions and the law govern. Not medical or legal advice. "
    "A copy without an issue stamp is uncontrolled: check the edition before use."
)
"""The standing caution: instructions first, law first, clinical decisions to licensed people."""

SHEETS = {"a4": "210mm 297mm", "letter": "8.5in 11in"}


class Status(StrEnum):
    """How valid a document is on the day of printing."""

    DRAFT = "DRAFT"
    NOT_YET_EFFECTIVE = "NOT YET EFFECTIVE"
    EFFECTIVE = "EFFECTIVE"
    REVIEW_OVERDUE = "REVIEW OVERDUE"


@dataclass(frozen=True, slots=True)
class Frame:
    """Everything that head and foot of a page print, already worded."""

    office: str
    id: str
    title: str
    revision: str
    effective: str
    status: str
    owner: str
    source: str  # eight hexadecimal digits
    printed: str
    printed_iso: str
    sheet: str  # CSS page size
    language: str
    caution: str = CAUTION


def status_of(document: Document, today: date) -> Status:
    """Say how valid a document is on `today`; it stays a draft until all approval data are there."""
    complete = document.id and document.revision is not None and document.owner and document.approver
    if not complete or document.effective is None:
        return Status.DRAFT
    if document.effective > today:
        return Status.NOT_YET_EFFECTIVE
    if document.review is not None and document.review < today:
        return Status.REVIEW_OVERDUE
    return Status.EFFECTIVE


def fingerprint(*models: object) -> str:
    """Return eight hexadecimal digits that change when, and only when, the printed content changes.

    The first 32 bits of SHA-256 over the page model, so that two sheets can be compared by eye and an
    unchanged document stays valid in the binder when the office changes elsewhere.
    """
    return hashlib.sha256(repr(models).encode()).hexdigest()[:8]


def frame_of(office: Office, document: Document, today: date, source: str) -> Frame:
    """Return the frame of a document that is declared in the text: a procedure or a log."""
    owner = office.roles.get(document.owner or "")
    return Frame(
        office=office.premises.name,
        id=document.id or document.name,
        title=document.title,
        revision="Revision not set" if document.revision is None else f"Revision {document.revision}",
        effective="no effective date" if document.effective is None else f"effective {day(document.effective)}",
        status=status_of(document, today),
        owner=f"Owner: {owner.title}" if owner else "Owner not named",
        source=source,
        printed=day(today),
        printed_iso=today.isoformat(),
        sheet=SHEETS[office.premises.paper],
        language=office.premises.language,
    )


def generated_frame(office: Office, id: str, title: str, today: date, source: str) -> Frame:
    """Return the frame of a document compiled from the whole office: a register, a list, a cover.

    Such a document has no revision of its own. Its edition is its source number, and it takes effect
    with the last of the documents it is compiled from.
    """
    documents: tuple[Document, ...] = (*office.procedures.values(), *office.logs.values())
    dates = [document.effective for document in documents if document.effective is not None]
    effective = max(dates, default=None)
    owner = office.roles.get(office.premises.coordinator or "")
    if effective is None or any(status_of(document, today) is Status.DRAFT for document in documents):
        status = Status.DRAFT
    else:
        status = Status.NOT_YET_EFFECTIVE if effective > today else Status.EFFECTIVE
    return Frame(
        office=office.premises.name,
        id=id,
        title=title,
        revision=f"Edition {source}",
        effective="no effective date" if effective is None else f"effective {day(effective)}",
        status=status,
        owner=f"Owner: {owner.title}" if owner else "Owner not named",
        source=source,
        printed=day(today),
        printed_iso=today.isoformat(),
        sheet=SHEETS[office.premises.paper],
        language=office.premises.language,
    )
