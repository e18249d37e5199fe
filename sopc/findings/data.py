"""Findings as JSON, for other programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from sopc.findings.finding import Finding
from sopc.findings.registry import code
from sopc.source import Span


def render(findings: Sequence[Finding], version: str) -> str:
    """One JSON object with the list of findings; keys are stable."""
    document = {"tool": "sopc", "version": version, "findings": [_finding(finding) for finding in findings]}
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"


def _span(span: Span) -> dict[str, Any] | None:
    if not span.file:
        return None
    return {
        "file": span.file,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "span": _span(finding.span),
        "sentence": finding.sentence,
        "floor": finding.floor,
        "walk": [{"text": step.text, "span": _span(step.span) if step.span else None} for step in finding.walk],
        "fix": finding.fix,
        "notes": [{"text": note.text, "span": _span(note.span)} for note in finding.notes],
        "asked_by": list(finding.asked_by),
        "rule": code(finding.code).source,
        "cause": finding.cause,
    }
