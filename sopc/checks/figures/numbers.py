"""Numbers that hurt when wrong: held against physics, and against what published tables ask."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.figures import programs, readings, residues, runs, solutions
from sopc.checks.items import packaging
from sopc.findings import Finding
from sopc.model.nouns import Office


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what the numbers promise.

    Of programs and published rows (`programs`, `exposures`), of how they are run (`runs`) and with what in them
    (`packaging`), of log columns (`readings`), of solutions (`solutions`), and of chemicals that follow one another
    (`residues`).
    """
    yield from programs.check(office)
    yield from runs.check(office)
    yield from packaging.check(office)
    yield from readings.check(office)
    yield from solutions.check(office)
    yield from residues.check(office)
