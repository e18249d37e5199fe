"""Sums up what a change of protocol asks of the office: papers to swap, people to train, what the approver must see."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sopc.changes.change import Change, How, Kind
from sopc.changes.compare import compare
from sopc.changes.direction import Direction, direction_of
from sopc.changes.impact import CONTROL, Impact, impact_of, paper_id, uses_of
from sopc.documents.binder import binder_documents
from sopc.documents.charts import chart_of
from sopc.documents.log_periods import month_end
from sopc.documents.logs import LogDocument, log_documents
from sopc.documents.working_out import Work, here
from sopc.model.nouns import Decider, Document, Duration, Office
from sopc.source import Span


@dataclass(frozen=True, slots=True)
class Assessed:
    """One change with its direction and what it reaches."""

    change: Change
    direction: Direction
    impact: Impact

    @property
    def needs_attention(self) -> bool:
        """Whether an approver must look: something that held was let go. A machine's time is no limit."""
        if isinstance(self.change.after, Duration) and self.change.after.decider is Decider.MACHINE:
            return False
        return self.direction in (Direction.LOOSENED, Direction.BOTH, Direction.SHORTENED)


@dataclass(frozen=True, slots=True)
class Swap:
    """A paper to take out of binder or wall, and the one to put in its place; empty where there is none."""

    sort: str  # procedure, chart, log sheet, register
    id: str
    title: str
    take_out: str
    put_in: str


@dataclass(frozen=True, slots=True)
class Remark:
    """Something about document control that does not fit the changes, with its place in the new text."""

    document: str
    sentence: str
    span: Span | None


