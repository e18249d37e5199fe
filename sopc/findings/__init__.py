"""One type for everything the compiler has to say, and the registry of what it can say."""

from sopc.findings.finding import Finding, Note, Severity, WalkStep, alike, worst
from sopc.findings.registry import Code, code, codes

__all__ = ["Code", "Finding", "Note", "Severity", "WalkStep", "alike", "code", "codes", "worst"]
