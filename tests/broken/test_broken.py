"""Offices wrong in exactly one way each: the finding that is expected, at its line, and no other error."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from sopc.findings import Finding, Severity
from sopc.findings.text import render
from sopc.language.folder import TextFolder
from sopc.language.read import Reading
from sopc.library import check, in_order, load_from

FOLDER = Path(__file__).resolve().parent
BASE = (FOLDER / "base.txt").read_text(encoding="utf-8")
BROKEN = sorted(path.name for path in FOLDER.glob("*.sop"))
TODAY = date(2026, 12, 1)


def findings_of(texts: dict[str, str]) -> tuple[list[Finding], Reading]:
    office, findings, reading = load_from(TextFolder({"base.sop": BASE, **texts}))
    return in_order([*findings, *(check(office, TODAY) if office else [])]), reading


def test_there_are_many() -> None:
    assert len(BROKEN) >= 55


def test_the_base_alone_is_clean() -> None:
    assert findings_of({})[0] == []


@pytest.mark.parametrize("name", BROKEN)
def test_the_one_fault_is_found_at_its_line_and_nothing_else(name: str, snapshot: SnapshotAssertion) -> None:
    text = (FOLDER / name).read_text(encoding="utf-8")
    expected = re.match(r"# expects: ([A-Z]\d\d) line (\d+)\n", text)
    assert expected, f"{name} does not say what it expects"
    findings, reading = findings_of({name: text})
    mine = [each for each in findings if each.span.file == name or each.severity is Severity.ERROR]
    assert [(each.code, each.span.file, each.span.line) for each in mine] == [(expected[1], name, int(expected[2]))]
    assert render(mine, reading.files) == snapshot
