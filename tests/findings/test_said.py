"""What every finding carries: what would happen on the floor, a way to mend it, a walk with places, its sources."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

import sopc
from sopc.findings import Finding, Severity
from sopc.findings.data import render as as_json
from sopc.findings.registry import codes
from sopc.findings.text import render
from tests.broken.offices import BROKEN, findings_of, found_in

PACKAGE = Path(sopc.__file__).parent
# A slip of form: the text cannot be read, so nothing of it comes as far as the floor.
WITHOUT_FLOOR = frozenset(code for code in codes() if code.startswith("F"))

CITED = """
procedure work "Work" {
  id "SOP-1" revision 1 effective 2026-01-05 review 2027-01-05
  owner hygienist approver dentist
  by assistant wearing gloves in cleaning
  step a "Soak" { takes 30 min }
  limit procedure ends within 20 min after procedure starts { cite book "VI.F" read }
}
"""


def heavy(name: str) -> list[Finding]:
    return [each for each in found_in(name)[0] if each.severity is not Severity.REMARK]


@pytest.mark.parametrize("name", BROKEN)
def test_a_finding_says_what_would_happen_on_the_floor(name: str) -> None:
    assert [each.code for each in heavy(name) if not each.floor and each.code not in WITHOUT_FLOOR] == []


@pytest.mark.parametrize("name", BROKEN)
def test_a_finding_says_how_to_mend_it(name: str) -> None:
    assert [each.code for each in heavy(name) if not each.fix] == []


@pytest.mark.parametrize("name", BROKEN)
def test_a_finding_is_one_plain_sentence(name: str) -> None:
    assert [each.sentence for each in heavy(name) if each.sentence[-1] not in ".?" or "\n" in each.sentence] == []


@pytest.mark.parametrize("name", BROKEN)
def test_a_walk_begins_at_a_place_in_the_text(name: str) -> None:
    walks = [each.walk for each in heavy(name) if each.walk]
    assert all(walk[0].span is not None and walk[0].span.line > 0 for walk in walks)


@pytest.mark.parametrize("name", BROKEN)
def test_a_walk_is_small(name: str) -> None:
    assert all(len(each.walk) <= 12 for each in heavy(name))


def _calls(name: str) -> Iterator[tuple[str, ast.Call]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name:
                yield f"{path.relative_to(PACKAGE)}:{node.lineno}", node


def _code(call: ast.Call) -> str:
    first = call.args[0] if call.args else None
    return first.value if isinstance(first, ast.Constant) and isinstance(first.value, str) else ""


def _empty(value: ast.expr) -> bool:
    return isinstance(value, ast.Constant) and value.value == ""


def test_every_check_says_floor_and_fix_wherever_it_tells() -> None:
    said = [(place, {each.arg: each.value for each in call.keywords}) for place, call in _calls("finding")]
    assert len(said) > 60
    assert [p for p, by in said if not {"floor", "fix"} <= by.keys() or _empty(by["floor"]) or _empty(by["fix"])] == []


def test_every_fault_of_the_text_says_floor_and_fix_wherever_it_is_told() -> None:
    said = [(place, call) for place, call in _calls("Finding") if _code(call)]
    silent = [place for place, call in said if len(call.args) < 7 or _empty(call.args[4]) or _empty(call.args[6])]
    assert len(said) > 40
    assert silent == []


def test_the_sources_behind_a_limit_are_printed() -> None:
    findings, reading = findings_of({"cited.sop": CITED})
    assert "Asked for by The book, VI.F." in render(findings, reading.files)
    assert json.loads(as_json(findings, "1"))["findings"][0]["asked_by"] == ["The book, VI.F"]


@pytest.mark.parametrize(
    ("clause", "step", "code"),
    [
        ('action tidy "Tidy" { needs clean cite book "3" read }', "does tidy takes 1 min", "O01"),
        ('supply gel "Gel" { contact 5 min cite book "4" }', "does disinfect using gel takes 1 min", "P05"),
    ],
)
def test_the_source_of_a_clause_stands_behind_what_it_asks(clause: str, step: str, code: str) -> None:
    head = CITED[: CITED.index("  step a")]
    office = f'{clause}\n{head}  handles tip from soiled to soiled\n  step a "Do" {{ {step} }}\n}}\n'
    told = [each.asked_by[0] for each in findings_of({"work.sop": office})[0] if each.code == code]
    assert [source.split(",")[0] for source in told] == ["The book"]
