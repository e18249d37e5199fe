"""Do the limits along a circuit name points of it, and do its own waits leave them room?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sopc.checks.days.day import stage_of, visit_of, works_of
from sopc.checks.days.limits import points_at, visit_marks
from sopc.checks.days.work import Edge, Marks, Work
from sopc.checks.report import asked_by, finding, listed
from sopc.checks.time.durations import rounded_down
from sopc.findings import Finding, Note, WalkStep
from sopc.model.nouns import Circuit, Limit, Office, Procedure, Visit, WayLimit, WayPoint
from sopc.source import Span
from sopc.trade.quantities import show_duration
from sopc.trade.simulation import Activity, longest


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of an item's way: a visit with what follows it, or one procedure of the circuit.

    `patience`: seconds the texts let a load wait before it, once the first item is there; 0 where no load gathers.
    """

    title: str
    span: Span
    activities: tuple[Activity, ...]
    marks: Marks
    patience: int
    waits_at: Span
    untimed: int = 0  # steps that do not say how long they take


@dataclass(frozen=True, slots=True)
class Stretch:
    """The two points of a limit on a way: leg and place of each."""

    first: int
    since: Edge
    last: int
    until: Edge


def check(office: Office) -> Iterator[Finding]:
    """Hold the limits along circuits against the circuits themselves.

    1. Each names two points that every visit using its items passes once, in this order (W09).
    2. The waits that the texts allow, with machines at their longest, do not break it (W08).
    3. No procedure on the way allows more where its own page speaks of the same moment (W08).
    4. Some caseload shows that it is kept (W09).
    """
    limited = [circuit for circuit in office.circuits.values() if circuit.way_limits]
    if not limited:
        return
    works = works_of(office)
    for circuit in limited:
        visits = [each for each in office.visits.values() if {item for _, item in each.needs} & set(circuit.items)]
        booked = {booking.visit for caseload in office.caseloads.values() for booking in caseload.bookings}
        for limit in circuit.way_limits:
            if not any(visit.name in booked for visit in visits):
                yield _never_played(circuit, limit)
            yield from _limit(office, works, circuit, limit, visits)


def point_in_words(office: Office, point: WayPoint) -> str:
    """A point as a sentence names it: “Start the program” of “Clean in the washer” starts."""
    if not point.procedure:
        return f"the visit {point.edge}"
    procedure = office.procedures[point.procedure]
    step = procedure.step(point.step) if point.step is not None else None
    of = f"“{step.title or step.name}” of " if step is not None else ""
    return f"{of}“{procedure.title}” {point.edge}"


def cause_of(limit: WayLimit) -> str:
    """What all findings about one limit have in common."""
    return f"limit at {limit.span.file}:{limit.span.line}"


def _limit(
    office: Office, works: dict[str, Work], circuit: Circuit, limit: WayLimit, visits: list[Visit]
) -> Iterator[Finding]:
    for visit in visits:
        legs = _legs(office, works, circuit, visit)
        stretch = _stretch(legs, limit)
        if isinstance(stretch, str):
            yield _off_the_way(circuit, limit, visit, stretch)
            return
        if any(step in leg.marks for leg in legs for step in limit.unless):
            continue
        if limit.most is not None:
            yield from _untimed(circuit, limit, legs[stretch.first : stretch.last + 1])
        wider = _wider(office, circuit, limit)
        yield from wider
        if limit.most is not None:
            found = list(_waits(office, circuit, limit, legs, stretch))
            yield from found
            if found:
                return
        if wider:
            return


def _legs(office: Office, works: dict[str, Work], circuit: Circuit, visit: Visit) -> list[Leg]:
    marks = visit_marks(visit, works)
    untimed = sum(works[name].untimed for name in visit.afterwards)
    legs = [Leg(visit.title, visit.span, visit_of(office, visit, works).activities, marks, 0, visit.span, untimed)]
    for stage in circuit.stages:
        work, procedure = works[stage.procedure], office.procedures[stage.procedure]
        made = stage_of(office, stage.procedure, work, [])
        patience = made.patience if made.size > made.smallest else 0
        waits_at = circuit.patience_span or circuit.span
        legs.append(Leg(procedure.title, stage.span, work.activities, work.marks, patience, waits_at, work.untimed))
    return legs


def _stretch(legs: list[Leg], limit: WayLimit) -> Stretch | str:
    """Where the limit lies on the way, or what is wrong with it, as the end of a sentence."""
    found = []
    for point in (limit.earlier, limit.later):
        places = [(at, edge) for at, leg in enumerate(legs) for edge in points_at(leg.marks, point)]
        name = "visit" if not point.procedure else point.procedure
        if not places:
            what = f"{point.step} of {name}" if point.step else name
            return f"“{what}” is not done on it, or only sometimes"
        if len(places) > 1:
            return f"“{name}” is done {len(places)} times on it, and which of them is meant is not said"
        found.append(places[0])
    (first, since), (last, until) = found
    if (last, until.activity) < (first, since.activity):
        return "there the later moment comes before the earlier one"
    if (last, until.activity) == (first, since.activity):
        return "both moments lie in one go of work, where the procedure itself must say it"
    return Stretch(first, since, last, until)


