"""What is made for each load or patient: used in other work, or after it has run out."""

from __future__ import annotations

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from sopc.checks.records import supplies
from tests.checks.small_offices import TODAY, codes, found, office, only

MADE = 'supply bath "Bath" {{ use within {keeps} }}\ntask fresh "Fresh bath" {{ by assistant  {due}  renews bath }}\n'


def made(keeps: str, due: str) -> str:
    return MADE.format(keeps=keeps, due=due)


def work(*steps: str, name: str = "work") -> str:
    inside = "  ".join(f'step s{number} "S{number}" {{ {step} }}' for number, step in enumerate(steps))
    return f'procedure {name} "Work" {{ by assistant  {inside} }}\n'


LOAD = ("using bath takes 5 min", "runs sterilizer wrapped", "using bath takes 5 min")


def test_what_is_made_for_each_load_outlasts_nothing_when_it_is_used_in_the_load() -> None:
    assert found(supplies.check, made("2 h", "each load of sterilizer") + work(*LOAD)) == []


@pytest.mark.parametrize("due", ["each load of sterilizer", "each patient"])
def test_what_may_be_done_at_any_time_finds_what_is_left_over(due: str) -> None:
    finding = only(found(supplies.check, made("2 h", due) + work("using bath takes 5 min")), "S05")
    assert "no task says when that is done" in finding.sentence


def test_a_load_of_another_machine_is_other_work() -> None:
    other = 'device tub "Tub" { program warm "Warm" { lasts 5 min by machine } }\n'
    assert codes(found(supplies.check, other + made("2 h", "each load of tub") + work(*LOAD))) == ["S05"]
    assert codes(found(supplies.check, other + made("2 h", "each load") + work(*LOAD))) == []


def test_what_is_done_after_each_visit_finds_what_is_made_for_each_patient() -> None:
    visit = 'visit v "Visit" { lasts 30 min  by dentist  then perform work }\n'
    assert found(supplies.check, visit + made("2 h", "each patient") + work("using bath takes 5 min")) == []


def test_it_is_too_old_for_the_end_of_a_slow_load() -> None:
    finding = only(found(supplies.check, made("1 h", "each load of sterilizer") + work(*LOAD)), "S06")
    assert "“S2” has done with it 1\u00a0h\u00a01\u00a0min later" in finding.sentence  # five, fifty, one to react, five
    assert found(supplies.check, made("61 min", "each load of sterilizer") + work(*LOAD)) == []


def test_it_is_too_old_even_when_it_is_made_as_late_as_can_be() -> None:
    finding = only(found(supplies.check, made("55 min", "each load of sterilizer") + work(*LOAD)), "S06")
    assert "“S2” uses it 56\u00a0min after it was first used" in finding.sentence


def test_steps_without_a_time_leave_it_undecided() -> None:
    text = made("2 h", "each load of sterilizer  perform work") + work("using bath", "", "using bath")
    finding = only(found(supplies.check, text), "S06")
    assert "undecided" in finding.sentence


def test_the_last_pass_of_a_repeat_counts() -> None:
    again = 'using bath takes 20 min  check "Clean?" else repeat from s0 at most 2 times then stop "Aside."'
    task = "each load of sterilizer  perform work"
    assert codes(found(supplies.check, made("59 min", task) + work(again))) == ["S06"]
    assert found(supplies.check, made("60 min", task) + work(again)) == []


def test_what_is_performed_takes_its_time_too() -> None:
    inner = work("takes 40 min", name="inner")
    task = "each patient  perform inner  perform work"
    assert found(supplies.check, made("20 min", task) + inner + work("using bath takes 15 min")) == []
    first = work("using bath takes 10 min", name="inner")
    assert codes(found(supplies.check, made("20 min", task) + first + work("using bath takes 15 min"))) == ["S06"]
    within = work("using bath takes 1 min", "perform inner", "using bath takes 1 min")
    assert codes(found(supplies.check, made("20 min", "each patient  perform work") + inner + within)) == ["S06"]


def test_a_procedure_that_makes_it_itself_has_it_fresh_wherever_it_is_performed() -> None:
    outer = work("takes 3 h", "perform work", name="outer")
    text = made("20 min", "every week on thu  perform work") + work("using bath takes 15 min") + outer
    assert found(supplies.check, text + 'task monthly "Monthly" { every month on day 1  perform outer }') == []


# ── Against going through a day event by event ──────────────────────────────────────────────────

OCCASIONS = {
    "start of day": {"opening"},
    "end of day": {"closing"},
    "each patient": {"patient"},
    "each load": {"load", "load of the tub"},
    "each load of sterilizer": {"load"},
    "each load of tub": {"load of the tub"},
    'after "a spill"': {"spill"},
}
DAY = ("opening", "load", "patient", "load of the tub", "spill", "patient", "load", "closing")
DUE = st.lists(st.sampled_from(sorted(OCCASIONS)), min_size=1, max_size=2, unique=True)


def stale(makers: list[str], users: list[list[str]]) -> bool:
    """Whether somebody finds it older than an hour, when hours lie between all that happens on two days."""
    fresh = ""
    for number, happens in enumerate(DAY * 2):
        if any(happens in OCCASIONS[due] for due in makers):
            fresh = f"{happens} {number}"
        used = any(happens in OCCASIONS[due] for user in users for due in user)
        if used and fresh != f"{happens} {number}":
            return True
    return False


@given(DUE, st.lists(DUE, min_size=1, max_size=3))
def test_other_work_is_told_exactly_when_some_moment_of_the_day_finds_it_old(
    makers: list[str], users: list[list[str]]
) -> None:
    tub = 'device tub "Tub" { program warm "Warm" { lasts 5 min by machine } }\n'
    uses = "".join(f'task use_{number} "Use" {{ {"  ".join(due)}  using bath }}\n' for number, due in enumerate(users))
    told = codes(supplies.check(office(tub + made("1 h", "  ".join(makers)) + uses), TODAY))
    event(f"told: {told}")
    assert bool(told) == stale(makers, users)
