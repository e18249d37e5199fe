"""Offices wrong in exactly one way each: the finding that is expected, at its line, and no other error."""

from __future__ import annotations

import re

import pytest
from syrupy.assertion import SnapshotAssertion

from sopc.findings import Severity
from sopc.findings.text import render
from tests.broken.offices import BROKEN, FOLDER, findings_of


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
