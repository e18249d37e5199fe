"""What shows that a requirement is met, as a reader finds it: document, revision, step; task, training, device."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sopc.checks.requirements.verdicts import Candidate
from sopc.model.nouns import Document, Step
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


def places(shown: Iterable[Candidate], pages: Mapping[str, int] | None = None) -> list[str]:
    """Return the places, documents first; steps of one document, and things of one kind, in one.

    `pages` gives the binder page on which a document begins, by its number.
    """
    documents: dict[str, list[Step]] = {}
    others: dict[str, list[str]] = {}
    for each in shown:
        if each.kind in ("procedure", "log"):
            documents.setdefault(document(each.record, pages), [])
        elif each.kind == "step" and each.procedure is not None:
            documents.setdefault(document(each.procedure, pages), []).append(each.record)
        else:
            others.setdefault(each.kind, []).append(_title(each))
    return [
        *(f"{said}{_steps(steps)}" for said, steps in documents.items()),
        *(_named(kind, names) for kind, names in others.items()),
    ]


def document(record: Document, pages: Mapping[str, int] | None = None) -> str:
    """A document's number and revision, and its page in the binder."""
    revision = "" if record.revision is None else f" rev{NBSP}{record.revision}"
    page = (pages or {}).get(record.id)
    return f"{record.id or record.title}{revision}" + (f", p.{NBSP}{page}" if page else "")


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
