"""Codes about syntax."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