@dataclass(frozen=True, slots=True)
class RoleDuty:
    """Documents a role must be trained in again, and those it reads and signs."""

    role: str
    title: str
    train: tuple[str, ...]
    read: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that follows from the differences between two offices."""

    changes: tuple[Assessed, ...]
    swaps: tuple[Swap, ...]
    duties: tuple[RoleDuty, ...]
    remarks: tuple[Remark, ...]


def assess(old: Office, new: Office, today: date, work: Work = here) -> Assessment:
    """Compare two offices and work out what follows; papers are set for both as they would print on `today`.

    `work` may keep long sums, so that a day both offices have in common is played once.
    """
    changes = compare(old, new)
    uses = uses_of(new)
    assessed = tuple(Assessed(change, direction_of(change), impact_of(change, old, new, uses)) for change in changes)
    swaps = tuple(_swaps(old, new, today, work))
    return Assessment(assessed, swaps, tuple(_duties(new, assessed)), tuple(_remarks(old, new, assessed, swaps)))


# ── Papers ──────────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class _Print:
    """What identifies one printed edition."""

    id: str
    title: str
    edition: str
    content: object


def _swaps(old: Office, new: Office, today: date, work: Work) -> Iterator[Swap]:
    """Papers whose content differs, as both offices would print them; matched by name or, for registers, by title."""
    for sort, before, after in (
        ("procedure or register", _binder(old, today, work), _binder(new, today, work)),
        ("wall chart", _charts(old, today), _charts(new, today)),
        ("log sheet", _logs(old, today), _logs(new, today)),
    ):
        for key in {**after, **before}:
            one, two = before.get(key), after.get(key)
            if one and two and one.content == two.content and one.id == two.id:
                continue
            present = two or one
            assert present is not None
            yield Swap(sort, present.id, present.title, one.edition if one else "", two.edition if two else "")


def _binder(office: Office, today: date, work: Work) -> Mapping[str, _Print]:
    names = {procedure.id: name for name, procedure in office.procedures.items()}
    found = {}
    for document in binder_documents(office, today, work=work):
        # The cover and the index change with every build; the swap sheet names them anyway.
        key = names.get(document.id, document.title) if document.kind == "procedure" else document.title
        edition = document.revision if document.kind == "procedure" else f"source {document.source}"
        found[f"{document.kind} {key}"] = _Print(document.id, document.title, edition, document.source)
    return found


def _charts(office: Office, today: date) -> Mapping[str, _Print]:
    return {
        name: _Print(paper_id(procedure), procedure.title, _edition(procedure), chart_of(office, procedure, today, ""))
        for name, procedure in office.procedures.items()
    }


def _logs(office: Office, today: date) -> Mapping[str, _Print]:
    first = today.replace(day=1)
    made = log_documents(office, first, month_end(today), today)
    sources = {document.name: document.source for document in made if isinstance(document, LogDocument)}
    return {
        name: _Print(paper_id(log), log.title, _edition(log), sources.get(name, ""))
        for name, log in office.logs.items()
    }


def _edition(document: Document) -> str:
    return "revision not set" if document.revision is None else f"Revision {document.revision}"


# ── People ──────────────────────────────────────────────────────────────────────────────────────


def _duties(new: Office, assessed: Sequence[Assessed]) -> Iterator[RoleDuty]:
    """Per role, the documents to be trained in; what only reads differently is read and signed."""
    for role, record in new.roles.items():
        train = [paper for each in assessed if role in each.impact.train for paper in _work_papers(new, each)]
        read = [paper for each in assessed if role in each.impact.read for paper in _work_papers(new, each)]
        trained = tuple(dict.fromkeys(train))
        signed = tuple(paper for paper in dict.fromkeys(read) if paper not in trained)
        if trained or signed:
            yield RoleDuty(role, record.title, trained, signed)


def _work_papers(new: Office, each: Assessed) -> list[str]:
    known = {paper_id(document) for document in (*new.procedures.values(), *new.logs.values())}
    papers = [paper for paper in each.impact.papers if paper in known]
    return papers or [each.change.title]


# ── Document control ────────────────────────────────────────────────────────────────────────────


def _remarks(old: Office, new: Office, assessed: Sequence[Assessed], swaps: Sequence[Swap]) -> Iterator[Remark]:
    swapped = {swap.id for swap in swaps if swap.take_out and swap.put_in and swap.sort != "wall chart"}
    kinds: tuple[tuple[Kind, Mapping[str, Document], Mapping[str, Document]], ...] = (
        (Kind.PROCEDURE, old.procedures, new.procedures),
        (Kind.LOG, old.logs, new.logs),
    )
    for kind, before, after in kinds:
        touched = {each.change.name for each in assessed if each.change.kind is kind and _of_substance(each.change)}
        for name, document in after.items():
            earlier = before.get(name)
            if earlier is None:
                continue
            reprinted = paper_id(document) in swapped
            yield from _control(earlier, document, name in touched, reprinted)


def _of_substance(change: Change) -> bool:
    return change.facet not in CONTROL and change.how is not How.RENAMED


def _control(old: Document, new: Document, touched: bool, reprinted: bool) -> Iterator[Remark]:
    name = f"{new.id} {new.title}".strip()
    one, two = old.revision, new.revision
    if one is not None and two is not None and two < one:
        yield Remark(name, f"The revision went back from {one} to {two}. A revision number only ever grows.", new.span)
        return
    if one == two and touched:
        yield Remark(name, f"Changed, but the revision is still {two}. Raise it, with a new effective date.", new.span)
    elif one == two and reprinted:
        what = f"Prints differently because of what it uses, but the revision is still {two}."
        yield Remark(name, f"{what} Raise it if people work differently.", new.span)
    elif one != two and not touched and not reprinted:
        yield Remark(name, f"The revision went from {one} to {two}, but nothing in the document changed.", new.span)
    if one != two and old.effective == new.effective:
        yield Remark(name, f"Revision {two} has the effective date of revision {one}. Give it its own.", new.span)
    elif one != two and old.effective and new.effective and new.effective < old.effective:
        yield Remark(name, f"Revision {two} takes effect before revision {one} did.", new.span)
    if one != two and two is not None and all(past.number != two for past in new.history):
        yield Remark(name, f"The history does not say what revision {two} changed.", new.span)
