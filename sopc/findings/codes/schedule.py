"""Codes about schedule."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
