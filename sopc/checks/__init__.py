"""The checks: each takes an office and yields findings; they are registered here, one line each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date
from importlib import import_module

from sopc.findings import Finding
from sopc.model.nouns import Office

Check = Callable[[Office, date], Iterable[Finding]]

FAMILIES = (
    "people.presence",
    "rooms.places",
    "rooms.zones",
    "people.worn",
    "people.donning",
    "people.hands",
    "people.soiled_wear",
    "people.training",
    "people.duties",
    "items.order",
    "time.timing",
    "records.supplies",
    "records.schedules",
    "records.logs",
    "records.control",
    "requirements",
    "days.capacity",
    "figures.numbers",
    "records.in_words",
)


def check_office(office: Office, today: date) -> Iterator[Finding]:
    """Run every check over the office; `today` decides what is in force or expired."""
    for family in FAMILIES:
        check: Check = import_module(f"sopc.checks.{family}").check
        yield from check(office, today)
