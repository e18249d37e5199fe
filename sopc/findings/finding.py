"""The finding: a place, a sentence, what would happen on the floor, how it comes about, and how to mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from difflib import get_close_matches
from enum import StrEnum

from sopc.source import Span


class Severity(StrEnum):
    """An error stops the printing; a warning does not; a remark only tells."""

    ERROR = "error"
    WARNING = "warning"
    REMARK = "remark"


@dataclass(frozen=True, slots=True)
class Note:
    """Another place that belongs to the finding, with what stands there."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class WalkStep:
    """One line of a witness: what is done or added up, and where the text says so."""

    text: str
    span: Span | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What one check has to say about one place.

    `sentence` says what is wrong in plain words; `floor` what would happen in the office if it were printed so;
    `walk` is the witness (a path through the steps, or a chain of limits with their sum); `fix` a way to mend it.
    `asked_by` names the sources the text itself cites for the clause that is not kept, each with its locator.
    Findings with the same `cause` come from one fault: only the first is shown, the rest are counted.
    """

    code: str
    severity: Severity
    span: Span
    sentence: str
    floor: str = ""
    walk: tuple[WalkStep, ...] = ()
    fix: str = ""
    notes: tuple[Note, ...] = field(default=())
    cause: str = ""
    asked_by: tuple[str, ...] = ()

    def sort_key(self) -> tuple[str, int, int, str, str]:
        """Order by place, then code, so that two runs print alike."""
        return (self.span.file, self.span.line, self.span.column, self.code, self.sentence)


def alike(word: str, known: Iterable[str], count: int = 1, likeness: float = 0.68) -> list[str]:
    """Names close enough to `word` to be what was meant, best first; `likeness` runs from 0 to 1."""
    folded = {name.casefold().replace("-", "_"): name for name in known}
    close = get_close_matches(word.casefold().replace("-", "_"), list(folded), n=count, cutoff=likeness)
    return [folded[name] for name in close]


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The heaviest severity among the findings, or None when there are none."""
    order = (Severity.ERROR, Severity.WARNING, Severity.REMARK)
    present = {finding.severity for finding in findings}
    return next((severity for severity in order if severity in present), None)
