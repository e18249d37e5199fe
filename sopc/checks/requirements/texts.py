"""All that a thing says in words, for sentences that ask for a word."""

from __future__ import annotations

from collections.abc import Iterator
from functools import singledispatch
from typing import Any

from sopc.checks.paths import outcomes_of
from sopc.model.nouns import Log, Procedure, Source, Step, Stop, Supply, Task, Term, Training


@singledispatch
def said_of(record: Any) -> Iterator[str]:
    """The texts of a record: its title, its notes, and what its kind says besides."""
    if isinstance(record, tuple):
        yield from (str(part) for part in record)
        return
    yield record.title
    yield from record.notes


@said_of.register
def _(record: Procedure) -> Iterator[str]:
    yield from (record.title, record.purpose, record.scope, record.done, *record.notes)
    yield from (signal.text for signal in record.signals)
    for step in record.steps():
        yield from said_of(step)


@said_of.register
def _(record: Step) -> Iterator[str]:
    yield from (record.title, record.when, *record.notes)
    yield from (signal.text for signal in record.signals)
    yield from (check.question for check in record.checks)
    yield from (outcome.text for _, outcome in outcomes_of(record) if isinstance(outcome, Stop))


@said_of.register
def _(record: Task) -> Iterator[str]:
    yield from (record.title, record.because, *record.notes)
    yield from (schedule.event for schedule in record.schedules)


@said_of.register
def _(record: Log) -> Iterator[str]:
    yield from (record.title, record.out_of_limits, *record.notes)
    yield from (column.title for column in record.columns)


@said_of.register
def _(record: Training) -> Iterator[str]:
    yield from (record.title, record.topics, record.trainer, *record.notes)


@said_of.register
def _(record: Supply) -> Iterator[str]:
    yield from (record.title, record.registration, *record.notes)


@said_of.register
def _(record: Source) -> Iterator[str]:
    yield from (record.title, record.publisher, record.reference, *record.notes)


@said_of.register
def _(record: Term) -> Iterator[str]:
    yield from (record.word, record.text)
