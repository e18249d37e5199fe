"""Codes about reading."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
