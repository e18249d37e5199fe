"""One type for everything the compiler has to say, and the registry of what it can say."""

from sopc.findings.finding import Finding, Note, Severity, WalkStep, alike, worst
from sopc.findings.registry import Code, code

__all__ = ["Code", "Finding", "Note", "Severity", "WalkStep", "alike", "code", "worst"]
