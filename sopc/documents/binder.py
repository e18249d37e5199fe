"""Puts the binder together: every controlled document in its order, each able to be printed and swapped alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from sopc.documents.binder_document import BinderDocument
from sopc.documents.day_plan import DayPlan, day_plan_document, days_begun
from sopc.documents.device_table import device_plan
from sopc.documents.dilution_table import dilution_plan
from sopc.documents.frame import fingerprint, generated_frame
from sopc.documents.front_matter import (
    control_plan,
    cover_document,
    forms_plan,
    glossary_plan,
    index_plan,
    signature_plan,
    swap_plan,
)
from sopc.documents.printing import printed
from sopc.documents.register import Plan, register_document
from sopc.documents.requirement_table import requirement_plan
from sopc.documents.sop import sop_document
from sopc.documents.task_overview import task_plan
from sopc.documents.training_plan import sign_off_plan, training_plan
from sopc.documents.wording import natural
from sopc.documents.working_out import Work, here
from sopc.model.nouns import Office

PREFIXES = ("BND", "REG", "ADM")
INDEX_PLACE = 1  # behind the cover


def binder_documents(
    office: Office,
    today: date,
    flowcharts: Mapping[str, Sequence[str]] | None = None,
    figures: Mapping[str, bytes] | None = None,
    work: Work = here,
) -> tuple[BinderDocument, ...]:
    """Return all documents of the binder in order: cover, index, rules, procedures, registers, training, day plans.

    For the press, which begins the days first and prints the others meanwhile, see the two steps it is made of.
    """
    plans = [begun.finished() for begun in days_begun(office, work)]
    return with_day_plans(office, documents_but_days(office, today, flowcharts, figures), today, plans)


def documents_but_days(
    office: Office,
    today: date,
    flowcharts: Mapping[str, Sequence[str]] | None = None,
    figures: Mapping[str, bytes] | None = None,
    heed: Callable[[BinderDocument], object] = bool,
) -> tuple[BinderDocument, ...]:
    """Return the documents in order, without the day plans, which take long to work out and stand at the end.

    `flowcharts` gives the drawings of a procedure by its name, one a page; `figures` the content of figure files by
    the name used in the text. The index is empty until `with_day_plans`. A procedure without an id, or with one that
    is taken, goes by its name, so that all ids differ. `heed` is told of each procedure and register once it is
    composed, while the others are not.
    """
    procedures = [
        _told(heed, sop_document(office, procedure, today, (flowcharts or {}).get(name, ()), figures))
        for name, procedure in sorted(office.procedures.items(), key=lambda item: natural(item[1].id))
    ]
    prefix = _free_prefix(office)
    front: list[Plan] = [control_plan(office), signature_plan(office)]
    plans = [
        requirement_plan(office, today),
        task_plan(office),
        dilution_plan(office),
        device_plan(office),
        forms_plan(office, today),
        training_plan(office),
        sign_off_plan(office),
        glossary_plan(office),
        swap_plan(office),
    ]
    written = [plan for plan in plans if _says_something(plan)]
    ids = [f"{prefix}-{number:02d}" for number in range(len(front) + len(written) + 2)]
    cover, index_id, *rest = ids
    registers = [
        _told(heed, register_document(office, plan, id, today))
        for plan, id in zip([*front, *written], rest, strict=True)
    ]
    leading, trailing = registers[: len(front)], registers[len(front) :]
    documents = [cover_document(office, cover, today), *leading, *_apart(procedures), *trailing]
    documents.insert(INDEX_PLACE, BinderDocument(index_id, "Index", "", "index"))
    return tuple(documents)


def _told(heed: Callable[[BinderDocument], object], document: BinderDocument) -> BinderDocument:
    heed(document)
    return document


def with_day_plans(
    office: Office, documents: tuple[BinderDocument, ...], today: date, plans: Sequence[DayPlan]
) -> tuple[BinderDocument, ...]:
    """Return the documents with the day plans behind them, numbered on, and the index of all.

    The index does not yet know how many pages the others have: print these first, then ask `with_page_counts`.
    """
    prefix = _free_prefix(office)
    first = sum(document.kind != "procedure" for document in documents)
    days = [day_plan_document(plan, f"{prefix}-{number:02d}", today) for number, plan in enumerate(plans, first)]
    return with_page_counts(office, (*documents, *days), today, {})


def with_page_counts(
    office: Office, documents: tuple[BinderDocument, ...], today: date, pages: Mapping[str, int]
) -> tuple[BinderDocument, ...]:
    """Return the documents with the index made anew, so that it lists all of them with these page counts."""
    place = next(number for number, each in enumerate(documents) if each.kind == "index")
    own = documents[place]
    others = documents[:place] + documents[place + 1 :]
    made = register_document(office, index_plan(others, own.id, pages), own.id, today)
    index = replace(made, kind="index")
    return (*documents[:place], index, *documents[place + 1 :])


@dataclass(frozen=True, slots=True)
class BlankBack:
    """The back of a document's last page, left blank: what its head and foot say."""

    id: str
    title: str
    revision: str
    effective: str
    status: str
    source: str
    pages: int


def blank_backs(
    office: Office, documents: Sequence[BinderDocument], today: date, pages: Mapping[str, int]
) -> BinderDocument:
    """Return one page for each document that ends on a right-hand page, in their order, as each begins on one.

    `pages`: how many each document has. The last of all needs no back; without any there is one bare page.
    """
    odd = [document for document in documents[:-1] if pages.get(document.id, 0) % 2]
    leaves = [
        BlankBack(each.id, each.title, each.revision, each.effective, each.status, each.source, pages[each.id])
        for each in odd
    ]
    frame = generated_frame(office, "backs", "Pages left blank", today, fingerprint("backs", office.premises.name))
    return BinderDocument("backs", frame.title, printed("blank.html", frame, leaves=leaves), "blank")


def _free_prefix(office: Office) -> str:
    """Return a prefix for the registers that no document and no requirement of the office uses."""
    names = [document.id for document in (*office.procedures.values(), *office.logs.values())]
    taken = {name.partition("-")[0].upper() for name in (*names, *office.requirements)}
    return next((prefix for prefix in PREFIXES if prefix not in taken), "BINDER")


def _apart(documents: list[BinderDocument]) -> list[BinderDocument]:
    """Tell documents with the same id apart by a count, as each needs a place of its own in the binder."""
    seen: dict[str, int] = {}
    told_apart = []
    for document in documents:
        seen[document.id] = count = seen.get(document.id, 0) + 1
        told_apart.append(document if count == 1 else replace(document, id=f"{document.id} ({count})"))
    return told_apart


def _says_something(plan: Plan) -> bool:
    """Whether a register has anything in it; an empty one is not bound."""
    return any(section.text or any(table.rows for table in section.tables) for section in plan.sections)
