"""Codes about control."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
