"""Findings that follow from one fault are shown once: which one is shown, and how many more there are."""

from __future__ import annotations

from collections.abc import Sequence

from sopc.findings.finding import Finding


def one_per_cause(findings: Sequence[Finding]) -> tuple[list[Finding], dict[str, int]]:
    """The first finding of each cause, and how many more each cause has."""
    shown: list[Finding] = []
    counts: dict[str, int] = {}
    for finding in findings:
        if finding.cause and finding.cause in counts:
            counts[finding.cause] += 1
            continue
        if finding.cause:
            counts[finding.cause] = 0
        shown.append(finding)
    return shown, counts


def follow_from_it(number: int) -> str:
    """How many findings are not shown because they follow from the one that is; empty for none."""
    if not number:
        return ""
    return f"and {number} more that follow{'s' if number == 1 else ''} from it"
