"""Who is trained in what: roles that work by a procedure, stand in, or get it as a task, against the trainings."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people.training import check
from sopc.library import load_text
from sopc.model.nouns import Office
from tests.checks.small_offices import codes, found, procedure

STEP = 'step s "S" { }\n'
COURSE = 'training course "Course" { for assistant covers work on hire }\n'


def test_where_no_training_is_declared_nothing_is_asked() -> None:
    assert found(check, procedure(STEP)) == []


def test_a_role_that_no_training_prepares_is_told_at_the_place_where_it_is_named() -> None:
    (finding,) = found(check, procedure(STEP, clauses="by assistant or dentist") + COURSE)
    assert finding.code == "P12"
    assert finding.sentence.startswith("Dentist does “S”")


def test_a_procedure_that_no_training_covers_is_told_once() -> None:
    other = procedure(STEP, clauses="by assistant or dentist") + COURSE.replace("covers work", "covers other")
    rest = 'procedure other "Other" { by assistant step t "T" { } }\n'
    (finding,) = found(check, other + rest)
    assert "covered by no training" in finding.sentence


def test_the_second_person_and_who_stands_in_are_trained_too() -> None:
    assert codes(found(check, procedure('step s "S" { second person dentist }\n') + COURSE)) == ["P12"]
    nurse = 'role nurse "Nurse" { stands in for assistant }\n'
    (finding,) = found(check, nurse + procedure(STEP) + COURSE)
    assert "stands in for Assistant" in finding.sentence


def test_a_task_that_gives_a_procedure_to_a_role_asks_for_training() -> None:
    task = 'task weekly "Weekly" { perform work by dentist every week on mon }\n'
    (finding,) = found(check, procedure(STEP) + COURSE + task)
    assert "has the task “Weekly”" in finding.sentence


ROLES = ("ann", "bob", "cleo")


@st.composite
def offices(draw: st.DrawFn) -> str:
    texts = ['office "Example" { open mon to fri 08:00 to 17:00 }\n']
    for role in ROLES:
        others = [other for other in ROLES if other != role]
        instead = draw(st.lists(st.sampled_from(others), unique=True, max_size=1))
        texts.append(f'role {role} "{role}" {{ {f"stands in for {instead[0]}" if instead else ""} }}\n')
    for name in ("p", "q"):
        by = draw(st.lists(st.sampled_from(ROLES), unique=True, min_size=1, max_size=2))
        second = draw(st.sampled_from(["", *(f"second person {role}" for role in ROLES)]))
        texts.append(f'procedure {name} "{name}" {{ by {" or ".join(by)} step s "S" {{ {second} }} }}\n')
    for number in range(draw(st.integers(0, 3))):
        who = draw(st.lists(st.sampled_from(ROLES), unique=True, min_size=1))
        covers = draw(st.lists(st.sampled_from("pq"), unique=True, min_size=1))
        texts.append(f'training t{number} "T" {{ for {", ".join(who)} covers {", ".join(covers)} on hire }}\n')
    return "".join(texts)


def untrained(office: Office) -> set[tuple[str, str]]:
    """Procedure and role, for each person who could come to do some of it and has had no training in it."""
    found = set()
    for work in office.procedures.values():
        for step in work.steps():
            assert step.by is not None
            doers = {role for _, role in step.by.roles} | ({step.second_person} if step.second_person else set())
            for role in office.roles.values():
                could = role.name in doers or bool(doers & set(role.stands_in_for))
                courses = [t for t in office.training.values() if role.name in t.roles and work.name in t.covers]
                if could and not courses:
                    found.add((work.name, role.name))
    return found if office.training else set()


@settings(max_examples=150, deadline=None)
@given(offices())
def test_it_finds_exactly_those_whom_counting_finds(text: str) -> None:
    office, findings = load_text(text)
    assert office is not None, findings
    said = list(check(office, date(2026, 12, 1)))
    found = set()
    for finding in said:
        for work, role in untrained(office):
            none = f"“{work}” is covered by no training" in finding.sentence
            if none and role in finding.sentence.split(", yet ")[1]:
                found.add((work, role))
            if f"no training in “{work}”" in finding.sentence and finding.sentence.startswith(f"{role} "):
                found.add((work, role))
    assert found == untrained(office)
    assert bool(said) == bool(untrained(office))
