"""Separated duties against trying every way through random procedures and every way to give their steps out."""

from __future__ import annotations

from datetime import date
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people.duties import check
from sopc.library import load_text
from sopc.model.nouns import Choice, GoTo, Office, Part, Procedure, Proceed, Repeat, Step, Stop, Together
from tests.checks.small_offices import codes, found, procedure

LOAD = 'step load "Load" { }\n'


def free(clauses: str) -> str:
    return f'step free "Release" {{ another person than load {clauses} }}\n'


def test_one_person_cannot_do_both() -> None:
    (finding,) = found(check, procedure(LOAD + free("")))
    assert finding.code == "P13"
    assert [line.text for line in finding.walk] == ["Step 1 “Load”"]


def test_another_role_or_a_second_one_of_the_role_can() -> None:
    assert found(check, procedure(LOAD + free("by dentist"))) == []
    two = 'role nurse "Nurse" { on duty 2 }\n'
    assert found(check, two + procedure(LOAD + free(""), clauses="by nurse")) == []


def test_the_fewest_on_duty_count_not_the_most() -> None:
    some = 'role nurse "Nurse" { on duty 1 to 2 }\n'
    assert codes(found(check, some + procedure(LOAD + free(""), clauses="by nurse"))) == ["P13"]


def test_who_stands_in_is_another_person() -> None:
    nurse = 'role nurse "Nurse" { stands in for assistant }\n'
    assert found(check, nurse + procedure(LOAD + free(""))) == []


def test_what_is_done_later_only_or_is_the_step_itself_is_told() -> None:
    assert codes(found(check, procedure('step s "S" { another person than t }\nstep t "T" { by dentist }\n'))) == [
        "P14"
    ]
    assert codes(found(check, procedure('step s "S" { another person than s }\n'))) == ["P14"]


def test_side_by_side_is_apart_too() -> None:
    body = f'together {{ branch "One" {{ {free("")} }} branch "Two" {{ {LOAD} }} }}\n'
    assert codes(found(check, procedure(body))) == ["P13"]


def test_ways_that_exclude_each_other_ask_for_nobody_more() -> None:
    nurse = 'role nurse "Nurse" { on duty 2 }\n'
    ways = 'choose "Which?" { way "A" { step a "A" { } } way "B" { step b "B" { another person than c } } }\n'
    body = 'step c "C" { }\n' + ways + 'step d "D" { another person than a, b }\n'
    assert found(check, nurse + procedure(body, clauses="by nurse")) == []


# ── Against trying everything ───────────────────────────────────────────────────────────────────

ROLES = ("ann", "bob")
STEPS = ("a", "b", "c", "d")


@st.composite
def offices(draw: st.DrawFn) -> str:
    head = 'office "Example" { open mon to fri 08:00 to 17:00 }\n'
    head += f'role ann "Ann" {{ on duty {draw(st.integers(1, 2))} to 2 }}\n'
    head += f'role bob "Bob" {{ {draw(st.sampled_from(["", "stands in for ann"]))} }}\n'
    texts = [_step(draw, place) for place in range(len(STEPS))]
    shape = draw(st.integers(0, 2))
    if shape == 1:
        texts[1:3] = [f'choose "Which?" {{ way "One" {{ {texts[1]} }} way "Two" {{ {texts[2]} }} }}\n']
    if shape == 2:
        texts[1:3] = [f'together {{ branch "One" {{ {texts[1]} }} branch "Two" {{ {texts[2]} }} }}\n']
    return head + f'procedure work "Work" {{\n{"".join(texts)}}}\n'


def _step(draw: st.DrawFn, place: int) -> str:
    name, earlier = STEPS[place], STEPS[:place]
    by = draw(st.sampled_from(["ann", "bob", "ann or bob", "ann and bob"]))
    clauses = [f"by {by}"]
    if earlier and draw(st.integers(0, 2)):
        clauses.append(f"another person than {draw(st.sampled_from(earlier))}")
    if draw(st.integers(0, 3)) == 0:
        clauses.append('when "so"')
    if draw(st.integers(0, 3)) == 0 and place in (0, 3):
        clauses.append('check "Ok?" else ' + draw(st.sampled_from(['stop "x"', "continue", "go to d"])))
    return f'step {name} "{name}" {{ {" ".join(clauses)} }}\n'


def runs(parts: tuple[Part, ...], done: tuple[str, ...]) -> list[tuple[tuple[str, ...], str]]:
    """Every way through these parts: the steps done, and where one is sent ("" on, "stop", or a step)."""
    ways = [(done, "")]
    for part in parts:
        ways = [way for so_far, sent in ways for way in _through(part, so_far, sent)]
    return ways


def _through(part: Part, done: tuple[str, ...], sent: str) -> list[tuple[tuple[str, ...], str]]:
    if sent == "stop":
        return [(done, sent)]
    if isinstance(part, Choice):
        return [way for each in part.ways for way in runs(each.parts, done)] if not sent else [(done, sent)]
    if isinstance(part, Together):
        ways = [(done, sent)]
        for branch in part.branches:
            ways = [way for so_far, to in ways for way in (runs(branch.parts, so_far) if not to else [(so_far, to)])]
        return ways
    if sent and sent != part.name:
        return [(done, sent)]
    return ([(done, "")] if part.when else []) + _done(part, (*done, part.name))


def _done(step: Step, done: tuple[str, ...]) -> list[tuple[tuple[str, ...], str]]:
    found = [(done, "")]
    for check_ in step.checks:
        match check_.otherwise:
            case Stop():
                found.append((done, "stop"))
            case GoTo(step=target):
                found.append((done, "stop" if target in done else target))
            case Proceed() | Repeat() | _:
                found.append((done, ""))
    return found


def everybody_finds_someone(office: Office, procedure: Procedure, done: tuple[str, ...]) -> bool:
    """Whether some choice of named people for each step done keeps the duties apart."""
    people = [f"{role.name} {number}" for role in office.roles.values() for number in range(role.on_duty[0])]
    steps = [step for step in procedure.steps() if step.name in done]
    for chosen in product(*(_teams(office, step, people) for step in steps)):
        team = {step.name: who for step, who in zip(steps, chosen, strict=True)}
        clashes = [
            step
            for step in steps
            if step.another and any(other in team and team[other] & team[step.name] for other in step.another.steps)
        ]
        if not clashes:
            return True
    return False


def _teams(office: Office, step: Step, people: list[str]) -> list[frozenset[str]]:
    assert step.by is not None

    def able(person: str, role: str) -> bool:
        own = person.split()[0]
        return own == role or role in office.roles[own].stands_in_for

    each = [[person for person in people if able(person, role)] for _, role in step.by.roles]
    if not step.by.joined:
        return [frozenset({person}) for able_ones in each for person in able_ones]
    return [frozenset(team) for team in product(*each) if len(set(team)) == len(team)]


@settings(max_examples=300, deadline=None)
@given(offices())
def test_it_agrees_with_trying_everything(text: str) -> None:
    office, findings = load_text(text)
    assert office is not None, findings
    work = office.procedures["work"]
    broken = [done for done, _ in runs(work.parts, ()) if not everybody_finds_someone(office, work, done)]
    said = codes(check(office, date(2026, 12, 1)), "P13")
    assert bool(said) == bool(broken), (broken, text)
