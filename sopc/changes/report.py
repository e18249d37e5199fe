"""Turns an assessment of changes into the page model of the change report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from sopc.changes.change import Change, How, Kind
from sopc.changes.classify import Assessed, Assessment, Swap, assess
from sopc.changes.compare import headline
from sopc.changes.impact import CONTROL
from sopc.documents.change_report import ChangeReport, Duty, Exchange, Group, Row, pieces
from sopc.documents.frame import fingerprint, generated_frame
from sopc.documents.markdown import plain
from sopc.documents.wording import large
from sopc.documents.working_out import Work, here
from sopc.model.nouns import Document, Office
from sopc.source import Span

REPORT_ID = "CHG"
FOR_APPROVAL = "FOR APPROVAL"
FOLDED = CONTROL - {"source", "requirements met"}
"""Facets told in one line under the heading instead of a row each."""

PLACES = {"procedure or register": "binder", "wall chart": "wall", "log sheet": "clipboard"}
KIND_WORDS = {
    Kind.PROCEDURE: "",
    Kind.LOG: "",
    Kind.PPE: "Protective equipment",
    Kind.KIND: "Kind of device",
    Kind.OFFICE: "Office",
    Kind.SET_ASIDE: "Requirement set aside",
    Kind.NOT_APPLICABLE: "Requirement not applicable",
    Kind.FLOW: "Way between zones",
}
ORDER = (Kind.PROCEDURE, Kind.LOG, Kind.TASK, Kind.DEVICE, Kind.SUPPLY, Kind.ITEM, Kind.ACTION, Kind.CONDITION)
MOST_PAPERS_NAMED = 14


def change_report(
    old: Office, new: Office, old_label: str, new_label: str, today: date, work: Work = here
) -> ChangeReport:
    """Compare two offices and return the report; labels name the two texts for the reader; `work`: see `assess`."""
    return report_of(assess(old, new, today, work), old, new, old_label, new_label, today)


def report_of(
    assessment: Assessment, old: Office, new: Office, old_label: str, new_label: str, today: date
) -> ChangeReport:
    """Return the page model of an assessment."""
    groups = tuple(_group(old, new, members) for members in _grouped(new, assessment.changes))
    attention = tuple(
        (_heading(new, old, each.change), _row(each, new)) for each in assessment.changes if each.needs_attention
    )
    remarks = tuple((remark.document, remark.sentence) for remark in assessment.remarks)
    exchanges = _exchanges(assessment.swaps)
    duties = tuple(
        Duty(duty.title, ", ".join(duty.train), ", ".join(duty.read), max(2, new.roles[duty.role].on_duty[1] + 1))
        for duty in assessment.duties
    )
    content = (old_label, new_label, attention, remarks, exchanges, duties, groups)
    frame = generated_frame(new, REPORT_ID, "Change report", today, fingerprint(content))
    approvers = {procedure.approver for procedure in new.procedures.values() if procedure.approver}
    approver = new.roles[approvers.pop()].title if len(approvers) == 1 else ""
    return ChangeReport(
        frame=replace(frame, status=FOR_APPROVAL),
        old_label=old_label,
        new_label=new_label,
        counts=large(headline([each.change for each in assessment.changes])) + ".",
        attention=attention,
        remarks=remarks,
        exchanges=exchanges,
        duties=duties,
        groups=groups,
        approver=approver,
    )


def _grouped(new: Office, changes: Iterable[Assessed]) -> list[list[Assessed]]:
    """Changes of one thing together; procedures and logs by number, then what people do, then the rest."""
    found: dict[tuple[Kind, str], list[Assessed]] = {}
    for each in changes:
        found.setdefault((each.change.kind, each.change.name), []).append(each)
    ranks = {kind: place for place, kind in enumerate(ORDER)}
    documents: dict[Kind, Mapping[str, Document]] = {Kind.PROCEDURE: new.procedures, Kind.LOG: new.logs}

    def rank(key: tuple[Kind, str]) -> tuple[int, str]:
        document = documents.get(key[0], {}).get(key[1])
        return ranks.get(key[0], len(ORDER)), document.id if document else ""

    return [found[key] for key in sorted(found, key=rank)]


def _group(old: Office, new: Office, members: list[Assessed]) -> Group:
    first = members[0].change
    control = [each.change for each in members if _folded(each.change)]
    rows = tuple(_row(each, new) for each in members if not _folded(each.change))
    papers = list(dict.fromkeys(paper for each in members for paper in each.impact.papers))
    named = [paper for paper in papers if not paper.startswith("chart ")]
    charts = sum(paper.startswith("chart ") for paper in papers)
    if len(named) > MOST_PAPERS_NAMED:
        named = [*named[:MOST_PAPERS_NAMED], f"{len(named) - MOST_PAPERS_NAMED} more"]
    if charts:
        named.append(f"{charts} wall {'chart' if charts == 1 else 'charts'}")
    return Group(_heading(new, old, first), _control_lines(control), ", ".join(named), rows)


def _folded(change: Change) -> bool:
    return change.kind in (Kind.PROCEDURE, Kind.LOG) and not change.part and change.facet in FOLDED


def _control_lines(changes: list[Change]) -> tuple[str, ...]:
    dates = [
        f"{change.facet} {change.old or 'none'} → {change.new or 'none'}"
        for change in changes
        if change.facet != "history"
    ]
    history = [change.new for change in changes if change.facet == "history" and change.new]
    lines = [large("; ".join(dates)) + "."] if dates else []
    return (*lines, *(f"History: {text}" for text in history))


def _heading(new: Office, old: Office, change: Change) -> str:
    documents: dict[str, Document] = {}
    for office in (old, new):
        documents.update(office.procedures if change.kind is Kind.PROCEDURE else office.logs)
    if change.kind in (Kind.PROCEDURE, Kind.LOG) and change.name in documents:
        return f"{documents[change.name].id} {change.title}".strip()
    word = KIND_WORDS.get(change.kind, large(change.kind.value))
    return word if word == change.title else f"{word}: {change.title or change.name}"


def _row(each: Assessed, new: Office) -> Row:
    change = each.change
    old, fresh = pieces(_unmarked(change.old), _unmarked(change.new))
    people = []
    if each.impact.train:
        people.append("train: " + ", ".join(new.roles[role].title for role in each.impact.train))
    if each.impact.read:
        people.append("read and sign: " + ", ".join(new.roles[role].title for role in each.impact.read))
    return Row(
        what=change.subject,
        how="name in the text" if change.how is How.RENAMED else change.how.value,
        old=old,
        new=fresh,
        old_place=place(change.old_span) if change.old else "",
        new_place=place(change.new_span) if change.new else "",
        direction=each.direction.value,
        attention=each.needs_attention,
        people="; ".join(people),
    )


def _unmarked(text: str) -> str:
    """Markdown as plain words on one line."""
    return plain(text) if "\n" in text or "*" in text else text


def place(span: Span | None) -> str:
    """File and line as a reader says them: supplies.sop, line 54."""
    return f"{span.file}, line {span.line}" if span and span.file else ""


def _told_apart(swap: Swap) -> tuple[str, str]:
    """What to take out and to put in; by its print where the revision does not tell the two apart."""
    if swap.take_out and swap.take_out == swap.put_in:
        return f"{swap.take_out}, old print", f"{swap.put_in}, new print"
    return swap.take_out, swap.put_in


def _exchanges(swaps: Iterable[Swap]) -> tuple[Exchange, ...]:
    """One row a paper, however many places it hangs in."""
    found: dict[tuple[str, str, str, str], list[str]] = {}
    for swap in swaps:
        key = (swap.id, swap.title, *_told_apart(swap))
        found.setdefault(key, []).append(PLACES[swap.sort])
    return tuple(Exchange(*key, ", ".join(places)) for key, places in found.items())
