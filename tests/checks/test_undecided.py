"""Limits over steps that do not say how long they take are said to be undecided, and no others are."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.time import timing
from sopc.findings import Finding
from tests.checks.small_offices import codes, found, only
from tests.checks.test_timing_by_networks import Limit, Place, Timed, cases, possible, text_of

LONG = 100_000  # minutes: longer than any limit here


def told(body: str, before: str = "") -> Finding:
    return only(found(timing.check, f'{before}procedure work "Work" {{ by assistant\n{body}\n}}\n'), "T07")


def quiet(body: str, before: str = "") -> bool:
    return not codes(found(timing.check, f'{before}procedure work "Work" {{ by assistant\n{body}\n}}\n'), "T07")


def spaced(finding: Finding) -> str:
    return finding.sentence.replace("\u00a0", " ")


WASH = (
    'step a "A" { takes 5 to 10 min }\nstep b "B" %s\n'
    'step wash "Wash" { runs sterilizer wrapped }\nstep c "C" { takes 2 min }\n'
)
LIMIT = "limit c starts within 60 min after a starts"


def test_a_limit_over_a_step_without_a_time_is_undecided_and_what_is_left_for_it_is_worked_out() -> None:
    finding = told(WASH % "{ }" + LIMIT)
    assert "“B” does not say how long it takes" in spaced(finding)
    assert "leaves it at most 4 min" in spaced(finding), "60 less 5, 50 of the machine and a minute to react"


def test_exactly_what_is_left_can_be_kept_and_a_second_more_cannot() -> None:
    kept = WASH % "{ takes 240 to 240 s }" + LIMIT
    assert codes(found(timing.check, f'procedure work "Work" {{ by assistant {kept} }}')) == []
    broken = WASH % "{ takes 241 to 241 s }" + LIMIT
    assert codes(found(timing.check, f'procedure work "Work" {{ by assistant {broken} }}')) == ["T02"]


@pytest.mark.parametrize(("clause", "silent"), [("at most 4 min", True), ("at most 5 min", False)])
def test_a_step_that_states_only_a_longest_time_counts_as_that_long(clause: str, silent: bool) -> None:
    assert quiet(WASH % f"{{ takes {clause} }}" + LIMIT) == silent


def test_only_steps_between_the_two_moments_matter() -> None:
    before = 'step z "Z" { }\n' + WASH % "{ takes 1 min }" + 'step y "Y" { }\n'
    assert quiet(before + LIMIT)
    assert "“Y”" in told(before + LIMIT + "\nlimit procedure ends within 2 h after a starts").sentence


def test_a_lower_limit_is_kept_by_waiting_however_long_a_step_takes() -> None:
    assert quiet(WASH % "{ }" + "limit c starts at least 20 min after a starts")


def test_a_step_on_one_way_of_a_choice_is_seen() -> None:
    ways = 'way "X" { step x "X" { takes 5 min } } way "Y" { step y "Y" { } }'
    body = f'step a "A" {{ takes 1 min }}\nchoose "Which?" {{ {ways} }}\n'
    assert "“Y”" in told(body + 'step c "C" { takes 1 min }\nlimit c ends within 20 min after a starts').sentence


def test_a_contact_time_is_a_time() -> None:
    action = 'action disinfect "Disinfect" { lasts contact time }\n'
    body = (
        'step d "D" { does disinfect using wipe }\nstep e "E" { takes 1 min }\nlimit e ends within 9 min after d starts'
    )
    assert quiet(body, action)


def test_silent_steps_of_a_performed_procedure_are_named() -> None:
    inner = 'procedure inner "Inner" { by assistant step x "X" { takes 2 min } step y "Look at it" { } }\n'
    outer = 'step p "P" { perform inner }\nstep q "Q" { takes 1 min }\nlimit q ends within 20 min after p starts'
    finding = told(outer, inner)
    assert "“Look at it”" in finding.sentence
    assert quiet(outer.replace("perform inner", "perform inner takes 5 to 9 min"), inner), "the whole time is stated"


def test_steps_that_only_together_may_take_too_long_are_all_named() -> None:
    body = "".join(f'step {name} "{name.upper()}" {{ takes at most 6 min }}\n' for name in "abc")
    finding = told(body + "limit procedure ends within 15 min after procedure starts")
    assert spaced(finding).endswith("“A”, “B” and “C” do not say how quickly they can be done, only how long at most.")
    assert quiet(body + "limit procedure ends within 18 min after procedure starts")


def test_procedures_performed_in_one_step_follow_each_other() -> None:
    inner = "".join(
        f'procedure i{n} "I{n}" {{ by assistant step x{n} "X{n}" {{ takes 20 to 30 min }} }}\n' for n in "12"
    )
    outer = 'procedure work "Work" { by assistant step p "P" { perform i1 perform i2 }\n'
    outer += "limit p ends within %s min after p starts }"
    assert codes(found(timing.check, inner + outer % 40)) == []
    assert codes(found(timing.check, inner + outer % 39)) == ["T01"]


@settings(max_examples=120, deadline=None)
@given(cases(), st.data())
def test_undecided_is_told_exactly_when_some_length_of_the_silent_steps_breaks_a_limit(
    case: tuple[list[Place], list[Limit]], data: st.DataObject
) -> None:
    """Against networkx: every combination of ways, silent steps once at nothing and once at ever so long."""
    layout, limits = case
    names = [name for _, ways in layout for way in ways for name, _, _ in way]
    silent = set(data.draw(st.lists(st.sampled_from(names), max_size=2))) if names else set()
    text = text_of(layout, limits)
    for _, ways in layout:
        for name, least, most in (step for way in ways for step in way):
            if name in silent:
                text = text.replace(f'"{name}" {{ takes {least} min to {most} min', f'"{name}" {{')

    def length(step: Timed, slow: bool) -> Timed:
        name, least, most = step
        if name in silent:
            return (name, LONG, LONG) if slow else (name, 0, LONG)
        return (name, most, most) if slow and not least else step

    sequences = [[step for way in ways for step in way] for ways in product(*(ways for _, ways in layout))]
    if not all(possible([length(step, False) for step in each], limits) for each in sequences):
        return
    fine = all(possible([length(step, True) for step in each], limits) for each in sequences)
    assert (not codes(found(timing.check, text), "T07")) == fine
