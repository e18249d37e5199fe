"""Findings as SARIF 2.1.0 (OASIS, Static Analysis Results Interchange Format), for editors and code hosts."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import Any
from urllib.parse import quote

from sopc.findings.causes import follow_from_it, one_per_cause
from sopc.findings.explain import as_markdown, long_form, paragraphs
from sopc.findings.finding import Finding, Severity, WalkStep
from sopc.findings.registry import Code, codes
from sopc.source import SourceFile, Span

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.REMARK: "note"}
SHIPPED = "sopc:"  # as names of texts begin that came with sopc
BASES = {
    "OFFICE": "The office folder that was checked.",
    "SHIPPED": "The texts that came with sopc.",
}
FINGERPRINT = "placeAndText/v1"

Entry = dict[str, Any]


def render(findings: Sequence[Finding], files: Mapping[str, SourceFile], version: str, exit_code: int) -> str:
    """One SARIF log with one run. Findings of one cause are one result; no clock and no machine's path goes in."""
    shown, hidden = one_per_cause(findings)
    rules = list(codes().values())
    numbers = {entry.code: number for number, entry in enumerate(rules)}
    prints = _fingerprints(shown, files)
    results = [
        _result(finding, numbers[finding.code], hidden.get(finding.cause, 0), mark)
        for finding, mark in zip(shown, prints, strict=True)
    ]
    run = {
        "tool": {"driver": _driver(rules, version)},
        "invocations": [
            {
                "executionSuccessful": True,
                "exitCode": exit_code,
                "exitCodeDescription": "errors were found" if exit_code else "no errors were found",
            }
        ],
        "originalUriBaseIds": {name: {"description": {"text": text}} for name, text in BASES.items()},
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, ensure_ascii=False, indent=2) + "\n"


def _driver(rules: Sequence[Code], version: str) -> Entry:
    driver: Entry = {"name": "sopc", "version": version, "language": "en", "rules": [_rule(entry) for entry in rules]}
    if re.fullmatch(r"\d+\.\d+\.\d+", version):
        driver["semanticVersion"] = version
    return driver


def _rule(entry: Code) -> Entry:
    return {
        "id": entry.code,
        "name": "".join(word[0].upper() + word[1:] for word in re.findall(r"[A-Za-z]+", entry.title)),
        "shortDescription": {"text": f"{entry.title.rstrip('.?!')}."},
        "fullDescription": {"text": " ".join(paragraphs(entry)[0].split())},
        "help": {"text": long_form(entry), "markdown": as_markdown(entry)},
        "defaultConfiguration": {"level": LEVELS[entry.severity]},
    }


def _result(finding: Finding, rule: int, more: int, fingerprint: str) -> Entry:
    """One result. A fix is words for a person, not an edit of the text, so it stands in the message."""
    result: Entry = {
        "ruleId": finding.code,
        "ruleIndex": rule,
        "level": LEVELS[finding.severity],
        "message": {"text": _message(finding, more)},
        "locations": [_location(finding.span)] if finding.span.file else [],
        "partialFingerprints": {FINGERPRINT: fingerprint},
    }
    if finding.notes:
        result["relatedLocations"] = [
            {"id": number, **_location(note.span), "message": {"text": note.text}}
            for number, note in enumerate(finding.notes, 1)
        ]
    if finding.walk:
        flow = [_flow_step(number, step) for number, step in enumerate(finding.walk, 1)]
        result["codeFlows"] = [{"threadFlows": [{"locations": flow}]}]
    said = {"floor": finding.floor, "fix": finding.fix, "askedBy": list(finding.asked_by)}
    bag = {key: value for key, value in said.items() if value}
    if bag:
        result["properties"] = bag
    return result


def _message(finding: Finding, more: int) -> str:
    parts = [
        finding.sentence,
        f"On the floor: {finding.floor}" if finding.floor else "",
        f"Fix: {finding.fix}" if finding.fix else "",
        f"Asked for by {'; '.join(finding.asked_by)}." if finding.asked_by else "",
        f"({follow_from_it(more)})" if more else "",
    ]
    return "\n".join(part for part in parts if part)


def _flow_step(number: int, step: WalkStep) -> Entry:
    location = _location(step.span) if step.span and step.span.file else {}
    return {"location": {**location, "message": {"text": step.text}}, "executionOrder": number}


def _location(span: Span) -> Entry:
    base, name = ("SHIPPED", span.file[len(SHIPPED) :]) if span.file.startswith(SHIPPED) else ("OFFICE", span.file)
    physical: Entry = {"artifactLocation": {"uri": quote(name, safe="/"), "uriBaseId": base}}
    if span.line > 0:
        physical["region"] = {
            "startLine": span.line,
            "startColumn": max(span.column, 1),
            "endLine": max(span.end_line, span.line),
            "endColumn": max(span.end_column, 1),
        }
    return {"physicalLocation": physical}


def _fingerprints(findings: Sequence[Finding], files: Mapping[str, SourceFile]) -> list[str]:
    """What stays the same when lines move: code, file, the words of the line, and which of several alike it is."""
    seen: dict[tuple[str, str, str], int] = {}
    found: list[str] = []
    for finding in findings:
        file = files.get(finding.span.file)
        words = " ".join(file.line(finding.span.line).split()) if file else finding.sentence
        key = (finding.code, finding.span.file, words)
        seen[key] = seen.get(key, 0) + 1
        found.append(sha256("\n".join((*key, str(seen[key]))).encode()).hexdigest()[:32])
    return found
