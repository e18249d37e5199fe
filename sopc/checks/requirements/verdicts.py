"""What comes of a sentence: met, open or not to be decided, with what shows it and what is lacking."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from sopc.model.nouns import Device, NotApplicable, Procedure, Requirement, SetAside
from sopc.model.sentences import Sentence
from sopc.source import Span


class Verdict(StrEnum):
    """Kleene's three values: what is not decided is never met."""

    MET = "met"
    OPEN = "open"
    UNDECIDED = "undecided"


def all_of(verdicts: Iterable[Verdict]) -> Verdict:
    """Open if one is open, else undecided if one is, else met."""
    found = set(verdicts)
    return next((each for each in (Verdict.OPEN, Verdict.UNDECIDED) if each in found), Verdict.MET)


def any_of(verdicts: Iterable[Verdict]) -> Verdict:
    """Met if one is met, else undecided if one is, else open."""
    found = set(verdicts)
    return next((each for each in (Verdict.MET, Verdict.UNDECIDED) if each in found), Verdict.OPEN)


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing of the office that a sentence may speak of. A step knows its procedure, a program its device."""

    kind: str
    record: Any
    procedure: Procedure | None = None
    device: Device | None = None

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells it from all others: its kind, what it is part of, its name."""
        around = self.procedure.name if self.procedure else self.device.name if self.device else ""
        return (self.kind, around, self.name)

    @property
    def name(self) -> str:
        """Its name, or its text when it has none."""
        if isinstance(self.record, tuple):
            return str(self.record[0])
        return str(getattr(self.record, "name", "") or getattr(self.record, "word", ""))

    @property
    def span(self) -> Span | None:
        """Where it stands, None for a telephone number."""
        return getattr(self.record, "span", None)

    @property
    def said(self) -> str:
        """The thing as people speak of it."""
        title = self.name if isinstance(self.record, tuple) else getattr(self.record, "title", "") or self.name
        inside = f" of {_number(self.procedure) or self.procedure.title}" if self.procedure else ""
        inside = f" of {self.device.title}" if self.device else inside
        number = _number(self.record)
        return f"{self.kind} “{title}”{inside}" + (f" ({number})" if number else "")


def _number(record: object) -> str:
    return str(getattr(record, "id", ""))


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether one trait holds of one candidate, what is lacking, and what else shows that it holds."""

    verdict: Verdict
    lacking: str = ""
    beside: tuple[Candidate, ...] = ()
    cause: str = ""  # that of the finding of another check that tells the same


YES = Answer(Verdict.MET)


def no(lacking: str, cause: str = "") -> Answer:
    """It does not hold."""
    return Answer(Verdict.OPEN, lacking, cause=cause)


def unknown(lacking: str) -> Answer:
    """The texts leave it open."""
    return Answer(Verdict.UNDECIDED, lacking)


def when(holds: bool, lacking: str) -> Answer:
    """Yes, or no for that reason."""
    return YES if holds else no(lacking)


@dataclass(frozen=True, slots=True)
class Decided:
    """One sentence after it was looked at: `shown` by these, or `lacking` that, at `where`."""

    sentence: Sentence
    verdict: Verdict
    shown: tuple[Candidate, ...] = ()
    lacking: str = ""
    where: Span | None = None
    cause: str = ""


class State(StrEnum):
    """Where a requirement stands."""

    MET = "met"
    OPEN = "open"
    UNDECIDED = "not decided"
    CLAIMED = "claimed"  # something says that it meets it; no sentence holds it to that
    EYES = "needs eyes"
    ASIDE = "set aside"
    NOT_APPLICABLE = "not applicable"


@dataclass(frozen=True, slots=True)
class Standing:
    """One requirement: its state, its sentences decided, and what the office says about it."""

    requirement: Requirement
    state: State
    decided: tuple[Decided, ...]
    claims: tuple[Candidate, ...]  # what says that it meets it
    beside: tuple[Candidate, ...] = ()  # those of the claims that are beside the point
    aside: SetAside | None = None
    not_applicable: NotApplicable | None = None

    @property
    def shown(self) -> tuple[Candidate, ...]:
        """What shows that it is met, each once; where no sentence decides, what claims it."""
        return tuple({each.key: each for decided in self.decided for each in decided.shown}.values()) or self.claims

    @property
    def texts(self) -> Verdict:
        """What the sentences say together; met when there are none."""
        return all_of(each.verdict for each in self.decided)
