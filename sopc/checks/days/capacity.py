"""Does the day's work fit: machines, chairs, people and sets against the visits booked?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.days import circuits
from sopc.checks.days.circuits import cause_of, point_in_words
from sopc.checks.days.conflicts import clashing, conflicts_of
from sopc.checks.days.day import (
    DAY_NAMES,
    MOST_SETS,
    MOST_VISITS,
    OfficeDay,
    clock,
    office_days,
    weekday_of,
    without_stock,
)
from sopc.checks.days.limits import waits_in_words
from sopc.checks.days.proof import Safe, Unproven, prove
from sopc.checks.days.visits import visits_clash
from sopc.checks.days.week import Row, keeps_going, rows_of
from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Booking, Caseload, Circuit, Office, Visit
from sopc.trade.quantities import show_duration
from sopc.trade.simulation import Run, longest, simulate


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold each caseload against what the office has.

    1. No machine or chair is asked for more than it can do before the sets must be ready (W01).
    2. No more sets are away at once than there are, at the quickest (W02) and at the slowest (W03).
    3. The hands-on work fits the people on duty (W04).
    4. There is an order of work that keeps every limit, inside each procedure and along the circuits, whatever
       machines and patients take (W05 when none was found, W09 when only limits along circuits stand in the way).
    5. The plan knows how long, which way and how many (W06), and no one comes when the office is closed (W07).
    6. Days that end the next morning can follow each other, each begun with what the one before left (W11).
    7. Limits along circuits name points of them, and the circuits' own waits leave them room (`circuits`).
    """
    yield from circuits.check(office)
    if not office.caseloads:
        return
    for visit in office.visits.values():
        yield from _visit(office, visit)
    for circuit in office.circuits.values():
        yield from _circuit(circuit)
    told = False
    for caseload in office.caseloads.values():
        for each in _caseload(office, caseload):
            told = True
            yield each
    if not told:
        yield from (_standing_still(row) for row in rows_of(office) if not keeps_going(row))


def _visit(office: Office, visit: Visit) -> Iterator[Finding]:
    if visit.lasts is None:
        yield finding(
            "W06",
            visit.span,
            f"The visit “{visit.title}” does not say how long it lasts.",
            floor="The plan counts no time for it.",
            fix="Write the shortest and the longest: `lasts 40 to 60 min`.",
        )
    ways = {item for circuit in office.circuits.values() for item in circuit.items}
    for _, name in visit.needs:
        item = office.items[name]
        if name not in ways and not any(each.value == "single use" for each in item.properties):
            yield finding(
                "W06",
                visit.span,
                f"“{visit.title}” uses {item.title}, and no circuit brings it back to the cabinet.",
                floor="The plan lets it vanish after use.",
                fix=f'`circuit … "…" {{ for {name}  perform … }}` with the procedures it goes through.',
                cause=f"no way back {name}",
            )


def _circuit(circuit: Circuit) -> Iterator[Finding]:
    if not circuit.items or not circuit.stages:
        missing = "for which items it is" if not circuit.items else "which procedures they go through"
        yield finding(
            "W06",
            circuit.span,
            f"The circuit “{circuit.title}” does not say {missing}.",
            floor="The plan leaves it out.",
            fix="`for cassette  perform washing, packing one by one, sterilizing`",
        )


def _caseload(office: Office, caseload: Caseload) -> Iterator[Finding]:
    closed = [day for day in caseload.weekdays if not office.calendar.open_days.get(day)]
    if closed or weekday_of(office, caseload) is None:
        days = listed([f"{DAY_NAMES[day]}s" for day in closed]) or "any day of the week"
        yield finding(
            "W07",
            caseload.span,
            f"“{caseload.title}” is meant for {days}, and the office is not open then.",
            floor="Visits would be booked for a locked door.",
            fix="Take the day out of `on …`, or add it to the office's `open`.",
        )
        return
    for weekday in caseload.weekdays or (weekday_of(office, caseload),):
        hours = office.calendar.open_days[weekday or 0]
        wrong = [each for each in caseload.bookings if not _open(hours, each)]
        yield from (_closed(each) for each in wrong)
        if wrong:
            return
    for made in office_days(office, caseload):
        if not made.day.bookings:
            continue
        if made.too_large:
            yield finding(
                "W05",
                caseload.span,
                f"“{caseload.title}” is too large to plan: at most {MOST_VISITS} visits and {MOST_SETS:,} sets a day.",
                floor="Whether it fits is not known.",
                fix="Plan one team or one floor at a time.",
            )
            return
        found = list(_day(made))
        yield from found
        if found:
            return


