"""Names sources on paper: in full in a list, by number beside the fact taken from them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sopc.documents.register import Cell, Section, plain_table
from sopc.model.nouns import Citation, Office
from sopc.trade.quantities import NBSP


def source_title(office: Office, name: str) -> str:
    """Name a source as a reader finds it: title, publisher, year, reference."""
    source = office.sources.get(name)
    if source is None:
        return name
    rest = [source.publisher, str(source.year) if source.year else "", source.reference]
    return ", ".join([source.title or name, *(part for part in rest if part)])


def cited(citations: tuple[Citation, ...], numbers: Mapping[str, int]) -> str:
    """Name sources by their number in the list at the end: "[2] VI.F · [5] p. 14 (memory)"."""
    shown = []
    for citation in citations:
        number = f"[{numbers[citation.source]}]" if citation.source in numbers else f"[{citation.source}]"
        mark = "" if citation.mark is None or citation.mark == "read" else f" ({citation.mark.value})"
        shown.append(f"{number}{NBSP}{citation.locator}{mark}" if citation.locator else number + mark)
    return " · ".join(shown)


MARKS_EXPLAINED = (
    "No mark: read in the source. **memory**: written from memory, to be checked. "
    "**practice**: common practice without a source. **calculated**: worked out from other values."
)


def numbered(citations: Iterable[Citation]) -> dict[str, int]:
    """Number the sources of these citations in the order in which they are first named."""
    names = dict.fromkeys(citation.source for citation in citations)
    return {name: number for number, name in enumerate(names, start=1)}


def source_list(office: Office, numbers: Mapping[str, int]) -> list[Section]:
    """The list of sources that ends a register; none when nothing is cited."""
    if not numbers:
        return []
    rows = [(Cell(f"[{number}]"), Cell(source_title(office, name))) for name, number in numbers.items()]
    return [Section("Sources", MARKS_EXPLAINED, (plain_table((("No.", "12%"), ("Source", "")), rows),))]
