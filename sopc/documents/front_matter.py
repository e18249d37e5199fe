"""The binder's own leaves: cover, rules of control, signature key, index, forms, glossary, swap sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sopc.documents import wording
from sopc.documents.binder_document import BinderDocument
from sopc.documents.frame import Frame, fingerprint, generated_frame, status_of
from sopc.documents.printing import printed
from sopc.documents.register import Cell, Plan, Section, document_of, empty_rows, plain_table
from sopc.model.nouns import Log, Office
from sopc.trade.quantities import NBSP, show_number

LINES = {"a4": 22, "letter": 20}
"""Lines to write on that fill one page of each paper size."""

CAUTIONS = (
    "This paper supports, and never replaces, the makers’ instructions for devices, packaging, "
    "indicators and chemicals. Where they differ, the instructions govern.",
    "National and local law, licensing rules and employer rules come first. "
    "Some are stricter than what is printed here.",
    "Clinical decisions, medical evaluation and treatment after an exposure belong to licensed professionals. "
    "Nothing here is medical or legal advice.",
    "Values marked “from memory” or “common practice” must be checked against their source before they are relied on.",
    "Disease outbreaks, prion disease and new infections need specialist advice. This binder does not cover them.",
)

CONTROL_RULES = """
- Every document has an id, a revision, an effective date and its own page count. The page is
  complete only as “Page n of m”.
- **DRAFT** is not approved. **NOT YET EFFECTIVE** is approved for a later date. Work only by
  **EFFECTIVE** documents. **REVIEW OVERDUE** means: tell the owner.
- The eight letters and digits after “Source” change when, and only when, the content changes. Two
  sheets with the same source number say the same.
- Paper is never changed by pen, except in boxes made for it. A wanted change goes to the owner, who
  changes the text and prints again.
- A new revision replaces the old one in every binder on its effective date. Use the swap sheet.
  Keep one copy of the old revision, crossed through and marked OBSOLETE.
- Entries in boxes and logs: black or blue ink. Wrong entry: one line through it, the right entry
  beside it, initials and date. No fluid, no pencil, no blank left.
- The makers’ instructions named in the device table are documents from outside. They are kept with
  the binder and checked for new editions at each review.
