"""Codes about schedule."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
