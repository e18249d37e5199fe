"""What is written as SARIF keeps to SARIF 2.1.0 (OASIS): its published schema, and what its text asks beside that."""

from __future__ import annotations

import json
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator

from sopc import __version__
from sopc.findings import Finding, Severity
from sopc.findings.registry import codes
from sopc.findings.sarif import render
from sopc.language.folder import DiskFolder
from sopc.language.read import Reading
from sopc.library import check, failed, load_from
from sopc.source import NOWHERE
from tests.broken.offices import BASE, BROKEN, FOLDER, PACKS, findings_of, found_in

SCHEMA = Path(__file__).parent / "published" / "sarif-schema-2.1.0.json"
DEMO = Path(__file__).resolve().parents[2] / "protocols" / "larkspur_pass" / "2026-12"


@cache
def validator() -> Draft7Validator:
    return Draft7Validator(
        json.loads(SCHEMA.read_text(encoding="utf-8")), format_checker=Draft7Validator.FORMAT_CHECKER
    )


def run_of(findings: list[Finding], reading: Reading) -> dict[str, Any]:
    written = render(findings, reading.files, __version__, 1 if failed(findings) else 0)
    log = json.loads(written)
    assert [each.message for each in validator().iter_errors(log)] == []
    return dict(log["runs"][0])


@cache
def run_in(name: str) -> dict[str, Any]:
    return run_of(*found_in(name))


def results_of(name: str) -> list[dict[str, Any]]:
    return list(run_in(name)["results"])


def broken(name: str, text: str) -> list[dict[str, Any]]:
    return list(run_of(*findings_of({name: text}))["results"])


@pytest.mark.parametrize("name", BROKEN)
def test_findings_of_broken_offices_keep_to_the_schema(name: str) -> None:
    assert results_of(name) != []


def test_the_demo_office_keeps_to_the_schema() -> None:
    office, findings, reading = load_from(DiskFolder(DEMO))
    assert office is not None
    assert run_of([*findings, *check(office, date(2026, 12, 2))], reading)["results"] == []


def test_every_code_is_a_rule_with_help() -> None:
    rules = run_of([], found_in(BROKEN[0])[1])["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == list(codes())
    assert all(rule["help"]["text"] and rule["help"]["markdown"] for rule in rules)


@pytest.mark.parametrize("name", BROKEN)
def test_a_result_points_at_its_rule(name: str) -> None:
    run = run_in(name)
    rules = run["tool"]["driver"]["rules"]
    assert all(rules[each["ruleIndex"]]["id"] == each["ruleId"] for each in run["results"])


def test_each_rule_carries_its_severity_as_a_level() -> None:
    levels = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.REMARK: "note"}
    rules = run_of([], found_in(BROKEN[0])[1])["tool"]["driver"]["rules"]
    assert [rule["defaultConfiguration"]["level"] for rule in rules] == [
        levels[each.severity] for each in codes().values()
    ]


@pytest.mark.parametrize("name", BROKEN)
def test_regions_lie_inside_the_text_they_point_into(name: str) -> None:
    run = run_in(name)
    read = {"base.sop": BASE, **PACKS, name: (FOLDER / name).read_text(encoding="utf-8")}
    texts = {path: text.split("\n") for path, text in read.items()}
    for place in _places(run["results"]):
        lines, region = texts[place["artifactLocation"]["uri"]], place["region"]
        assert 1 <= region["startLine"] <= region["endLine"] <= len(lines)
        assert region["startColumn"] <= len(lines[region["startLine"] - 1]) + 1
        assert region["endColumn"] <= len(lines[region["endLine"] - 1]) + 1


@pytest.mark.parametrize("name", BROKEN)
def test_places_are_relative_to_a_base_that_names_no_machine(name: str) -> None:
    run = run_in(name)
    assert all("uri" not in base for base in run["originalUriBaseIds"].values())
    assert {place["artifactLocation"]["uriBaseId"] for place in _places(run["results"])} <= set(
        run["originalUriBaseIds"]
    )


def test_no_path_of_the_machine_is_written() -> None:
    office, findings, reading = load_from(DiskFolder(DEMO))
    assert office is not None
    assert str(DEMO) not in render(findings, reading.files, __version__, 0)


def test_a_place_in_a_shipped_pack_is_told_apart_from_the_office() -> None:
    texts = {"office.sop": 'use pack dental_reprocessing\nrole assistant "A" { by nobody }\n'}
    findings, reading = findings_of(texts)
    places = [place["artifactLocation"] for place in _places(run_of(findings, reading)["results"])]
    assert all(not each["uri"].startswith("sopc:") for each in places)


def test_a_walk_is_a_flow_in_its_order() -> None:
    result = results_of("limit_too_tight.sop")[0]
    steps = result["codeFlows"][0]["threadFlows"][0]["locations"]
    assert [step["executionOrder"] for step in steps] == [1, 2, 3]
    assert [step["location"]["physicalLocation"]["region"]["startLine"] for step in steps] == [6, 7, 8]


def test_notes_are_related_places() -> None:
    related = results_of("chemicals_together.sop")[0]["relatedLocations"]
    assert [(each["message"]["text"], each["physicalLocation"]["artifactLocation"]["uri"]) for each in related] == [
        ("`not with` stands here", "base.sop")
    ]


def test_a_fix_in_words_is_not_offered_as_an_edit() -> None:
    result = results_of("limit_too_tight.sop")[0]
    assert "fixes" not in result
    assert "Fix: " in result["message"]["text"]


def test_a_fingerprint_stays_when_lines_move() -> None:
    name = "limit_too_tight.sop"
    text = (FOLDER / name).read_text(encoding="utf-8")
    moved = broken(name, "# one more line\n\n" + text)
    assert [each["partialFingerprints"] for each in moved] == [each["partialFingerprints"] for each in results_of(name)]


def test_two_findings_of_one_line_have_fingerprints_of_their_own() -> None:
    text = 'area shed "Shed" { zone nowhere }\narea barn "Barn" { zone elsewhere }\n'
    prints = [each["partialFingerprints"]["placeAndText/v1"] for each in broken("two.sop", text)]
    assert len(set(prints)) == 2


def test_a_name_with_odd_letters_is_written_as_a_uri() -> None:
    text = 'area shed "Shed" { zone nowhere }\n'
    assert {place["artifactLocation"]["uri"] for place in _places(broken("a b#ü.sop", text))} == {"a%20b%23%C3%BC.sop"}


@pytest.mark.parametrize(("name", "status"), [("limit_too_tight.sop", 1), ("never_renewed.sop", 0)])
def test_the_invocation_tells_the_exit_status(name: str, status: int) -> None:
    invocation = run_in(name)["invocations"][0]
    assert (invocation["exitCode"], invocation["executionSuccessful"]) == (status, True)


def test_a_result_without_a_place_keeps_to_the_schema() -> None:
    run = run_of([Finding("W05", Severity.REMARK, NOWHERE, "Said.")],
                 found_in(BROKEN[0])[1])  # fmt: skip
    assert run["results"][0]["locations"] == []


def _places(results: list[dict[str, Any]]) -> list[dict[str, Any]]:
    found = [place for each in results for place in (*each["locations"], *each.get("relatedLocations", []))]
    for each in results:
        for flow in each.get("codeFlows", []):
            found += [step["location"] for thread in flow["threadFlows"] for step in thread["locations"]]
    return [place["physicalLocation"] for place in found if "physicalLocation" in place]
