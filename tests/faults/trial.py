"""Tries mutants: reads only the changed text anew, runs every check, and says what became of each."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from importlib import import_module
from unittest.mock import patch

from sopc.changes.compare import compare
from sopc.checks import FAMILIES, Check
from sopc.checks.days import proof as day_proof
from sopc.documents.fitting import unprintable
from sopc.findings import Finding, Severity
from sopc.language import read
from sopc.language.folder import TextFolder
from sopc.language.parse import parse
from sopc.language.syntax import Node
from sopc.library import check, load_from
from sopc.model.nouns import Office
from sopc.source import SourceFile
from sopc.trade.controllability import is_controllable
from sopc.trade.network import Network
from tests.faults.kinds import Mutant
from tests.faults.protocol import Protocol, edited, parsed

_Told = Counter[tuple[str, str]]
_Numbers = tuple[int, tuple[tuple[int, int, int], ...], tuple[tuple[int, int, int | None, int], ...]]


class Verdict(StrEnum):
    """What became of a mutant."""

    CAUGHT = "caught"
    REMARKED = "remarked"  # only a remark tells of it
    SAME = "same"  # it means what the office meant before
    EXCUSED = "excused"
    MISSED = "missed"


@dataclass(frozen=True, slots=True)
class Outcome:
    """The verdict on one mutant, with the reason it may live, or what it was caught by."""

    kind: str
    mutant: Mutant
    verdict: Verdict
    why: str


class Bench:
    """An office, its texts and their trees, against which mutants are tried."""

    def __init__(self, texts: Mapping[str, str], today: date) -> None:
        self.texts = dict(texts)
        self.today = today
        self._parsed: dict[tuple[str, str], tuple[Node | None, list[Finding]]] = {}
        self._decided: dict[_Numbers, bool] = {}
        office, findings = self.read(self.texts)
        assert office is not None, findings
        self.before = _told(findings)
        own = {name for name in self.texts if not name.startswith("packs/")}
        packs = tuple(f"packs/{pack}/" for pack in office.packs)
        used = [name for name in self.texts if name in own or name.startswith(packs)]
        self.protocol = Protocol(tuple(parsed(name, self.texts[name]) for name in used), office)
        for text in self.protocol.texts:
            file = SourceFile.from_text(text.name, text.text)
            self._parsed[text.name, text.text] = parse(file)

    def read(self, texts: Mapping[str, str]) -> tuple[Office | None, list[Finding]]:
        """Load and check an office; texts known from before are not parsed again."""
        office, findings = self.load(texts)
        with patch.object(day_proof, "is_controllable", self._controllable):
            return office, findings + (check(office, self.today) if office is not None else [])

    def load(self, texts: Mapping[str, str]) -> tuple[Office | None, list[Finding]]:
        """Load an office without checking it."""
        with patch.object(read, "parse", self._parse):
            office, findings, _ = load_from(TextFolder(texts))
        return office, findings

    def _controllable(self, network: Network) -> bool:
        """Decide the same day once: most mutants leave its numbers as they were, and nothing but numbers decides."""
        bounds = tuple((each.source, each.target, each.weight) for each in network.bounds)
        links = tuple((each.activation, each.low, each.high, each.contingent_end) for each in network.links)
        key = network.size, bounds, links
        if key not in self._decided:
            self._decided[key] = is_controllable(network)
        return self._decided[key]

    def _parse(self, file: SourceFile) -> tuple[Node | None, list[Finding]]:
        known = self._parsed.get((file.name, file.text))
        return (known[0], list(known[1])) if known is not None else parse(file)

    def office_of(self, mutant: Mutant) -> tuple[Office | None, list[Finding]]:
        """The mutant as an office, and what is found in it that was not found before."""
        office, findings = self.read({**self.texts, **edited(self.texts, mutant.edits)})
        return office, self._fresh(findings)

    def _fresh(self, findings: Iterable[Finding]) -> list[Finding]:
        left = Counter(self.before)
        fresh: list[Finding] = []
        for finding in findings:
            key = _key(finding)
            if left[key]:
                left[key] -= 1
            else:
                fresh.append(finding)
        return fresh

    def _until_told(self, mutant: Mutant) -> tuple[Office | None, list[Finding]]:
        """As `office_of`, but once an error or warning tells of the mutant the checks that are left do not run."""
        office, findings = self.load({**self.texts, **edited(self.texts, mutant.edits)})
        if office is None or any(_heavy(each) for each in self._fresh(findings)):
            return office, self._fresh(findings)
        with patch.object(day_proof, "is_controllable", self._controllable):
            for check_family in (*_families(), unprintable):
                findings += dict.fromkeys(check_family(office, self.today))
                if any(_heavy(each) for each in self._fresh(findings)):
                    break
        return office, self._fresh(dict.fromkeys(findings))

    def catches(self, mutant: Mutant) -> bool:
        """Whether an error or a warning tells of it, as `office_of` finds, but going no further than the first."""
        return any(_heavy(each) for each in self._until_told(mutant)[1])

    def judge(self, kind: str, mutant: Mutant) -> Outcome:
        """Try one mutant."""
        office, fresh = self._until_told(mutant)
        heavy = sorted({each.code for each in fresh if _heavy(each)})
        if heavy:
            return Outcome(kind, mutant, Verdict.CAUGHT, ", ".join(heavy))
        assert office is not None
        if fresh:
            return Outcome(kind, mutant, Verdict.REMARKED, ", ".join(sorted({each.code for each in fresh})))
        if mutant.excuse:
            return Outcome(kind, mutant, Verdict.EXCUSED, mutant.excuse)
        # Whether it means anything else than before is costly to find out, and told of the others only.
        changed = bool(compare(self.protocol.office, office))
        if not changed:
            return Outcome(kind, mutant, Verdict.SAME, "it means the same as before")
        return Outcome(kind, mutant, Verdict.MISSED, "")

    def judge_all(self, mutants: Iterable[tuple[str, Mutant]]) -> Iterator[Outcome]:
        """Try mutants one after the other."""
        for kind, mutant in mutants:
            yield self.judge(kind, mutant)


def _families() -> Iterator[Check]:
    for family in FAMILIES:
        check_family: Check = import_module(f"sopc.checks.{family}").check
        yield check_family


def _heavy(finding: Finding) -> bool:
    return finding.severity is not Severity.REMARK


def _key(finding: Finding) -> tuple[str, str]:
    """What a finding says, wherever it stands: lines move when text goes."""
    return finding.code, re.sub(r"\d+", "#", finding.sentence)


def _told(findings: Iterable[Finding]) -> _Told:
    return Counter(_key(finding) for finding in findings)
