"""A day's plan for the terminal and as a PDF: chooses the caseload, draws with block characters, writes the page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from sopc.documents.day_chart import hour_label, without_nights
from sopc.documents.day_lanes import Fill, Lane, split_title
from sopc.documents.day_plan import CAUTION, DayPlan, day_plan, day_plan_document, sections_of, title_of
from sopc.documents.register import Section, Table
from sopc.model.nouns import Caseload, Office
from sopc.press.order import PressError

QUARTER = 900
NAMES = 24
WIDTH = 100
BLOCKS = {Fill.PATIENT: "░", Fill.HANDS: "█", Fill.MACHINE: "▒", Fill.HELD: "·"}
BY_WEIGHT = (Fill.PATIENT, Fill.MACHINE, Fill.HANDS, Fill.HELD)
PLAN_ID = "DAY-PLAN"


def caseload_for(office: Office, name: str | None, day: date | None) -> Caseload:
    """The caseload asked for, or the one for that day. Raises PressError when there is none."""
    known = office.caseloads
    if not known:
        raise PressError('the texts name no caseload; write one: `caseload ordinary_day "…" { visit … at 08:00 }`')
    if name is not None:
        if name not in known:
            raise PressError(f"there is no caseload {name}; there is {', '.join(known)}")
        return known[name]
    fitting = [each for each in known.values() if day is None or not each.weekdays or day.weekday() in each.weekdays]
    if not fitting:
        raise PressError(f"no caseload is meant for that day of the week; there is {', '.join(known)}")
    return fitting[0]


def plan_of(office: Office, name: str | None, day: date | None, runs: int, seed: int) -> DayPlan:
    """Work the plan out. Raises PressError when the office is closed then, or nobody is booked."""
    caseload = caseload_for(office, name, day)
    if day is not None and not office.calendar.is_open(day):
        reason = office.calendar.closed_reason(day)
        raise PressError(f"the office is closed on {day.isoformat()}" + (f" ({reason})" if reason else ""))
    plan = day_plan(office, caseload, day, runs, seed)
    if plan is None:
        raise PressError(f"{caseload.name} books no visits, or too many, or the office is never open on its days")
    return plan


def in_words(plan: DayPlan) -> str:
    """The plan as text for a terminal."""
    figures = plan.figures
    lines = [title_of(plan), f"{figures.runs} days played, seed {figures.seed}", "", *_verdict(plan), ""]
    lines += [*_chart(plan), ""]
    for section in sections_of(plan):
        lines += [*_section(section), ""]
    lines += _wrapped(CAUTION)
    return "\n".join(lines) + "\n"


def write_pdf(plan: DayPlan, today: date, target: Path) -> None:
    """Write the plan's pages. Raises PressError when the file cannot be written."""
    from sopc.render import pdf

    document = day_plan_document(plan, PLAN_ID, today)
    data = pdf.write_pdf(document.html, document.assets, today)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    except OSError as error:
        raise PressError(f"{target} cannot be written: {error.strerror}") from error


def _wrapped(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)


def _verdict(plan: DayPlan) -> Iterator[str]:
    verdict = plan.verdict
    yield from _wrapped(f"{verdict.word}. {verdict.text}")
    for number, reason in enumerate(verdict.reasons, 1):
        yield from textwrap.wrap(reason, WIDTH, initial_indent=f"{number:3d}. ", subsequent_indent="     ")


def _chart(plan: DayPlan) -> Iterator[str]:
    made, day = plan.made, plan.made.day
    lanes = [without_nights(lane, day) for lane in plan.lanes]
    bars = [bar for lane in lanes for bar in lane.bars]
    first = min(day.awake(made.opens), *(bar.start for bar in bars)) // 3600
    last = -(-max(day.awake(made.ready_by), *(bar.end for bar in bars)) // 3600)
    hours = "".join(f"{hour_label(day, hour):<4}" for hour in range(first, last))
    yield f"{'':{NAMES}} {hours}{hour_label(day, last)}"
    for lane in lanes:
        yield f"{_cut(lane.title):{NAMES}} {_row(lane, first, last)}|"
    yield f"{'':{NAMES}} ░ patient  █ hands-on  ▒ machine  · held, waiting (a character is a quarter of an hour)"


def _cut(title: str) -> str:
    name, which = split_title(title)
    return title if len(title) <= NAMES else f"{name[: NAMES - 1 - len(which)]}…{which}"


def _row(lane: Lane, first: int, last: int) -> str:
    """For each quarter of an hour the filling that takes most of it, if it takes a third of it or more."""
    row = []
    for start in range(first * 3600, last * 3600, QUARTER):
        share = dict.fromkeys(BY_WEIGHT, 0)
        for bar in lane.bars:
            share[bar.fill] += max(0, min(bar.end, start + QUARTER) - max(bar.start, start))
        most = max(BY_WEIGHT, key=lambda fill: share[fill])
        row.append(BLOCKS[most] if share[most] * 3 >= QUARTER else "▏" if share[most] else " ")
    return "".join(row)


def _section(section: Section) -> Iterator[str]:
    yield section.heading.upper()
    for paragraph in section.text.split("\n"):
        yield from _wrapped(paragraph)
    for table in section.tables:
        yield from _turns(table) if section.large else _table(table)


def _turns(table: Table) -> Iterator[str]:
    """Lines of work: the hour, then what is done with what, and what it waits for."""
    for hour, *rest in table.rows:
        what, waits = ("; ".join((cell.text, *cell.lines, *cell.under)).strip("; ") for cell in rest)
        yield from _pair(hour.text, what if waits in ("", "–") else f"{what}. Wait until {waits}")


def _table(table: Table) -> Iterator[str]:
    rows = [[column.title for column in table.columns], *([cell.text for cell in row] for row in table.rows)]
    widths = [max(len(row[place]) for row in rows) for place in range(len(table.columns))]
    widths[0] = min(widths[0], max(NAMES, WIDTH - sum(widths[1:]) - 2 * len(widths[1:])))
    if table.columns[-1].width == "" and len(table.columns) == 2 and widths[1] > WIDTH:
        yield from (line for row in rows[1:] for line in _pair(*row))
        return
    for number, row in enumerate(rows):
        lead = textwrap.wrap(row[0], widths[0], break_on_hyphens=False) or [""]
        cells = [lead[0].rjust(widths[0]) if table.columns[0].number else lead[0].ljust(widths[0])]
        cells += [
            text.rjust(width) if column.number else text.ljust(width)
            for text, width, column in zip(row[1:], widths[1:], table.columns[1:], strict=True)
        ]
        yield "  ".join(cells).rstrip()
        yield from lead[1:]
        if not number:
            yield "  ".join("─" * width for width in widths)


def _pair(lead: str, text: str) -> list[str]:
    """A row of two cells of which the second is long: the first as a line of its own."""
    return [lead, *textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False)]