def _open(hours: tuple[tuple[int, int], ...], booking: Booking) -> bool:
    return all(any(start <= minute < end for start, end in hours) for minute in booking.minutes)


def _closed(booking: Booking) -> Finding:
    return finding(
        "W07",
        booking.span,
        f"Visits {booking.text} begin when the office is closed.",
        floor="Patients would stand before a locked door.",
        fix="Book within opening hours of every day the caseload names.",
    )


def _day(made: OfficeDay) -> Iterator[Finding]:
    for device, item in made.unheld:
        yield finding(
            "W06",
            made.office.devices[device].span,
            f"{made.office.devices[device].title} does not say how many {title(made.office.items, item)} it holds.",
            floor="The plan puts in one at a time.",
            fix=f"`holds … {item}` in the device.",
            cause=f"unheld {device} {item}",
        )
    conflicts = conflicts_of(made)
    yield from conflicts
    if conflicts:
        return
    yield from _slow_sets(made)
    verdict = prove(made)
    if isinstance(verdict, Safe):
        return
    if verdict.limits:
        yield from (_unproven(made, verdict.run, each) for each in verdict.limits)
        return
    clash = visits_clash(made)
    if clash is not None:
        yield clashing(made, clash)
    else:
        yield finding(
            "W05",
            made.caseload.span,
            f"“{made.caseload.title}” is neither shown to fit nor shown not to: {verdict.why}.",
            floor="On most days it may go well; nobody can promise it.",
            fix=f"See `sopc plan` for how often. The last set must be ready by {clock(made.ready_by)}: "
            "book the last visits earlier, or say `ready by …` later.",
        )


def _unproven(made: OfficeDay, run: Run, open_limit: Unproven) -> Finding:
    limit = open_limit.limit
    said = f"within {limit.most}" if limit.most is not None else f"at least {limit.least}"
    if open_limit.promised is None:
        what = "all limits together are not shown to be kept"
    else:
        what = f"the best order found can promise {show_duration(open_limit.promised)}"
    later, earlier = point_in_words(made.office, limit.later), point_in_words(made.office, limit.earlier)
    return finding(
        "W09",
        limit.span,
        f"On “{made.caseload.title}” it is not shown that {later} {said} after {earlier}: {what}.",
        floor="On a day on which machines and patients take long, items stand longer than they may.",
        walk=[WalkStep(text, span) for text, span in waits_in_words(made, run, open_limit.reach)],
        fix="Let loads wait less, have one machine or person more, or space the visits: `sopc plan` shows the day.",
        notes=(Note("the day's visits", made.caseload.span),),
        cause=cause_of(limit),
        asked_by=asked_by(made.office, limit),
    )


def _standing_still(row: Row) -> Finding:
    caseload = row.made.caseload
    first, last = row.days[0].name, row.days[-1].name
    days = f"from {first} to {last}" if row.closed else "week after week"
    why = (
        f"there are too many visits {days} to plan"
        if row.too_large
        else f"no order of work was found that keeps every limit {days}, each day begun with what the one before left"
    )
    return finding(
        "W11",
        caseload.span,
        f"Each day of “{caseload.title}” by itself fits; that day after day goes on so is not shown: {why}.",
        floor="What is left over takes the machines and hands of the next morning, and a little more each day.",
        fix="Let one day of the week end with all put away (no `next day`), book fewer visits, or get another machine.",
    )


def _slow_sets(made: OfficeDay) -> Iterator[Finding]:
    peaks = simulate(without_stock(made), longest).peaks
    for name, needed in peaks.items():
        owned = made.office.items[name].count
        if owned is not None and needed > owned:
            item = made.office.items[name]
            yield finding(
                "W03",
                item.span,
                f"“{made.caseload.title}” may need {needed} × {item.title}; the office owns {owned}.",
                floor="When machines and patients take their longest, a patient waits for instruments.",
                fix=f"Own {needed}; `sopc plan` says how often fewer are enough.",
                notes=(Note("the day's visits", made.caseload.span),),
            )
