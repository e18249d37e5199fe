"""Limits along circuits in words: on the pages of the procedures they name, in the day plan, in the change report."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sopc.documents import wording
from sopc.documents.sop_model import Clock, LimitLine, LimitRow
from sopc.documents.sources import cited
from sopc.model.nouns import Circuit, Office, Procedure, Step, WayLimit, WayPoint
from sopc.trade.quantities import NBSP


def limits_naming(office: Office, procedure: Procedure) -> tuple[tuple[Circuit, WayLimit], ...]:
    """The limits along circuits whose earlier or later moment lies in this procedure."""
    return tuple(
        (circuit, rule)
        for circuit in office.circuits.values()
        for rule in circuit.way_limits
        if procedure.name in (rule.later.procedure, rule.earlier.procedure)
    )


def order(office: Office, rule: WayLimit, home: Procedure | None = None) -> str:
    """Say a limit as an order: "Start step 5 of SOP-11 within 60 min after the visit ends"; at `home` just "step 5"."""
    verb = "Start" if rule.later.edge == "starts" else "Finish"
    after = f"after {_place(office, rule.earlier, home)} {rule.earlier.edge}"
    what = _place(office, rule.later, home)
    if rule.least is None or rule.least.base == 0:
        return f"{verb} {what} within {rule.most} {after}"
    if rule.most is None:
        return f"{verb} {what} no sooner than {rule.least} {after}"
    return f"{verb} {what} {wording.time_range(rule.least, rule.most)} {after}"


def lifted(office: Office, rule: WayLimit, home: Procedure | None = None) -> str:
    """When a limit is lifted, as "if step 5 of SOP-09 was done"; an empty text when it never is."""
    points = (WayPoint(procedure, step, "ends", rule.span) for procedure, step in rule.unless)
    steps = wording.in_series((_place(office, point, home) for point in points), "or")
    return f"if {steps} was done" if steps else ""


def rows(office: Office, procedure: Procedure, numbers: Mapping[str, int]) -> tuple[LimitRow, ...]:
    """Rows for the procedure's table of time limits."""
    found = []
    for circuit, rule in limits_naming(office, procedure):
        why = " ".join(part for part in (wording.sentence(rule.because), cited(rule.citations, numbers)) if part)
        text = f"{circuit.title}: {wording.small(order(office, rule, procedure))}"
        found.append(LimitRow(text, lifted(office, rule, procedure), why))
    return tuple(found)


def lines(office: Office, procedure: Procedure, step: Step) -> tuple[LimitLine, ...]:
    """What stands at the step at which a limit along a circuit ends."""
    found = []
    for circuit, rule in limits_naming(office, procedure):
        if (rule.later.procedure, rule.later.step) == (procedure.name, step.name):
            earlier = f"{_place(office, rule.earlier, procedure)} {rule.earlier.edge}"
            clocks: tuple[Clock, ...] = ()
            if rule.most is not None:
                word = "Start by" if rule.later.edge == "starts" else "Finish by"
                clocks += (Clock(word, f"{earlier} + {rule.most}"),)
            if rule.least is not None and rule.least.base:
                clocks += (Clock("Not before", f"{earlier} + {rule.least}"),)
            text = lifted(office, rule, procedure)
            exception = f"Does not apply {text}." if text else ""
            said = f"{circuit.title}: {wording.small(order(office, rule, procedure))}."
            found.append(LimitLine(said, exception, wording.sentence(rule.because), clocks))
    return tuple(found)


def begun(office: Office, procedure: Procedure, step: str | None) -> Iterator[tuple[str, str]]:
    """What counts from a step of this procedure, or from the procedure itself: from which edge of it, and in words."""
    for _, rule in limits_naming(office, procedure):
        if (rule.earlier.procedure, rule.earlier.step) == (procedure.name, step):
            yield rule.earlier.edge, f"the limit of {_place(office, rule.later, procedure)} counts from here"


def said(office: Office, rule: WayLimit) -> str:
    """A limit with its exceptions and its reason, for the change report."""
    text = lifted(office, rule)
    parts = (order(office, rule), f"Does not apply {text}" if text else "", rule.because)
    return ". ".join(part.rstrip(".") for part in parts if part)


def _place(office: Office, point: WayPoint, home: Procedure | None) -> str:
    if not point.procedure:
        return "the visit"
    procedure = office.procedures[point.procedure]
    name = procedure.id.replace(" ", NBSP) or f"“{procedure.title}”"
    if point.step is None:
        return "this procedure" if procedure is home else name
    step = wording.step_reference(procedure, point.step)
    return step if procedure is home else f"{step} of {name}"
