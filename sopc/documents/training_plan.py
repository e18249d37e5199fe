"""Training on paper: who is trained in what and when, and a sheet for each document to sign."""

from __future__ import annotations

from sopc.documents import wording
from sopc.documents.register import Cell, Plan, Section, empty_rows, plain_table
from sopc.model.nouns import Office, Procedure, Training
from sopc.trade.quantities import NBSP

SIGN_HEADS = (
    ("Name", "30%"),
    ("Role", "18%"),
    ("Read and understood: initials, date", "19%"),
    ("Done at the bench: trainer, date", "19%"),
    ("Trained again", "14%"),
)
FEWEST_ROWS = 5
MOST_ROWS = 16


def training_plan(office: Office) -> Plan:
    """Return the plan: one row a training, and the roles that no training covers."""
    heads = (("Training", "25%"), ("For", "17%"), ("Covers", "24%"), ("When", "18%"), ("Trainer, record", "16%"))
    courses = list(office.training.values())
    sections = (
        [Section("Plan", tables=(plain_table(heads, [_row(office, course) for course in courses]),))] if courses else []
    )
    sections += [
        Section(f"Topics: {course.title}", course.topics, keep=True) for course in courses if course.topics.strip()
    ]
    lead = (
        "Nobody does a task before being trained in it. "
        "After a change the roles concerned are trained again before it takes effect."
    )
    return Plan("training", "Training plan", lead, tuple(sections))


def sign_off_plan(office: Office) -> Plan:
    """Return a sheet to sign for each procedure, with the roles it concerns and a row for each person on duty."""
    procedures = sorted(office.procedures.values(), key=lambda each: wording.natural(each.id))
    sections = tuple(_sign_off(office, procedure) for procedure in procedures)
    lead = (
        "Each person who works by a document signs for its revision. A new revision needs new signatures. "
        "Signed sheets are records: keep them apart from health data."
    )
    return Plan("sign_off", "Training sign-off", lead, sections)


def roles_concerned(office: Office, procedure: Procedure) -> tuple[str, ...]:
    """Return the roles that work by a procedure or are trained in it, in the order of the office's roles."""
    found: set[str] = set()
    for step in procedure.steps():
        found |= {role for _, role in step.by.roles} if step.by else set()
        found |= {step.second_person} if step.second_person else set()
    for course in office.training.values():
        found |= set(course.roles) if procedure.name in course.covers else set()
    return tuple(role for role in office.roles if role in found)


def _sign_off(office: Office, procedure: Procedure) -> Section:
    roles = roles_concerned(office, procedure)
    people = sum(office.roles[role].on_duty[1] for role in roles)
    revision = "revision not set" if procedure.revision is None else f"revision{NBSP}{procedure.revision}"
    concerned = wording.in_series(wording.small(office.roles[role].title) for role in roles) or "all staff"
    rows = empty_rows(len(SIGN_HEADS), min(max(people + 1, FEWEST_ROWS), MOST_ROWS))
    return Section(
        f"{procedure.id} {procedure.title}".strip(),
        f"{wording.large(revision)}. Concerns: {concerned}.",
        (plain_table(SIGN_HEADS, rows, pen=True),),
        keep=True,
    )


def _row(office: Office, course: Training) -> tuple[Cell, ...]:
    covers = sorted((office.procedures[name].id or name for name in course.covers), key=wording.natural)
    when = [
        text
        for text, asked in (("before first duty", course.on_hire), ("after a change", course.after_change))
        if asked
    ]
    if course.every_days:
        when.append(f"at least every {course.every_days}{NBSP}days")
    logs = tuple(office.logs[each.log].id or each.log for each in course.records if each.log in office.logs)
    return (
        Cell(course.title),
        Cell(wording.in_series(wording.titles(office.roles, course.roles)) or "–"),
        Cell(", ".join(covers) or "–"),
        Cell("", under=tuple(wording.large(text) for text in when) or ("–",)),
        Cell(wording.large(course.trainer) or "–", under=logs),
    )
