"""Visits, the circuits of used items and the caseload of a day out of their declarations."""

from __future__ import annotations

from sopc.findings import Finding, Severity
from sopc.language.syntax import Node, Token, span_of, wording
from sopc.model.acts import bound_of, performers
from sopc.model.entries import Clause, Entry, inner_clauses
from sopc.model.nouns import Booking, Caseload, Circuit, Stage, Visit, WayLimit, WayPoint
from sopc.model.schedules import weekdays
from sopc.model.steps import steps_written, unknown_step
from sopc.model.values import Values, text
from sopc.trade.quantities import Dimension

MOST_PER_HOUR = 60
MOST_VISITS = 500  # of one booking; a large clinic's day


def visit(values: Values, entry: Entry) -> Visit:
    chair = entry.one("chair")
    return Visit(
        **values.common(entry),
        lasts=values.duration(entry.one("lasts")),
        by=performers(values, entry.one("by")),
        chairs=_chairs(values, chair) if chair is not None else (),
        needs=_counted(values, entry.one("sets"), "item"),
        afterwards=values.names(entry.one("afterwards"), "procedure"),
    )


def circuit(values: Values, entry: Entry) -> Circuit:
    clause, patience = entry.one("stages"), entry.one("patience")
    stages = []
    for node in clause.node.nodes("stage") if clause is not None else ():
        assert clause is not None
        name = values.name(node.tokens("NAME")[0], clause.file, "procedure")
        if name is not None:
            # All that may stand behind the name is "one by one".
            stages.append(Stage(name, len(node.children) > 1, span_of(clause.file, node)))
    return Circuit(
        **values.common(entry),
        items=values.names(entry.one("for_names"), "item"),
        stages=tuple(stages),
        way_limits=tuple(made for each in entry.all("way_limit") if (made := _limit(values, each)) is not None),
        patience=values.amount(patience, Dimension.TIME),
        patience_span=patience.span if patience is not None else None,
    )


def caseload(values: Values, entry: Entry) -> Caseload:
    days = entry.one("on_days")
    by = entry.one("ready_by")
    time = by.node.token("TIME") if by is not None else None
    return Caseload(
        **values.common(entry),
        weekdays=weekdays(days.node.node("days")) if days is not None else (),
        staff=_counted(values, entry.one("staff"), "role"),
        bookings=tuple(made for clause in entry.all("booked") if (made := _booking(values, clause)) is not None),
        ready_by=values.minutes(time, by.file) if time is not None and by is not None else None,
        ready_next_day=by is not None and len(by.node.children) > 3,
    )


def _limit(values: Values, clause: Clause) -> WayLimit | None:
    later, earlier = (_point(values, node, clause.file) for node in clause.node.nodes("way_point"))
    amounts = bound_of(values, clause)
    unless = [_step(values, node, clause.file) for node in clause.node.nodes("way_step")]
    if later is None or earlier is None or amounts is None:
        return None
    inner = inner_clauses(clause)
    because = text(next((each for each in inner if each.node.kind == "because"), None))
    lifted = tuple(step for step in unless if step is not None)
    return WayLimit(later, earlier, *amounts, lifted, values.citations(inner), because, clause.span)


def _point(values: Values, node: Node, file: str) -> WayPoint | None:
    edge, span = str(node.token("EDGE")), span_of(file, node)
    inner = node.node("way_step")
    if inner is not None:
        step = _step(values, inner, file)
        return WayPoint(*step, edge, span) if step is not None else None
    token = node.token("NAME")
    if token is None:
        return WayPoint("", None, edge, span)
    name = values.name(token, file, "procedure")
    return WayPoint(name, None, edge, span) if name is not None else None


def _step(values: Values, node: Node, file: str) -> tuple[str, str] | None:
    """The procedure and its step that “step of procedure” names, or None and a finding."""
    token, of = node.tokens("NAME")
    procedure = values.name(of, file, "procedure")
    if procedure is None:
        return None
    known = steps_written(values.entries.of("procedure")[procedure])
    if str(token) in known:
        return procedure, str(token)
    values.findings.append(unknown_step(token, file, procedure, known))
    return None


def _chairs(values: Values, clause: Clause) -> tuple[str, ...]:
    """The devices or kinds of device named."""
    found: list[str] = []
    for token in clause.node.tokens("NAME"):
        name = values.name(token, clause.file, "device", "kind")
        if name is None:
            continue
        found.append(name)
    return tuple(dict.fromkeys(found))


def _counted(values: Values, clause: Clause | None, kind: str) -> tuple[tuple[int, str], ...]:
    found = []
    for pair in clause.node.nodes("held") if clause is not None else ():
        assert clause is not None
        number = values.whole_token(pair.tokens("NUMBER")[0], clause.file)
        name = values.name(pair.tokens("NAME")[0], clause.file, kind)
        if number is not None and name is not None:
            found.append((number, name))
    return tuple(found)


def _booking(values: Values, clause: Clause) -> Booking | None:
    name = values.one_name(clause, "visit")
    node = clause.node.node("at_times") or clause.node.node("an_hour") or clause.node.node("every_so_often")
    assert node is not None
    times = [values.minutes(token, clause.file) for token in node.tokens("TIME")]
    known = [time for time in times if time is not None]
    if name is None or len(known) < len(times):
        return None
    if node.kind != "at_times":
        gap = _gap(values, clause)
        if gap is None:
            return None
        first, last = known
        if last <= first:
            values.findings.append(_backwards(clause, node.tokens("TIME")[-1]))
            return None
        count = min(-(-(last - first) * gap[1] // gap[0]), MOST_VISITS)
        known = [first + number * gap[0] // gap[1] for number in range(count)]
    return Booking(name, tuple(sorted(known)), wording(node), clause.span)


def _gap(values: Values, clause: Clause) -> tuple[int, int] | None:
    """Minutes from one visit to the next as a fraction: so many minutes for so many visits."""
    hourly = clause.node.node("an_hour")
    if hourly is not None:
        number = values.whole_token(hourly.tokens("NUMBER")[0], clause.file, MOST_PER_HOUR, 1)
        return (60, number) if number is not None else None
    node = clause.node.node("every_so_often")
    quantity = node.node("quantity") if node is not None else None
    assert quantity is not None
    gap = values.quantity_node(quantity, clause.file, Dimension.TIME)
    if gap is None:
        return None
    minutes, rest = divmod(gap.ticks(), 60)
    if minutes and not rest:
        return (minutes, 1)
    values.findings.append(
        Finding(
            "Q05",
            Severity.ERROR,
            span_of(clause.file, quantity),
            f"Visits every {gap} cannot be booked; whole minutes are needed.",
            "Nobody could write such an appointment down.",
            (),
            "Write whole minutes: every 90 min.",
        )
    )
    return None


def _backwards(clause: Clause, token: Token) -> Finding:
    return Finding(
        "Q03",
        Severity.ERROR,
        span_of(clause.file, token),
        "The last visit would begin before the first.",
        "The day's plan would hold no such visit.",
        (),
        "Write the earlier time first: from 08:00 to 16:00. No visit begins at the second time itself.",
    )
