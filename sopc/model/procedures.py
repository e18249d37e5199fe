"""Procedures and what every controlled document has, out of their declarations."""

from __future__ import annotations

from datetime import date
from typing import Any

from sopc.language.syntax import text_of
from sopc.model.acts import figure, names_in, signal
from sopc.model.entries import Clause, Entry
from sopc.model.nouns import PastRevision, Procedure
from sopc.model.steps import FLOW, Scribe
from sopc.model.values import Values, text


def document_fields(values: Values, entry: Entry) -> dict[str, Any]:
    """The fields of a controlled document."""
    revision = entry.one("revision")
    dates = revision.node.tokens("DATE") if revision else []
    return {
        **values.common(entry),
        "id": text(entry.one("document_id")),
        "revision": values.whole(revision),
        "effective": values.day(dates[0], revision.file) if revision else None,
        "review": values.day(dates[1], revision.file) if revision and len(dates) > 1 else None,
        "owner": values.one_name(entry.one("owner"), "role"),
        "approver": values.one_name(entry.one("approver"), "role"),
        "history": tuple(_past(values, clause) for clause in entry.all("history")),
    }


def _past(values: Values, clause: Clause) -> PastRevision:
    when = values.day(clause.node.token("DATE"), clause.file)
    return PastRevision(values.whole(clause) or 0, when or date.min, text_of(clause.node.token("STRING")), clause.span)


def procedure(values: Values, entry: Entry) -> Procedure:
    """Build one procedure; step names are its own, and every jump must hit one of them."""
    handles = entry.one("handles")
    lists = list(handles.node.nodes("names")) if handles else []
    listed = (
        [
            names_in(values, node, handles.file, kind)
            for node, kind in zip(lists, ("item", "condition", "condition"), strict=False)
        ]
        if handles
        else [(), (), ()]
    )
    scribe = Scribe(values, entry)
    return Procedure(
        **document_fields(values, entry),
        purpose=text(entry.one("purpose")),
        scope=text(entry.one("scope")),
        done=text(entry.one("done")),
        handles=listed[0],
        from_conditions=listed[1],
        to_conditions=listed[2],
        by=scribe.by,
        wearing=scribe.wearing,
        says_wearing=scribe.says_wearing,
        area=scribe.area,
        materials=values.names(entry.one("materials"), "supply", "device", "item", "ppe"),
        signals=tuple(signal(clause) for clause in entry.all("signal")),
        figures=tuple(figure(clause) for clause in entry.all("figure")),
        parts=scribe.parts([clause for clause in entry.clauses if clause.node.kind in FLOW], ""),
        limits=tuple(limit for clause in entry.all("limit") if (limit := scribe.limit(clause)) is not None),
        handles_span=handles.span if handles else None,
    )
