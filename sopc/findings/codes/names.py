"""Codes about names."""

from sopc.findings.registry import Code

CODES: tuple[Code, ...] = ()
