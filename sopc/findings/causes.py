"""Findings that follow from one fault are shown once: which one is shown, and how many more there are."""

from __future__ import annotations

from collections.abc import Sequence

from sopc.findings.finding import Finding, Severity

HEAVIEST = (Severity.ERROR, Severity.WARNING, Severity.REMARK)


def one_per_cause(findings: Sequence[Finding]) -> tuple[list[Finding], dict[str, int]]:
    """The heaviest finding of each cause, the first of those, and how many more each cause has."""
    chosen: dict[str, Finding] = {}
    counts: dict[str, int] = {}
    for finding in findings:
        if not finding.cause:
            continue
        counts[finding.cause] = counts.get(finding.cause, -1) + 1
        known = chosen.setdefault(finding.cause, finding)
        if HEAVIEST.index(finding.severity) < HEAVIEST.index(known.severity):
            chosen[finding.cause] = finding
    return [each for each in findings if not each.cause or chosen[each.cause] is each], counts


def follow_from_it(number: int) -> str:
    """How many findings are not shown because they follow from the one that is; empty for none."""
    if not number:
        return ""
    return f"and {number} more that follow{'s' if number == 1 else ''} from it"
