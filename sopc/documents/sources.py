"""Names sources on paper: in full in a list, by number beside the fact taken from them."""

from __future__ import annotations

from collections.abc import Mapping

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
