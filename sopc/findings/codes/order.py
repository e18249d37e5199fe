"""Codes about order."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
