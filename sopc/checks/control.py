"""Are documents under control, and requirements answered: numbered, approved, in date, none forgotten."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from sopc.checks.report import finding, shortened, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Document, Log, Office, Requirement
from sopc.source import NOWHERE

SHOWN = 5


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what document control promises.

    1. Every procedure carries number, revision, date in force, next review, owner and approver (C01); no number
       stands twice (C02).
    2. No review is overdue (C03).
    3. Past revisions ascend, in number and in date, and end before the one in force (C04); a review comes
       after the date in force (C05).
    4. Every requirement is met by something, set aside, or not applicable (C06), and not two of these (C07).
    5. Nothing is set aside beyond its date (C08).
    """
    documents: list[Document] = [*office.procedures.values(), *office.logs.values()]
    for document in documents:
        yield from _head(document)
        yield from _dates(document, today)
        yield from _history(document)
    yield from _twice(documents)
    yield from _requirements(office)
    yield from _set_aside(office, today)


def _head(document: Document) -> Iterator[Finding]:
    parts = {
        "id": bool(document.id),
        "revision": document.revision is not None,
        "effective": document.effective is not None,
        "review": document.review is not None,
        "owner": document.owner is not None,
        "approver": document.approver is not None,
    }
    missing = [name for name, there in parts.items() if not there]
    # A log may be kept on the authority of the procedure that fills it.
    if not missing or (isinstance(document, Log) and len(missing) == len(parts)):
        return
    clauses = []
    if "id" in missing:
        clauses.append('`id "SOP-01"`')
    if {"revision", "effective", "review"}.intersection(missing):
        clauses.append("`revision 1 effective 2026-12-01 review 2027-12-01`")
    clauses += [f"`{name} ROLE`" for name in ("owner", "approver") if name in missing]
    yield finding(
        "C01",
        document.span,
        f"“{document.title}” has no {shortened(missing, 6)}.",
        floor="On paper no one can tell whether this page is the one in force, or who answers for it.",
        fix=f"Add {' '.join(clauses)}.",
    )


def _dates(document: Document, today: date) -> Iterator[Finding]:
    review, effective = document.review, document.effective
    if review is None:
        return
    if effective is not None and review <= effective:
        yield finding(
            "C05",
            document.span,
            f"“{document.title}” is to be reviewed on {review.isoformat()}, before it is in force "
            f"({effective.isoformat()}).",
            floor="The page is out of date on the day it is printed.",
            fix="Correct one of the two dates; a review a year after the date in force is usual.",
        )
    elif review < today:
        days = (today - review).days
        yield finding(
            "C03",
            document.span,
            f"The review of “{document.title}” was due on {review.isoformat()}, {days} day{'s' * (days > 1)} ago.",
            floor="Staff work by a page that no one has looked over since.",
            fix="Look it over; then give it a new `revision … effective … review …` and a line of `history`.",
        )


def _history(document: Document) -> Iterator[Finding]:
    past = document.history
    for before, after in pairwise(past):
        if after.number <= before.number or after.effective <= before.effective:
            yield finding(
                "C04",
                after.span,
                f"Revision {after.number} of {after.effective.isoformat()} stands after revision {before.number} of "
                f"{before.effective.isoformat()}.",
                floor="No one can tell which page was in force on a given day.",
                fix="List past revisions oldest first, each with a higher number and a later date.",
            )
            return
    if not past or document.revision is None:
        return
    last = past[-1]
    later = document.effective is not None and last.effective > document.effective
    if last.number > document.revision or later:
        yield finding(
            "C04",
            last.span,
            f"The history ends with revision {last.number} of {last.effective.isoformat()}, but the one in force is "
            f"revision {document.revision}.",
            floor="No one can tell which page is in force.",
            fix="Raise the revision in force, or correct the history.",
        )


def _twice(documents: Sequence[Document]) -> Iterator[Finding]:
    seen: dict[str, Document] = {}
    for document in documents:
        if not document.id:
            continue
        first = seen.setdefault(document.id.casefold(), document)
        if first is not document:
            yield finding(
                "C02",
                document.span,
                f"“{document.title}” and “{first.title}” have the same number {document.id}.",
                floor="One page is filed over the other; a change report names the wrong one.",
                fix="Give one of them a number of its own.",
                notes=[Note("the other one", first.span)],
            )


def _met(office: Office) -> set[str]:
    found: set[str] = set()
    kinds = (
        office.sources, office.roles, office.zones, office.areas, office.ppe, office.kinds, office.devices,
        office.items, office.conditions, office.supplies, office.actions, office.procedures, office.tasks,
        office.logs, office.training,
    )  # fmt: skip
    for kind in kinds:
        for record in kind.values():
            found.update(record.meets)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            found.update(step.meets)
    for device in office.devices.values():
        for program in device.programs.values():
            found.update(program.meets)
    return found


def _requirements(office: Office) -> Iterator[Finding]:
    met = _met(office)
    aside = {each.requirement: each.span for each in office.set_aside}
    not_applicable = {each.requirement: each.span for each in office.not_applicable}
    answered = met | aside.keys() | not_applicable.keys()
    open_ones = [each for each in office.requirements.values() if each.name not in answered]
    if open_ones:
        yield _unanswered(office, open_ones)
    for name, span in (*aside.items(), *not_applicable.items()):
        if name in met or (name in aside and name in not_applicable and span == not_applicable[name]):
            said = "set aside" if name in aside else "said to be not applicable"
            yield finding(
                "C07",
                span,
                f"{name} “{title(office.requirements, name)}” is {said} here, yet "
                f"{'something meets it' if name in met else 'it is said to be not applicable as well'}.",
                floor="The page for the inspector says two things at once.",
                fix="Take out the one that is no longer true.",
            )


def _unanswered(office: Office, open_ones: list[Requirement]) -> Finding:
    names = [f"{each.name} “{each.title}”" for each in open_ones]
    own = [each for each in open_ones if not each.pack]
    count = len(open_ones)
    span = own[0].span if own else office.premises.span
    return finding(
        "C06",
        span if span != NOWHERE else open_ones[0].span,
        f"{count} of {len(office.requirements)} requirements {'is' if count == 1 else 'are'} not answered: "
        f"{shortened(names, SHOWN)}.",
        floor="An inspector who asks for one of these finds no page that shows it.",
        fix="Add `meets …` where it is met, or `set aside … until … by … because …`, or `not applicable … because …`.",
    )


def _set_aside(office: Office, today: date) -> Iterator[Finding]:
    for each in office.set_aside:
        if each.until < today:
            yield finding(
                "C08",
                each.span,
                f"{each.requirement} “{title(office.requirements, each.requirement)}” was set aside until "
                f"{each.until.isoformat()}.",
                floor="What was to be put right by then is still not met, and no one has decided anew.",
                fix="Meet it, or have it set aside again with a new date and a reason that holds today.",
            )
