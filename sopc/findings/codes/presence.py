"""Codes about presence."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
