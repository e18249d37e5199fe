"""Are documents under control: numbered, approved, in date."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from sopc.checks.report import finding, shortened
from sopc.findings import Finding, Note
from sopc.model.nouns import Document, Log, Office

LONGEST_WAIT = 366  # days from today to the date in force


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what document control promises.

    1. Every procedure carries number, revision, date in force, next review, owner and approver (C01); no number
       stands twice (C02).
    2. No review is overdue (C03).
    3. Past revisions ascend, in number and in date, and end before the one in force (C04); a review comes
       after the date in force (C05).
    4. What is in force only later is so within a year (C09).
    """
    documents: list[Document] = [*office.procedures.values(), *office.logs.values()]
    for document in documents:
        yield from _head(document)
        yield from _dates(document, today)
        yield from _history(document)
    yield from _twice(documents)


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
    if effective is not None and (effective - today).days > LONGEST_WAIT:
        yield finding(
            "C09",
            document.span,
            f"“{document.title}” is in force only from {effective.isoformat()}, more than a year from today.",
            floor="The page hangs on the wall and says of itself that it does not hold yet; what holds until then, no "
            "one can tell.",
            fix="Is the year right? If so, keep the revision that holds now among the texts until that day is near.",
        )
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
    last, since = past[-1], document.effective
    # The history may end with the revision in force, or with the one before it.
    in_force = last.number == document.revision
    wrong = since is not None and (last.effective != since if in_force else last.effective >= since)
    if last.number > document.revision or wrong:
        yield finding(
            "C04",
            last.span,
            f"The history ends with revision {last.number} of {last.effective.isoformat()}, but the one in force is "
            f"revision {document.revision}{f' of {since.isoformat()}' if since else ''}.",
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
