"""The page model of registers: lists compiled from the whole office, made of sections, tables and sheets to sign."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sopc.documents.binder_document import BinderDocument
from sopc.documents.frame import Frame, fingerprint, generated_frame
from sopc.documents.printing import printed
from sopc.model.nouns import Office


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text, smaller lines under it, and how it is set."""

    text: str = ""
    under: tuple[str, ...] = ()
    strong: bool = False
    number: bool = False
    markdown: bool = False
    link: str = ""
    lines: tuple[str, ...] = ()  # further lines as large as the text
    links: tuple[str, ...] = ()  # where each of the smaller lines leads; empty: nowhere


@dataclass(frozen=True, slots=True)
class Column:
    title: str
    width: str = ""  # CSS; empty: what is left
    number: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table to read, or with `pen` one to write in."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    pen: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    heading: str
    text: str = ""  # Markdown
    tables: tuple[Table, ...] = ()
    fresh: bool = False  # begins a page
    keep: bool = False  # never breaks over a page
    large: bool = False  # read standing, at arm's length


@dataclass(frozen=True, slots=True)
class Register:
    frame: Frame
    eyebrow: str
    lead: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """What a register says before it has its number and its place in the binder."""

    key: str  # which of the binder's registers it is
    title: str
    lead: str
    sections: tuple[Section, ...]


def register_page(office: Office, plan: Plan, id: str, today: date) -> Register:
    """Give a plan its frame; its source number is that of its content."""
    source = fingerprint(id, plan, office.premises.name)
    return Register(
        generated_frame(office, id, plan.title, today, source), f"Binder register {id}", plan.lead, plan.sections
    )


def register_document(office: Office, plan: Plan, id: str, today: date) -> BinderDocument:
    """Print a plan as a controlled document."""
    page = register_page(office, plan, id, today)
    return document_of(page.frame, printed("register.html", page.frame, page=page), "register")


def document_of(frame: Frame, html: str, kind: str) -> BinderDocument:
    """Wrap printed HTML with what its frame says of it."""
    return BinderDocument(
        id=frame.id,
        title=frame.title,
        html=html,
        kind=kind,
        revision=frame.revision,
        effective=frame.effective,
        source=frame.source,
        status=frame.status,
    )


def plain_table(heads: tuple[tuple[str, str], ...], rows: Iterable[tuple[Cell, ...]], pen: bool = False) -> Table:
    """Make a table from (title, width) heads and rows."""
    return Table(tuple(Column(title, width) for title, width in heads), tuple(rows), pen)


def empty_rows(columns: int, count: int) -> list[tuple[Cell, ...]]:
    """Return rows to be filled in by pen."""
    return [tuple(Cell() for _ in range(columns)) for _ in range(count)]