"""


@dataclass(frozen=True, slots=True)
class Cover:
    frame: Frame
    subtitle: str
    lines: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]


def cover_document(office: Office, id: str, today: date) -> BinderDocument:
    """Return the front cover with address, coordinator, numbers to call and the cautions."""
    place = office.premises
    lines = [("Address", ", ".join(place.address))]
    lines.append(
        ("Coordinator", wording.title_of(office.roles, place.coordinator) if place.coordinator else "not named")
    )
    lines += list(place.phones)
    lines.append(("Contents", _contents(office)))
    kept = tuple((label, value) for label, value in lines if value)
    frame = generated_frame(office, id, "Infection control binder", today, fingerprint(id, kept, CAUTIONS, place.name))
    cover = Cover(frame, "Procedures, registers and training of this office.", kept, CAUTIONS)
    return document_of(frame, printed("cover.html", frame, page=cover), "front")


def _contents(office: Office) -> str:
    counts = (
        (len(office.procedures), "procedure"),
        (len(office.logs), "log"),
        (len(office.requirements), "requirement"),
    )
    return wording.in_series(f"{count} {word}{'' if count == 1 else 's'}" for count, word in counts)


def control_plan(office: Office) -> Plan:
    """Return how documents are controlled, and the state of each one as the text has it."""
    heads = (("Sources read", "40%"), ("Value", ""))
    digest = [office.digest[start : start + 16] for start in range(0, len(office.digest), 16)]
    rows = [
        (Cell("Office"), Cell(office.premises.name)),
        (Cell("Packs"), Cell(", ".join(office.packs) or "none")),
        (Cell("SHA-256 of all texts"), Cell(" ".join(digest))),
    ]
    owners = (("Owner", "27%"), ("Approver", "20%"), ("Documents", ""))
    owned: dict[tuple[str, str], list[str]] = defaultdict(list)
    for document in (*office.procedures.values(), *office.logs.values()):
        owner, approver = (
            wording.title_of(office.roles, role) if role else "not named"
            for role in (document.owner, document.approver)
        )
        owned[owner, approver].append(document.id or document.title)
    shared = [
        (Cell(owner), Cell(approver), Cell(", ".join(sorted(ids, key=wording.natural))))
        for (owner, approver), ids in owned.items()
    ]
    sections = (
        Section("Rules", CONTROL_RULES),
        Section("Who owns and who approves", tables=(plain_table(owners, shared),)),
        Section("What this binder was made from", tables=(plain_table(heads, rows),), keep=True),
    )
    return Plan(
        "control",
        "Document control",
        "How to tell a valid sheet from an old one, and how one becomes the other.",
        sections,
    )


def signature_plan(office: Office) -> Plan:
    """Return the key by which initials on paper can be read back to a person."""
    heads = (
        ("Name in capitals", "30%"),
        ("Role", "20%"),
        ("Initials", "12%"),
        ("Signature", "20%"),
        ("From", "9%"),
        ("Until", "9%"),
    )
    lead = (
        "Everyone who initials a sheet in this binder or a log signs here first. Initials are used by one person only."
    )
    table = plain_table(heads, empty_rows(len(heads), LINES[office.premises.paper]), pen=True)
    return Plan("signatures", "Signature key", lead, (Section("", tables=(table,)),))


def index_plan(documents: Sequence[BinderDocument], own_id: str, pages: Mapping[str, int]) -> Plan:
    """Return the list of all documents; `pages` gives the page count by id, a dash stands where it is not known."""
    heads = (
        ("Document", "12%"),
        ("Title", "37%"),
        ("Edition", "17%"),
        ("From", "12%"),
        ("State", "15%"),
        ("Pages", "7%"),
    )
    rows = [
        (
            Cell(each.id, link="" if each.id == own_id else f"doc:{each.id}"),
            Cell(each.title),
            Cell(each.revision),
            Cell(wording.large(each.effective.removeprefix("effective "))),
            Cell(each.status.capitalize()),
            Cell(str(pages[each.id]) if each.id in pages and each.id != own_id else "–"),
        )
        for each in documents
    ]
    lead = (
        "Printed anew at each change. Pages are counted within each document, so one can be swapped without the others."
    )
    return Plan("index", "Index", lead, (Section("", tables=(plain_table(heads, rows),)),))


def forms_plan(office: Office, today: date) -> Plan:
    """Return the list of log sheets: what each covers and how long it is kept."""
    heads = (("Form", "15%"), ("Title", "31%"), ("One sheet covers", "20%"), ("Edition", "19%"), ("Keep", "15%"))
    rows = [
        _form(office, log, today) for log in sorted(office.logs.values(), key=lambda each: wording.natural(each.id))
    ]
    lead = "Log sheets are printed with their dates and limits. Use no sheet whose revision is not listed here."
    return Plan("forms", "Forms", lead, (Section("", tables=(plain_table(heads, rows),)),))


def _form(office: Office, log: Log, today: date) -> tuple[Cell, ...]:
    periods = {"daily": "a day", "weekly": "a week", "monthly": "a month", "quarterly": "a quarter", "yearly": "a year"}
    devices = wording.titles({**office.areas, **office.items, **office.devices}, log.for_devices)
    edition = "not set" if log.revision is None else f"Revision {log.revision}"
    years = (
        "not set"
        if log.keep_years is None
        else f"{show_number(log.keep_years)}{NBSP}{'year' if log.keep_years == 1 else 'years'}"
    )
    return (
        Cell(log.id or "no id"),
        Cell(log.title, under=devices),
        Cell(wording.large(periods.get(log.period, log.period))),
        Cell(edition, under=(status_of(log, today).value.capitalize(),)),
        Cell(years),
    )


def glossary_plan(office: Office) -> Plan:
    """Return the words of the trade as this binder uses them."""
    terms = sorted(office.terms, key=lambda term: term.word.casefold())
    rows = [(Cell(term.word), Cell(term.text, markdown=True)) for term in terms]
    table = plain_table((("Word", "28%"), ("What it means here", "")), rows)
    return Plan("glossary", "Glossary", "", (Section("", tables=(table,)),))


def swap_plan(office: Office) -> Plan:
    """Return the sheet on which each exchange of a document in this binder is signed."""
    heads = (
        ("Date", "12%"),
        ("Document", "14%"),
        ("Take out: rev., leaves", "17%"),
        ("Put in: rev., leaves", "17%"),
        ("Index renewed", "11%"),
        ("Staff trained", "11%"),
        ("Done by", "9%"),
        ("Checked", "9%"),
    )
    lead = (
        "One line for each exchange. Count the leaves that go out and those that come in. "
        "Cross the old ones through at once."
    )
    table = plain_table(heads, empty_rows(len(heads), LINES[office.premises.paper]), pen=True)
    return Plan("swaps", "Swap sheet", lead, (Section("", tables=(table,)),))
