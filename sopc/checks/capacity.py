"""Does the day's work fit: machines, chairs, people and sets against the visits booked?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks import circuits
from sopc.checks.circuits import cause_of, point_in_words
from sopc.checks.day import (
    COURTESY,
    DAY_NAMES,
    MOST_SETS,
    MOST_VISITS,
    OfficeDay,
    clock,
    office_day,
    weekday_of,
    without_stock,
)
from sopc.checks.day_limits import waits_in_words
from sopc.checks.day_proof import Safe, Unproven, prove
from sopc.checks.day_sums import MachineLack, PeopleLack, SetLack, machine_lacks, people_lacks, set_lacks
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
    6. Limits along circuits name points of them, and the circuits' own waits leave them room (`circuits`).
    """
    yield from circuits.check(office)
    if not office.caseloads:
        return
    for visit in office.visits.values():
        yield from _visit(office, visit)
    for circuit in office.circuits.values():
        yield from _circuit(circuit)
    for caseload in office.caseloads.values():
        yield from _caseload(office, caseload)


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
    made = office_day(office, caseload)
    if made is None or not made.day.bookings:
        return
    if made.too_large:
        yield finding(
            "W05",
            caseload.span,
            f"“{caseload.title}” is too large to plan: {MOST_VISITS} visits and {MOST_SETS:,} sets a day are the most.",
            floor="Whether it fits is not known.",
            fix="Plan one team or one floor at a time.",
        )
        return
    yield from _day(made)


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
    machines = machine_lacks(made)
    # One machine that is busy far too long leaves those before it no time at all: it alone is the cause.
    causes = [lack for lack in machines if lack.window.there > 0]
    lacks = [
        *(_machine(made, lack) for lack in causes or machines),
        *(_people(made, lack) for lack in people_lacks(made)),
        *(_sets(made, lack) for lack in set_lacks(made)),
    ]
    yield from lacks
    if lacks:
        return
    yield from _slow_sets(made)
    verdict = prove(made)
    if isinstance(verdict, Safe):
        return
    if verdict.limits:
        yield from (_unproven(made, verdict.run, each) for each in verdict.limits)
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


def _machine(made: OfficeDay, lack: MachineLack) -> Finding:
    what = listed([made.pool_title(pool) for pool in lack.pools], "or")
    window = lack.window
    walk = []
    for feed, units, loads in window.loads:
        each = "visit" if lack.chairs else "load"
        name = made.office.visits[str(feed.name)].title if lack.chairs else made.office.procedures[str(feed.name)].title
        sets = "" if lack.chairs else f"{units} sets from {clock(window.since)} on, by {name}: "
        lead = f"“{name}”: " if lack.chairs else sets
        walk.append(
            WalkStep(
                f"{lead}{_count(loads, each)} of {show_duration(feed.hold)} = {show_duration(feed.hold * loads)}",
                made.office.visits[str(feed.name)].span if lack.chairs else made.office.procedures[str(feed.name)].span,
            )
        )
    number = sum(made.day.pools[pool] for pool in lack.pools)
    times = f"{number} × " if number > 1 else ""
    walk.append(
        WalkStep(
            f"from {clock(window.since)} to {clock(window.until)} there is "
            f"{times}{show_duration(window.there // number)}: {show_duration(window.short)} short"
        )
    )
    notes = [Note(f"booked {each.text}", each.span) for each in made.caseload.bookings]
    notes += [Note(made.pool_title(pool), made.office.devices[pool.partition(" ")[2]].span) for pool in lack.pools]
    return finding(
        "W01",
        made.caseload.span,
        f"{what} cannot keep up with “{made.caseload.title}”: from {clock(window.since)} on "
        f"{show_duration(window.asked)} of work come, and until {clock(window.until)} there is "
        f"{show_duration(window.there)}.",
        floor=f"Sets are left over in the evening, or go out unsterile. All must be ready by {clock(made.ready_by)}.",
        walk=walk,
        fix="Book the last visits earlier, let fewer sets be used, have one machine more, or `ready by …` later.",
        notes=notes,
    )


def _people(made: OfficeDay, lack: PeopleLack) -> Finding:
    who = listed([made.pool_title(pool) for pool in lack.pools], "or")
    walk = [WalkStep(f"{name}: {show_duration(seconds)}") for name, seconds in lack.parts]
    walk.append(
        WalkStep(
            f"{lack.number} on duty from {clock(lack.since)} to {clock(made.ready_by)}: {show_duration(lack.there)}, "
            f"{show_duration(lack.asked - lack.there)} short"
        )
    )
    return finding(
        "W04",
        made.caseload.span,
        f"From {clock(lack.since)} on, “{made.caseload.title}” asks {who} for {show_duration(lack.asked)} of work, "
        f"and there is {show_duration(lack.there)}.",
        floor="Steps are skipped or hurried, and nobody says which.",
        walk=walk,
        fix="More people on duty (`on duty 2 …` in the caseload), other roles in the steps' `by`, or fewer visits.",
    )


def _sets(made: OfficeDay, lack: SetLack) -> Finding:
    item = made.office.items[lack.item]
    return finding(
        "W02",
        made.caseload.span,
        f"At {clock(lack.at)} {lack.needed} × {item.title} are away from the cabinet; the office owns {lack.owned}.",
        floor="A patient sits in the chair and there are no sterile instruments.",
        walk=(
            WalkStep(
                f"a set is back {show_duration(lack.back_after)} after its visit begins, at the quickest", item.span
            ),
            WalkStep(
                f"visits booked after {clock(lack.at - lack.back_after + COURTESY)} and up to {clock(lack.at)} use "
                f"{lack.needed}, even if each patient waits {show_duration(COURTESY)}"
            ),
        ),
        fix=f"Own {lack.needed} (`count {lack.needed}`), or space these visits further apart.",
        notes=(Note(f"count of {item.title}", item.span),),
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


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
