"""When a task is due: schedule clauses as occasions or recurrences, with the words a reader would use."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from sopc.findings import Finding, Severity
from sopc.language.syntax import Node, Token, span_of, text_of
from sopc.model.entries import Clause
from sopc.model.nouns import Occasion, Schedule
from sopc.model.values import Values
from sopc.trade.calendar import Frequency, Recurrence

DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
LONGEST_INTERVAL = 3660  # days: ten years
ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": -1}
OCCASIONS = {
    "each_patient": (Occasion.EACH_PATIENT, "for each patient"),
    "start_of_day": (Occasion.START_OF_DAY, "at the start of each day"),
    "end_of_day": (Occasion.END_OF_DAY, "at the end of each day"),
}
CLOSED_WORDS = {
    "skip": "; skipped when closed",
    "next": "; next open day when closed",
    "previous": "; previous open day when closed",
}


def weekdays(node: Node | None) -> tuple[int, ...]:
    """The weekdays of a `days` node, 0 for Monday; a span may run over the end of the week."""
    found: list[int] = []
    for part in node.nodes("day_span") if node is not None else ():
        ends = [DAYS.index(str(token)) for token in part.tokens("DAY")]
        length = (ends[-1] - ends[0]) % 7
        found.extend((ends[0] + step) % 7 for step in range(length + 1))
    return tuple(sorted(set(found)))


def list_in_words(words: list[str]) -> str:
    """One, two and three."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def schedule(values: Values, clause: Clause, if_closed: Clause | None) -> Schedule | None:
    """The schedule one clause states; None when something in it is wrong."""
    node, span = clause.node, clause.span
    if node.kind in OCCASIONS:
        occasion, words = OCCASIONS[node.kind]
        return Schedule(occasion, None, "", "", None, words, True, span)
    if node.kind == "each_load":
        token = node.token("NAME")
        device = values.name(token, clause.file, "device") if token else ""
        title = values.entries.of("device")[device].title if device else ""
        return Schedule(
            Occasion.EACH_LOAD,
            None,
            device or "",
            "",
            None,
            f"for each load of {title}" if title else "for each load",
            True,
            span,
        )
    if node.kind == "after_event":
        event = text_of(node.token("STRING"))
        return Schedule(Occasion.EVENT, None, "", event, None, f"after {event}", True, span)
    return _recurring(values, clause, _closed_rule(if_closed))


def _closed_rule(clause: Clause | None) -> Literal["skip", "next", "previous"] | None:
    if clause is None:
        return None
    token = clause.node.token("WHEN_CLOSED")
    if token is None:
        return "skip"
    return "next" if str(token) == "next" else "previous"


def _recurring(
    values: Values, clause: Clause, when_closed: Literal["skip", "next", "previous"] | None
) -> Schedule | None:
    node = clause.node
    minute = None
    complete = True
    rule: Recurrence | None
    if node.kind in ("every_day", "at_time"):
        rule, words = Recurrence(Frequency.DAILY), "every day"
        token = node.token("TIME")
        if token is not None:
            minute = values.minutes(token, clause.file)
            words += f" at {token}"
    elif node.kind == "every_week":
        days = weekdays(node.node("days"))
        complete = bool(days)
        rule = Recurrence(Frequency.WEEKLY, days)
        words = "every week" + (f" on {list_in_words([DAY_NAMES[day] for day in days])}" if days else "")
    elif node.kind in ("every_month", "every_quarter"):
        month_day = node.node("month_day")
        complete = month_day is not None
        frequency = Frequency.MONTHLY if node.kind == "every_month" else Frequency.QUARTERLY
        every = "every month" if node.kind == "every_month" else "every quarter"
        rule, words = _monthly(values, clause, month_day, frequency, every)
    elif node.kind == "every_year":
        token = node.token("DATE_IN_YEAR")
        complete = token is not None
        rule, words = _yearly(values, clause, token)
    else:
        number = node.tokens("NUMBER")[0]
        interval = values.whole_token(number, clause.file, LONGEST_INTERVAL, 1)
        date_token = node.token("DATE")
        start = values.day(date_token, clause.file)
        complete = start is not None
        rule = Recurrence(Frequency.EVERY_DAYS, interval=interval, start=start) if interval else None
        words = f"every {number} days" + (f" from {start.isoformat()}" if start else "")
    if rule is None:
        return None
    if when_closed is not None:
        words += CLOSED_WORDS[when_closed] if rule.frequency is not Frequency.DAILY else ""
    return Schedule(None, replace(rule, when_closed=when_closed), "", "", minute, words, complete, clause.span)


def _monthly(
    values: Values, clause: Clause, node: Node | None, frequency: Frequency, every: str
) -> tuple[Recurrence | None, str]:
    if node is None:
        return Recurrence(frequency), every
    ordinal = node.token("ORDINAL")
    if ordinal is not None:
        day = DAYS.index(str(node.token("DAY")))
        return Recurrence(frequency, (day,), nth=ORDINALS[str(ordinal)]), f"{every} on the {ordinal} {DAY_NAMES[day]}"
    number = node.tokens("NUMBER")[0]
    day_of_month = values.whole_token(number, clause.file, 31, 1)
    if day_of_month is None:
        return None, every
    return Recurrence(frequency, day=day_of_month), f"{every} on day {day_of_month}"


def _yearly(values: Values, clause: Clause, token: Token | None) -> tuple[Recurrence | None, str]:
    if token is None:
        return Recurrence(Frequency.YEARLY), "every year"
    month, day = (int(part) for part in str(token).split("-"))
    longest = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    if not 1 <= month <= 12 or not 1 <= day <= longest[month - 1]:
        values.findings.append(
            Finding(
                "Q06",
                Severity.ERROR,
                span_of(clause.file, token),
                f"There is no day {token} in a year.",
                "The task would never come round.",
                (),
                "Write month and day: 03-15.",
            )
        )
        return None, "every year"
    return Recurrence(Frequency.YEARLY, month=month, day=day), f"every year on {MONTHS[month - 1]} {day}"