def _waits(office: Office, circuit: Circuit, limit: WayLimit, legs: list[Leg], stretch: Stretch) -> Iterator[Finding]:
    """The sum of what must be allowed for between the two points, as the texts let loads wait."""
    assert limit.most is not None
    walk: list[WalkStep] = []
    total = 0
    for at in range(stretch.first, stretch.last + 1):
        leg = legs[at]
        if at > stretch.first and leg.patience:
            total += leg.patience
            walk.append(WalkStep(f"a load for “{leg.title}” may wait {show_duration(leg.patience)}", leg.waits_at))
        first = stretch.since.activity + (not stretch.since.at_start) if at == stretch.first else 0
        last = stretch.until.activity + stretch.until.at_end if at == stretch.last else len(leg.activities)
        seconds = sum(longest(activity) for activity in leg.activities[first:last])
        if seconds:
            total += seconds
            lead = "the visit and what follows it," if at == 0 and not first else "after" if at == 0 else "in"
            walk.append(WalkStep(f"{lead} “{leg.title}”: {show_duration(seconds)}", leg.span))
    most = rounded_down(limit.most)
    if total <= most:
        return
    walk.append(WalkStep(f"together {show_duration(total)}: {show_duration(total - most)} too long", limit.span))
    waits = sum(leg.patience for leg in legs[stretch.first + 1 : stretch.last + 1])
    room = most - (total - waits)
    if waits and room >= 0:
        fix = f"`loads wait at most {room // 60} min`, or less: others use the machine too."
    else:
        fix = "Allow more, if the source does; or another step between that makes the wait safe, named by `unless`."
    yield finding(
        "W08",
        limit.span,
        f"{_asked(office, circuit, limit)}; the texts allow {show_duration(total)}.",
        floor="Who keeps to every line breaks this one, without knowing.",
        walk=walk,
        fix=fix,
        cause=cause_of(limit),
        asked_by=asked_by(office, limit),
    )


def _wider(office: Office, circuit: Circuit, limit: WayLimit) -> list[Finding]:
    """Limits of procedures on the way that allow more for the same later moment than the circuit leaves them."""
    procedure = office.procedures.get(limit.later.procedure)
    if procedure is None or limit.most is None or limit.earlier.procedure == procedure.name:
        return []
    found = []
    for own in procedure.limits:
        if _same_moment(own, limit) and own.most is not None and own.most > limit.most:
            found.append(_too_wide(office, circuit, limit, procedure, own))
    return found


def _same_moment(own: Limit, limit: WayLimit) -> bool:
    return (own.later.step, own.later.edge) == (limit.later.step, limit.later.edge)


def _too_wide(office: Office, circuit: Circuit, limit: WayLimit, procedure: Procedure, own: Limit) -> Finding:
    return finding(
        "W08",
        own.span,
        f"“{procedure.title}” allows {own.most} here, and the circuit “{circuit.title}” only {limit.most} "
        f"from an earlier moment on: {point_in_words(office, limit.earlier)}.",
        floor="Whoever works by this page alone lets items wait longer than they may.",
        fix=f"Write `within {limit.most}` or less here, or correct the circuit.",
        notes=(Note("the circuit's limit", limit.span),),
        asked_by=asked_by(office, limit),
    )


def _asked(office: Office, circuit: Circuit, limit: WayLimit) -> str:
    later, earlier = point_in_words(office, limit.later), point_in_words(office, limit.earlier)
    return f"On the way “{circuit.title}”, {later} within {limit.most} after {earlier}"


def _off_the_way(circuit: Circuit, limit: WayLimit, visit: Visit, why: str) -> Finding:
    return finding(
        "W09",
        limit.span,
        f"This limit of “{circuit.title}” cannot be held against the way from “{visit.title}”: {why}.",
        floor="It stands in the text and binds nobody.",
        fix="Name steps of the circuit's own procedures, or of those done after the visit: "
        "`wash of washing starts within 60 min after visit ends`.",
        cause=cause_of(limit),
    )


def _untimed(circuit: Circuit, limit: WayLimit, legs: list[Leg]) -> Iterator[Finding]:
    names = [f"“{leg.title}”" for leg in legs if leg.untimed]
    if names:
        yield finding(
            "W09",
            limit.span,
            f"Whether this limit of “{circuit.title}” is kept is undecided: steps of, or after, {listed(names)} do not "
            "say how long they take.",
            floor="They count as nothing, and the limit seems to leave more time than it does.",
            fix="Say `takes …` in each step on the way.",
            cause=cause_of(limit),
        )


def _never_played(circuit: Circuit, limit: WayLimit) -> Finding:
    return finding(
        "W09",
        limit.span,
        f"No caseload shows whether this limit of “{circuit.title}” is kept.",
        floor="How long items wait for a machine is not known.",
        fix="Write the visits of a day: `caseload ordinary_day … { visit … at 08:00 }`.",
        cause=cause_of(limit),
    )
