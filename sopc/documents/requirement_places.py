"""What shows that a requirement is met, as a reader finds it: document, revision, step; task, training, device."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sopc.checks.requirements.verdicts import Candidate
from sopc.model.nouns import Document, Procedure, Step
from sopc.trade.quantities import NBSP

HEADS = {
    "task": ("Task", "Tasks"),
    "training": ("Training", "Trainings"),
    "device": ("Device", "Devices"),
    "program": ("Program", "Programs"),
    "supply": ("Supply", "Supplies"),
    "item": ("Item", "Items"),
    "area": ("Area", "Areas"),
    "role": ("Role", "Roles"),
    "coordinator": ("Coordinator", "Coordinators"),
    "source": ("Source", "Sources"),
    "phone": ("Telephone", "Telephones"),
    "term": ("Term", "Terms"),
}
MOST_NAMES = 4
"""Names of one kind told in one place; the rest is counted."""


@dataclass(frozen=True, slots=True)
class Place:
    """One place as it is read, and the binder's document that it is in; empty for what has no page of its own."""

    text: str
    document: str = ""


def places(shown: Iterable[Candidate]) -> list[Place]:
    """Return the places, documents first; steps of one document, and things of one kind, in one.

    Pages are counted within each document, so a step is found by its number.
    """
    documents: dict[tuple[str, str], tuple[Document, list[Step]]] = {}
    others: dict[str, list[str]] = {}
    for each in shown:
        if each.kind in ("procedure", "log"):
            documents.setdefault((each.kind, each.name), (each.record, []))
        elif each.kind == "step" and each.procedure is not None:
            key = ("procedure", each.procedure.name)
            documents.setdefault(key, (each.procedure, []))[1].append(each.record)
        else:
            others.setdefault(each.kind, []).append(_title(each))
    found = [Place(f"{_edition(record)}{_steps(steps)}", _bound(record)) for record, steps in documents.values()]
    return found + [Place(_named(kind, names)) for kind, names in others.items()]


def _edition(record: Document) -> str:
    """A document's number and revision."""
    revision = "" if record.revision is None else f" rev{NBSP}{record.revision}"
    return f"{record.id or record.title}{revision}"


def _bound(record: Document) -> str:
    """The number under which it is bound; log sheets are not."""
    return record.id if isinstance(record, Procedure) else ""


def _steps(steps: list[Step]) -> str:
    if not steps:
        return ""
    in_order = sorted(steps, key=lambda step: (step.span.line, step.span.column))
    numbers = list(dict.fromkeys(step.number for step in in_order))
    shown = numbers[:MOST_NAMES]
    word = "step" if len(numbers) == 1 else "steps"
    more = f" and {len(numbers) - MOST_NAMES} more" if len(numbers) > MOST_NAMES else ""
    return f", {word}{NBSP}{', '.join(shown)}{more}"


def _named(kind: str, names: list[str]) -> str:
    shown, more = names[:MOST_NAMES], len(names) - MOST_NAMES
    one, many = HEADS.get(kind, ("Also", "Also"))
    return f"{one if len(names) == 1 else many}: {', '.join(shown)}" + (f" and {more} more" if more > 0 else "")


def _title(candidate: Candidate) -> str:
    title = candidate.name
    if not isinstance(candidate.record, tuple):
        title = getattr(candidate.record, "title", "") or candidate.name
    return f"{candidate.device.title}, {title}" if candidate.device is not None else title
