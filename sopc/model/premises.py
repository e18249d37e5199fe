"""The office itself: name, place, hours, habits."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from sopc.findings import Finding, Note, Severity
from sopc.language.read import Declaration, Reading, nodes_of
from sopc.language.syntax import span_of, text_of
from sopc.model.entries import Clause, Entry, clauses_of
from sopc.model.nouns import Premises
from sopc.model.schedules import weekdays
from sopc.model.values import Values, texts
from sopc.source import NOWHERE
from sopc.trade import quantities
from sopc.trade.calendar import OfficeCalendar
from sopc.trade.quantities import Dimension, Quantity

ARM_S_LENGTH = quantities.quantity(1, "m")
HIGHEST = quantities.quantity(6000, "m")  # above the highest town
ONE_MINUTE = quantities.quantity(1, "min")


def premises(values: Values, reading: Reading) -> tuple[Premises, OfficeCalendar]:
    """Build the office block; without one, a nameless office and a finding."""
    blocks = list(nodes_of(reading, "office"))
    if not blocks:
        first = next(iter(reading.files), "")
        values.findings.append(
            Finding(
                "N11",
                Severity.ERROR,
                NOWHERE,
                "The text names no office.",
                "No page could say whose it is.",
                (),
                f'Write in {first or "office.sop"}: office "…" {{ open mon to fri 08:00 to 17:00 }}',
            )
        )
        entry = Entry("office", "", "", NOWHERE, "", "", [])
    else:
        entry = _entry(values, blocks)
    return _read(values, entry), _calendar(values, entry)


def _entry(values: Values, blocks: list[Declaration]) -> Entry:
    first, *others = blocks
    title = first.node.tokens("STRING")[0]
    for other in others:
        values.findings.append(
            Finding(
                "N02",
                Severity.ERROR,
                span_of(other.file, other.node.first_token()),
                "The office is declared twice.",
                "No page could say whose it is.",
                (),
                "Keep one office block.",
                (Note("first declared here", span_of(first.file, first.node.first_token())),),
            )
        )
    return Entry(
        "office",
        "office",
        text_of(title),
        span_of(first.file, title),
        first.file,
        first.pack,
        clauses_of(first.node, first.file),
    )


def _read(values: Values, entry: Entry) -> Premises:
    _once(values, entry)
    paper, units = entry.one("paper"), entry.one("units")
    language = entry.one("language")
    readable = values.amount(entry.one("readable"), Dimension.LENGTH)
    return Premises(
        name=entry.title,
        address=tuple(text_of(token) for clause in entry.all("address") for token in clause.node.tokens("STRING")),
        phones=tuple((_strings(clause)[0], _strings(clause)[1]) for clause in entry.all("phone")),
        altitude=_altitude(values, entry.one("altitude")),
        paper=str(paper.node.token("PAPER")) if paper else "letter",
        units=str(units.node.token("SYSTEM")) if units else "metric",
        language=str(language.node.token("NAME")) if language else "en",
        coordinator=values.one_name(entry.one("coordinator"), "role"),
        chart_distance=readable or ARM_S_LENGTH,
        reaction=values.amount(entry.one("reaction"), Dimension.TIME) or ONE_MINUTE,
        notes=texts(entry.all("note")),
        span=entry.span,
    )


def _altitude(values: Values, clause: Clause | None) -> Quantity | None:
    found = values.amount(clause, Dimension.LENGTH)
    if clause is None or found is None or found <= HIGHEST:
        return found
    values.findings.append(
        Finding(
            "Q07",
            Severity.ERROR,
            clause.span,
            f"Nobody works at an altitude of {found}.",
            "Every pressure reading of a sterilizer would be worked out for the wrong air.",
            (),
            "Give the height above the sea with its unit: 2200 m or 7218 ft.",
        )
    )
    return None


def _once(values: Values, entry: Entry) -> None:
    seen: dict[str, Clause] = {}
    for clause in entry.clauses:
        kind = clause.node.kind
        if kind in seen and kind not in ("address", "phone", "open", "closed", "note"):
            values.findings.append(
                Finding(
                    "N05",
                    Severity.ERROR,
                    clause.span,
                    f"“{clause.node.first_token()}” is said twice of the office.",
                    "Only one of the two can be true.",
                    (),
                    "Delete one of them.",
                    (Note("first said here", seen[kind].span),),
                )
            )
        seen.setdefault(kind, clause)


def _strings(clause: Clause) -> list[str]:
    return [text_of(token) for token in clause.node.tokens("STRING")]


def _calendar(values: Values, entry: Entry) -> OfficeCalendar:
    hours: dict[int, list[tuple[int, int]]] = {}
    for clause in entry.all("open"):
        start, end = (values.minutes(token, clause.file) for token in clause.node.tokens("TIME"))
        if start is None or end is None:
            continue
        if end <= start:
            values.findings.append(
                Finding(
                    "Q03",
                    Severity.ERROR,
                    clause.span,
                    "The office closes before it opens.",
                    "No task could fall on that day.",
                    (),
                    "Write the opening time first: open mon to thu 08:00 to 17:00.",
                )
            )
            continue
        for day in weekdays(clause.node.node("days")):
            hours.setdefault(day, []).append((start, end))
    if not hours and entry.name:
        values.findings.append(
            Finding(
                "N12",
                Severity.ERROR,
                entry.span,
                "The office has no opening hours.",
                "No task could fall on a day, and no log sheet could name its days.",
                (),
                "Write in the office block: open mon to thu 08:00 to 17:00",
            )
        )
    return OfficeCalendar(
        {day: tuple(sorted(hours[day])) for day in sorted(hours)}, tuple(_closed(values, entry.all("closed")))
    )


def _closed(values: Values, clauses: Iterable[Clause]) -> list[tuple[date, date, str]]:
    found = []
    for clause in clauses:
        days = [values.day(token, clause.file) for token in clause.node.tokens("DATE")]
        first, last = days[0], days[-1]
        if first is None or last is None:
            continue
        if last < first:
            values.findings.append(
                Finding(
                    "Q03",
                    Severity.ERROR,
                    clause.span,
                    "The closed days run backwards.",
                    "The calendar could not tell which days are closed.",
                    (),
                    "Write the first day first.",
                )
            )
            continue
        found.append((first, last, text_of(clause.node.token("STRING"))))
    return sorted(found)
