"""Tasks, logs and training out of their declarations."""

from __future__ import annotations

from fractions import Fraction

from sopc.findings import Finding, Note, Severity
from sopc.language.syntax import Token, span_of, text_of
from sopc.model.acts import doing, performers, performing, recording
from sopc.model.entries import SCHEDULES, Clause, Entry
from sopc.model.nouns import Column, ColumnLimit, Log, Task, Training
from sopc.model.procedures import document_fields
from sopc.model.schedules import LONGEST_INTERVAL, schedule
from sopc.model.values import Values, text
from sopc.trade import quantities

MOST_ROWS = 500  # of one sheet; a busy sterilizer fills some three hundred a month


def task(values: Values, entry: Entry) -> Task:
    if_closed = entry.one("if_closed")
    return Task(
        **values.common(entry),
        does=tuple(
            act for c in entry.all("does") if (act := doing(values, c, "item", "device", "supply", "area")) is not None
        ),
        performs=tuple(
            work
            for c in entry.all("perform")
            if (work := performing(values, c, "item", "device", "supply", "area")) is not None
        ),
        by=performers(values, entry.one("by")),
        area=values.one_name(entry.one("in_area"), "area"),
        using=tuple(name for c in entry.all("using") for name in values.names(c, "device", "supply")),
        schedules=tuple(
            due
            for c in entry.clauses
            if c.node.kind in SCHEDULES and (due := schedule(values, c, if_closed)) is not None
        ),
        takes=values.duration(entry.one("takes")),
        records=tuple(made for c in entry.all("record") if (made := recording(values, c)) is not None),
        renews=values.names(entry.one("renews"), "supply"),
        because=text(entry.one("because")),
    )


def log(values: Values, entry: Entry) -> Log:
    sheet = entry.one("sheet")
    period = sheet.node.token("PERIOD") if sheet else None
    rows = sheet.node.node("rows") if sheet else None
    unit = rows.token("ROW_UNIT") if rows else None
    number = rows.token("NUMBER") if rows else None
    keep = entry.one("keep")
    years = keep.node.token("NUMBER") if keep else None
    if keep is not None and Fraction(str(years)) == 0:
        values.findings.append(
            Finding(
                "Q03",
                Severity.ERROR,
                keep.span,
                f"“{entry.title}” is kept for no time at all.",
                "It is thrown away on the day, and nothing can be shown.",
                (),
                "Write how many years: `keep 3 years`; or leave the clause out.",
            )
        )
    return Log(
        **document_fields(values, entry),
        for_devices=values.names(entry.one("for_names"), "device"),
        period=str(period) if period else "monthly",
        row=str(unit) if unit else "",
        blank_rows=values.whole_token(number, sheet.file, MOST_ROWS, 1) if number is not None and sheet else None,
        columns=_columns(values, entry),
        out_of_limits=text(entry.one("out_of_limits")),
        keep_years=Fraction(str(years)) if years else None,
    )


def _columns(values: Values, entry: Entry) -> tuple[Column, ...]:
    columns: dict[str, Column] = {}
    for clause in entry.all("column"):
        made = _column(values, clause)
        if made.name in columns:
            values.findings.append(
                Finding(
                    "N02",
                    Severity.ERROR,
                    made.span,
                    f"The column “{made.name}” of “{entry.name}” is declared twice.",
                    "Nobody could tell which of the two to fill in.",
                    (),
                    "Rename or delete one of them.",
                    (Note("first declared here", columns[made.name].span),),
                )
            )
        columns[made.name] = made
    return tuple(columns.values())


def _column(values: Values, clause: Clause) -> Column:
    type_node = clause.node.node("column_type")
    assert type_node is not None
    word, unit = type_node.token("COLUMN_TYPE"), type_node.token("UNIT")
    choices = tuple(text_of(token) for token in type_node.tokens("STRING"))
    kind = str(word) if word else "choice" if choices else "quantity"
    if unit is not None:
        known_unit(values, unit, clause.file)
    if len(set(choices)) < len(choices):
        values.findings.append(
            Finding(
                "N02",
                Severity.ERROR,
                clause.span,
                f"One of the choices {', '.join(choices)} stands there twice.",
                "Nobody could tell which of the two boxes to tick.",
                (),
                "Delete one of them.",
            )
        )
    limit = column_limit(values, clause, kind, choices)
    return Column(
        str(clause.node.tokens("NAME")[0]),
        text_of(clause.node.tokens("STRING")[0]),
        kind,
        str(unit) if unit else "",
        choices,
        limit,
        clause.span,
    )


def known_unit(values: Values, unit: Token, file: str) -> None:
    """Tell of a word that is no unit."""
    if quantities.unit(str(unit)) is not None:
        return
    close = quantities.alike(str(unit))
    values.findings.append(
        Finding(
            "Q01",
            Severity.ERROR,
            span_of(file, unit),
            f"“{unit}” is neither a unit nor a kind of column.",
            "Nobody could tell what to write in the column.",
            (),
            f"Did you mean “{close[0]}”?"
            if close
            else 'Kinds are number, text, date, time, initials, tick, choice "…" or "…", or a unit.',
        )
    )


def column_limit(values: Values, clause: Clause, kind: str, choices: tuple[str, ...]) -> ColumnLimit | None:
    """What a column, or a published bound, accepts."""
    node = clause.node.node("column_limit")
    if node is None:
        return None
    span = span_of(clause.file, node)
    accept = text_of(node.token("STRING"))
    numbers = [Fraction(str(token)) for token in node.tokens("NUMBER")]
    if accept and accept not in choices:
        values.findings.append(
            Finding(
                "N10",
                Severity.ERROR,
                span,
                f"“{accept}” is not one of the choices of this column.",
                "No entry could ever be accepted.",
                (),
                f"Its choices are {', '.join(choices) or 'none'}.",
            )
        )
    if numbers and kind not in ("quantity", "number"):
        values.findings.append(
            Finding(
                "Q02",
                Severity.ERROR,
                span,
                f"A column of kind {kind} cannot have numbers as its limit.",
                "No entry could be held against the limit.",
                (),
                "Give the column a unit, or `number`.",
            )
        )
    if len(numbers) == 2 and numbers[1] < numbers[0]:
        values.findings.append(
            Finding(
                "Q03",
                Severity.ERROR,
                span,
                "The limit runs backwards.",
                "No reading could ever be accepted.",
                (),
                "Put the smaller value first.",
            )
        )
        return None
    at_most = node.token("MOST") is not None
    least = numbers[0] if numbers and not at_most else None
    most = numbers[-1] if len(numbers) == 2 or (numbers and at_most) else None
    return ColumnLimit(least, most, accept, span)


def training(values: Values, entry: Entry) -> Training:
    return Training(
        **values.common(entry),
        roles=values.names(entry.one("for_names"), "role"),
        covers=values.names(entry.one("covers"), "procedure"),
        on_hire=entry.one("on_hire") is not None,
        after_change=entry.one("after_change") is not None,
        every_days=values.whole(entry.one("at_least_every"), LONGEST_INTERVAL, 1),
        topics=text(entry.one("topics")),
        trainer=text(entry.one("trainer")),
        records=tuple(made for c in entry.all("record") if (made := recording(values, c)) is not None),
    )
