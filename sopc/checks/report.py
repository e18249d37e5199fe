"""Makes findings of the checks: severity from the registry, lists and names worded alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from sopc.findings import Finding, Note, WalkStep, code
from sopc.model.nouns import Citation, Declared, Device, Item, Limit, Mark, Office, Supply, WayLimit
from sopc.source import Span

Record = TypeVar("Record", bound=Declared)


def finding(
    name: str,
    span: Span,
    sentence: str,
    *,
    floor: str = "",
    walk: Iterable[WalkStep] = (),
    fix: str = "",
    notes: Iterable[Note] = (),
    cause: str = "",
    asked_by: Iterable[str] = (),
) -> Finding:
    """Return a finding with code `name`, its severity as registered."""
    severity, asked = code(name).severity, tuple(dict.fromkeys(asked_by))
    return Finding(name, severity, span, sentence, floor, tuple(walk), fix, tuple(notes), cause, asked)


def asked_by(office: Office, *things: Declared | Limit | WayLimit | None) -> tuple[str, ...]:
    """The sources that stand behind clauses: what they cite with its locator, and the instructions they name."""
    found: dict[str, None] = {}
    for thing in things:
        if thing is None:
            continue
        for citation in thing.citations:
            found.setdefault(_cited(office, citation))
        if isinstance(thing, Supply | Device | Item) and thing.instructions:
            found.setdefault(f"the instructions {thing.instructions} of {thing.title or thing.name}")
    return tuple(found)


def _cited(office: Office, citation: Citation) -> str:
    said = title(office.sources, citation.source)
    if citation.locator:
        said += f", {citation.locator}"
    marks = {Mark.MEMORY: " (from memory)", Mark.PRACTICE: " (practice)", Mark.CALCULATED: " (calculated)"}
    return said + (marks.get(citation.mark, "") if citation.mark else "")


def listed(words: Sequence[str], last: str = "and") -> str:
    """Join words as a sentence does: a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def title(kind: Mapping[str, Record], name: str) -> str:
    """The title of a declared thing, or its name when it has none."""
    record = kind.get(name)
    return record.title if record is not None and record.title else name


def shortened(words: Sequence[str], most: int = 5) -> str:
    """Up to `most` words and how many more there are."""
    if len(words) <= most:
        return listed(words)
    return f"{', '.join(words[:most])} and {len(words) - most} more"


def line(span: Span, home: Span | None = None) -> str:
    """The place as people say it; the file too when it is not the one of `home`."""
    if home is not None and home.file != span.file:
        return f"{span.file}, line {span.line}"
    return f"line {span.line}"


def as_written(seconds: int) -> str:
    """A time as it is written in the text."""
    seconds = abs(seconds)
    for size, unit in ((3600, "h"), (60, "min")):
        if seconds and seconds % size == 0 and (size == 60 or seconds >= 7200):
            return f"{seconds // size} {unit}"
    return f"{seconds} s"
