"""Codes about time."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
