"""Numbers that hurt when wrong: held against physics, and against what published tables ask."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks import programs, readings
from sopc.findings import Finding
from sopc.model.nouns import Office


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what the numbers promise: of programs and published rows (`programs`), of log columns (`readings`)."""
    yield from programs.check(office)
    yield from readings.check(office)
