"""Puts values of the model into words for the two sides of a change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import date
from enum import Enum
from fractions import Fraction

from sopc.changes.meaning import is_record
from sopc.documents import way_limits, wording
from sopc.documents.log_tables import accepted, symbol
from sopc.documents.sources import source_title
from sopc.model.nouns import (
    AnotherPerson,
    Booking,
    Check,
    Citation,
    Column,
    ColumnLimit,
    Declared,
    Dilution,
    Doing,
    Duration,
    Exposure,
    Figure,
    GoTo,
    Limit,
    Office,
    Passage,
    PastRevision,
    Performers,
    Performing,
    PerformThen,
    Piece,
    Procedure,
    Proceed,
    Process,
    Recording,
    Repeat,
    Run,
    Schedule,
    Signal,
    Stage,
    Stop,
    WayLimit,
)
from sopc.model.sentences import Sentence
from sopc.source import Span
from sopc.trade.calendar import OfficeCalendar
from sopc.trade.quantities import Quantity, show_number

LABELS = {
    "by": "who does it",
    "area": "place",
    "wearing": "protective equipment",
    "does": "what is done",
    "runs": "program",
    "using": "what is used",
    "performs": "procedure carried out",
    "takes": "time it takes",
    "when": "when it is done",
    "checks": "check",
    "onward": "what follows",
    "records": "record",
    "signals": "safety message",
    "figures": "figure",
    "meets": "requirements met",
    "sentences": "what it requires",
    "citations": "source",
    "notes": "note",
    "from_conditions": "condition at the start",
    "to_conditions": "condition at the end",
    "done": "when it is done",
    "schedules": "when it is due",
    "for_devices": "devices it is for",
    "row": "what a row stands for",
    "blank_rows": "number of rows",
    "period": "what a sheet covers",
    "keep_years": "how long it is kept",
    "least_most": "range",
    "every_days": "least often, in days",
    "effective": "effective date",
    "review": "review date",
    "contact": "contact time",
    "stock": "stock strength",
    "on_duty": "number on duty",
    "holds": "capacity",
    "with_any": "must use one of",
    "another": "another person",
    "only": "only what is",
    "protects": "protective equipment asked for",
    "once_off": "to be done once it is off",
    "off_before_clean": "off before clean work",
    "wrapped": "means a wrapped load",
    "says_wearing": "says what is worn",
    "fixed": "built into",
    "holds_contact_time": "lasts the contact time",
    "pack": "pack it comes from",
    "limit": "what is accepted",
    "way_limits": "time limit",
    "lasts": "duration",
    "group": "group",
    "due": "until",
    "process": "how it works",
    "drying": "drying time",
    "suits": "loads it is for",
    "loads": "loads it is for",
    "a0": "A0",
    "works_at": "strength the label asks for",
    "rewet": "wetted again every",
    "overridden": "reason for the office’s own value",
}


def label(name: str) -> str:
    """What a reader calls a field."""
    return LABELS.get(name, name.replace("_", " "))


def say(office: Office, value: object, procedure: Procedure | None = None) -> str:
    """A value in words; an empty text for nothing. Steps are told by number and title when `procedure` is given."""
    if value is None or value == () or value == "":
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return title_anywhere(office, value)
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, Fraction):
        return show_number(value)
    if isinstance(value, date):
        return wording.day(value)
    if isinstance(value, Quantity | int):
        return str(value)
    if isinstance(value, tuple):
        return _say_tuple(office, value, procedure)
    if isinstance(value, Mapping):
        return "; ".join(f"{name}: {say(office, item, procedure)}" for name, item in value.items())
    if isinstance(value, frozenset):
        return ", ".join(sorted(say(office, item) for item in value))
    return _say_record(office, value, procedure)


def title_anywhere(office: Office, name: str) -> str:
    """The title of whatever bears this name in the office; the text itself when nothing does."""
    for things in (office.roles, office.devices, office.supplies, office.areas, office.ppe, office.conditions):
        if name in things:
            return things[name].title
    more = (
        office.items,
        office.actions,
        office.procedures,
        office.tasks,
        office.logs,
        office.zones,
        office.kinds,
        office.visits,
    )
    return next((things[name].title for things in more if name in things), name)


def _say_tuple(office: Office, value: tuple[object, ...], procedure: Procedure | None) -> str:
    if len(value) == 2 and isinstance(value[0], Quantity) and isinstance(value[1], Quantity):
        return wording.time_range(value[0], value[1])
    if len(value) == 2 and isinstance(value[0], int) and isinstance(value[1], int):
        return str(value[0]) if value[0] == value[1] else f"{value[0]} to {value[1]}"
    if len(value) == 2 and isinstance(value[0], int | Quantity) and isinstance(value[1], str):
        return f"{value[0]} {say(office, value[1])}"
    if all(isinstance(item, str) for item in value):
        return ", ".join(say(office, item) for item in value)
    return "; ".join(say(office, item, procedure) for item in value)


def _say_record(office: Office, value: object, procedure: Procedure | None) -> str:
    match value:
        case Duration():
            return f"{wording.duration(value)} ({value.decider.value})" if value.contingent else wording.duration(value)
        case Passage():
            only = f", only {say(office, value.only)}" if value.only else ""
            return f"{say(office, value.source)} to {say(office, value.target)}{only}"
        case Performers():
            return wording.people(office, value)
        case Piece():
            return " or ".join(say(office, name) for name in value.any_of)
        case AnotherPerson():
            return f"than in {wording.steps_named(procedure, value.steps)}" if procedure else ""
        case Dilution():
            return wording.dilution(value)
        case Exposure():
            return f"{value.temperature} for {wording.time_range(value.least, value.most)}"
        case Doing():
            items = ", ".join(say(office, item) for item in value.items)
            return f"{say(office, value.action)} ({items})" if items else say(office, value.action)
        case Run():
            return f"{say(office, value.device)}: {wording.exposure(office, value.device, value.program)}"
        case Performing():
            return wording.document_reference(office.procedures.get(value.procedure), value.procedure)
        case Recording():
            columns = f" ({', '.join(value.columns)})" if value.columns else ""
            return f"{say(office, value.log)}{columns}"
        case Signal():
            return f"{value.word.value.upper()}: {value.text}"
        case Figure():
            return f"{value.file} {value.caption}".strip()
        case Citation():
            mark = f" ({value.mark.value})" if value.mark else ""
            return f"{source_title(office, value.source)} {value.locator}{mark}".strip()
        case Process():
            return f"{value.agent.value} {value.way}".strip()
        case PastRevision():
            return f"revision {value.number}, {wording.day(value.effective)}: {value.what}"
        case Schedule() | Sentence():
            return value.text
        case Booking():
            return f"{say(office, value.visit)}: {value.text}"
        case Stage():
            found = office.procedures.get(value.procedure)
            one_by_one = ", one by one" if value.one_by_one else ""
            return f"{wording.document_reference(found, value.procedure)}{one_by_one}"
        case Column():
            kind = " or ".join(value.choices) or symbol(value) or value.type
            return ", ".join(part for part in (value.title, kind, accepted(value)) if part)
        case Repeat() | GoTo() | Stop() | Proceed() | PerformThen():
            return wording.outcome(office, procedure, value) if procedure else ""
        case Check():
            follows = wording.on_no(office, procedure, value) if procedure else ""
            return f"{value.question} If no: {wording.small(follows)}" if follows else value.question
        case ColumnLimit():
            return say_accepted(value)
        case Limit():
            return say_limit(procedure, value)
        case WayLimit():
            return way_limits.said(office, value)
        case OfficeCalendar():
            return say_hours(value)
        case Declared():
            return value.title or value.name
    return (
        "; ".join(
            part
            for each in fields(value)
            if not each.name.endswith("span") and (part := say(office, getattr(value, each.name)))
        )
        if is_record(value)
        else str(value)
    )


def say_limit(procedure: Procedure | None, rule: Limit) -> str:
    """A time limit as an order, with the exceptions."""
    if procedure is None:
        return ""
    because = f"Because {rule.because}" if rule.because else ""
    parts = (wording.limit(procedure, rule, subject=True), wording.unless(procedure, rule), because)
    return ". ".join(part.rstrip(".") for part in parts if part)


def say_accepted(limit: ColumnLimit) -> str:
    """What a column accepts, in the column's unit: "132 to 137", "at least 4", "pass"."""
    if limit.accept:
        return limit.accept
    least, most = (None if end is None else show_number(end) for end in (limit.least, limit.most))
    if least is not None and most is not None:
        return f"{least} to {most}"
    return f"at least {least}" if least is not None else f"at most {most}"


DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def say_hours(calendar: OfficeCalendar) -> str:
    """Opening hours: "Mon 08:00-17:00, Tue …"."""
    parts = []
    for day, stretches in sorted(calendar.open_days.items()):
        hours = " and ".join(f"{clock(first)}–{clock(last)}" for first, last in stretches)
        parts.append(f"{DAYS[day]} {hours}")
    return ", ".join(parts)


def clock(minute: int) -> str:
    """Minutes after midnight as a clock shows them: 08:05."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def leaf_words(value: object) -> str:
    """All words and quantities in a value, to judge how alike two things are."""
    if isinstance(value, str):
        return value
    if isinstance(value, Quantity | Fraction):
        return str(value)
    if isinstance(value, Span) or value is None:
        return ""
    if isinstance(value, Mapping):
        return " ".join(f"{name} {leaf_words(item)}" for name, item in value.items())
    if isinstance(value, tuple):
        return " ".join(word for item in value if (word := leaf_words(item)))
    if is_record(value) and not isinstance(value, Enum):
        words = (leaf_words(getattr(value, each.name)) for each in fields(value) if each.name not in ("name", "pack"))
        return " ".join(word for word in words if word)
    return ""
