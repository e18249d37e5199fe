"""Who does what, wearing what, written down where: clauses that steps, tasks, programs and visits share."""

from __future__ import annotations

from sopc.findings import Finding, Severity, alike
from sopc.language.syntax import Node, span_of, text_of
from sopc.model.entries import Clause
from sopc.model.nouns import Doing, Figure, Performers, Performing, Recording, Signal, SignalWord
from sopc.model.values import Values, text
from sopc.trade.quantities import Dimension, Quantity


def performers(values: Values, clause: Clause | None) -> Performers | None:
    """Who does it."""
    if clause is None:
        return None
    roles = []
    for person in clause.node.nodes("person"):
        number = person.token("NUMBER")
        name = values.name(person.tokens("NAME")[0], clause.file, "role")
        if name is not None:
            roles.append(((values.whole_token(number, clause.file, least=1) or 1) if number else 1, name))
    return Performers(tuple(roles), clause.node.token("AND") is not None, clause.span)


def wearing_of(values: Values, clause: Clause | None) -> tuple[str, ...] | None:
    """The PPE a clause names; nothing worn is an empty list, no clause is None."""
    return values.names(clause, "ppe") if clause is not None else None


def signal(clause: Clause) -> Signal:
    """A safety message."""
    return Signal(SignalWord(str(clause.node.token("SIGNAL_WORD"))), text(clause), clause.span)


def figure(clause: Clause) -> Figure:
    """A picture with its caption."""
    strings = [text_of(token) for token in clause.node.tokens("STRING")]
    return Figure(strings[0], strings[1] if len(strings) > 1 else "", clause.span)


def doing(values: Values, clause: Clause, *kinds: str) -> Doing | None:
    """An action on items."""
    action = values.one_name(clause, "action")
    listed = clause.node.node("names")
    items = names_in(values, listed, clause.file, *kinds) if listed is not None else ()
    return Doing(action, items, clause.span) if action else None


def performing(values: Values, clause: Clause, *kinds: str) -> Performing | None:
    """Another procedure carried out."""
    name = values.one_name(clause, "procedure")
    listed = clause.node.node("names")
    items = names_in(values, listed, clause.file, *kinds) if listed is not None else ()
    return Performing(name, items, clause.span) if name else None


def names_in(values: Values, node: Node, file: str, *kinds: str) -> tuple[str, ...]:
    """The names listed in a part of a clause, each of one of these kinds."""
    return tuple(name for token in node.tokens("NAME") if (name := values.name(token, file, *kinds)) is not None)


def recording(values: Values, clause: Clause) -> Recording | None:
    """A log that is written in, and which columns of it."""
    log = values.one_name(clause, "log")
    listed = clause.node.node("names")
    if log is None:
        return None
    columns = []
    known = [str(column.node.token("NAME")) for column in values.entries.of("log")[log].all("column")]
    for token in listed.tokens("NAME") if listed else []:
        if str(token) in known:
            columns.append(str(token))
            continue
        close = alike(str(token), known)
        values.findings.append(
            Finding(
                "N07",
                Severity.ERROR,
                span_of(clause.file, token),
                f"Log “{log}” has no column “{token}”.",
                "There would be no place on the sheet to write it.",
                (),
                f"Did you mean “{close[0]}”?" if close else f"Its columns are {', '.join(known) or 'none'}.",
            )
        )
    return Recording(log, tuple(columns), clause.span)


def bound_of(values: Values, clause: Clause) -> tuple[Quantity | None, Quantity | None] | None:
    """The least and the most time of a limit; None when one of them is wrong."""
    bound = clause.node.node("bound")
    assert bound is not None
    amounts = [values.quantity_node(node, clause.file, Dimension.TIME) for node in bound.nodes("quantity")]
    if any(amount is None for amount in amounts):
        return None
    at_least = bound.token("LEAST") is not None
    least = amounts[0] if at_least else None
    most = amounts[-1] if not at_least or len(amounts) > 1 else None
    if least is None or most is None or least <= most:
        return least, most
    values.findings.append(
        Finding(
            "Q03",
            Severity.ERROR,
            clause.span,
            f"The limit runs backwards: {least} is more than {most}.",
            "No time, however chosen, would be right.",
            (),
            "Put the smaller value first.",
        )
    )
    return None
