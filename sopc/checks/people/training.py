"""Is everyone trained in what is theirs to do: each role in each procedure that it works by."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.report import finding, listed, shortened, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Procedure, Training
from sopc.source import Span


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what training promises.

    Where an office declares trainings, every role that does a step of a procedure, that stands in for such a role,
    or that a task gives the procedure to, is trained in it by one of them (P12).
    """
    if not office.training:
        return
    given = _given_by_tasks(office)
    for procedure in office.procedures.values():
        doing = with_stand_ins(office, {**_doing(procedure), **given.get(procedure.name, {})})
        courses = [each for each in office.training.values() if procedure.name in each.covers]
        taught = {role for course in courses for role in course.roles}
        untaught = {role: work for role, work in doing.items() if role not in taught}
        if untaught and not courses:
            yield _covered_by_none(office, procedure, untaught)
            continue
        for role, work in untaught.items():
            yield _not_trained(office, procedure, role, work, courses)


Work = tuple[Span, str]
"""Where it is said that a role does something, and how: the step or task in words."""


def _doing(procedure: Procedure) -> dict[str, Work]:
    """The roles that do some step, each with the place where that is said first."""
    found: dict[str, Work] = {}
    for step in procedure.steps():
        for _, role in step.by.roles if step.by else ():
            assert step.by is not None
            found.setdefault(role, (step.by.span, f"does “{step.title}”"))
        if step.second_person is not None:
            found.setdefault(step.second_person, (step.span, f"is the second person of “{step.title}”"))
    return found


def _given_by_tasks(office: Office) -> dict[str, dict[str, Work]]:
    found: dict[str, dict[str, Work]] = {}
    for task in office.tasks.values():
        for performing in task.performs:
            for _, role in task.by.roles if task.by else ():
                assert task.by is not None
                work = (task.by.span, f"has the task “{task.title}”")
                found.setdefault(performing.procedure, {}).setdefault(role, work)
    return found


def with_stand_ins(office: Office, doing: dict[str, Work]) -> dict[str, Work]:
    """These roles, and behind them those that stand in for one of them."""
    found = dict(doing)
    for role in office.roles.values():
        replaced = next((name for name in role.stands_in_for if name in doing), None)
        if replaced is not None:
            found.setdefault(role.name, (role.span, f"stands in for {title(office.roles, replaced)}"))
    return found


def _covered_by_none(office: Office, procedure: Procedure, untaught: dict[str, Work]) -> Finding:
    roles = [title(office.roles, role) for role in untaught]
    return finding(
        "P12",
        procedure.span,
        f"“{procedure.title}” is covered by no training, yet {listed(roles)} "
        f"{'works' if len(roles) == 1 else 'work'} by it.",
        floor="It is done as each one thinks it is meant, and no one has been shown.",
        fix=f"Add {procedure.name} to the `covers` of a training for {shortened(list(untaught))}.",
    )


def _not_trained(office: Office, procedure: Procedure, role: str, work: Work, courses: list[Training]) -> Finding:
    span, how = work
    who = title(office.roles, role)
    course = courses[0]
    return finding(
        "P12",
        span,
        f"{who} {how}, but no training in “{procedure.title}” is for that role.",
        floor="The one who comes to it has never been shown how it is done here.",
        fix=f"Add {role} to the `for` of training {course.name}, add {procedure.name} to a training that is for "
        f"{role}, or give the work to someone who is trained.",
        notes=[Note(f"this training covers “{procedure.title}”: {course.title}", course.span)],
        cause=f"training {course.name} not for {role}",
    )
