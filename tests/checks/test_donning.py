"""Putting on and taking off: examples, and every path of random procedures walked step by step."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people.donning import check
from sopc.library import load_text
from sopc.model.nouns import GoTo, Office, Step, Stop
from tests.checks.small_offices import codes, found, procedure

PIECES = """
ppe gown "Gown" { put on 1 take off 2 }
ppe mask "Mask" { put on 2 take off 3 }
ppe gloves "Gloves" { put on 3 take off 1 }
"""


def told(*wearing: str, clauses: str = "by assistant") -> list[str]:
    steps = "".join(f'step s{number} "S{number}" {{ {worn} }}\n' for number, worn in enumerate(wearing))
    return codes(found(check, PIECES + procedure(steps, clauses=clauses)))


def test_on_from_gown_to_gloves_and_off_from_gloves_to_mask_is_right() -> None:
    on = ("wearing nothing", "wearing gown", "wearing gown, mask", "wearing gown, mask, gloves")
    assert told(*on, "wearing gown, mask", "wearing mask", "wearing nothing") == []


def test_a_gown_over_gloves_is_out_of_order() -> None:
    (finding,) = found(
        check,
        PIECES + procedure('step a "A" { wearing gloves }\nstep b "B" { wearing gloves, gown }\n'),
    )
    assert finding.sentence == "From “A” to “B” Gown (number 1) is put on over gloves (number 3)."


def test_the_mask_stays_on_until_the_gloves_are_off() -> None:
    assert told("wearing gown, mask, gloves", "wearing gown, gloves") == ["P16"]


def test_a_change_from_work_to_work_has_no_order() -> None:
    assert told("wearing mask, gloves", "wearing gown, gloves") == []


def test_what_another_wears_is_no_matter() -> None:
    assert told("wearing gloves  by dentist", "wearing gloves, gown  by assistant", clauses="") == []


def test_who_says_nothing_of_what_is_worn_is_passed_over() -> None:
    assert told("wearing gloves", "", "wearing gloves, gown") == ["P16"]


ORDER = {"gown": (1, 2), "mask": (2, 3), "gloves": (3, 1)}


@st.composite
def offices(draw: st.DrawFn) -> str:
    lines = ['office "Example" { open mon to fri 08:00 to 17:00 }', 'role ann "Ann"', 'role bob "Bob"', PIECES]
    lines.append('procedure work "Work" {')
    for name in "stuv":
        worn = draw(st.lists(st.sampled_from(sorted(ORDER)), unique=True))
        clauses = [f"by {draw(st.sampled_from(['ann', 'bob', 'ann or bob']))}"]
        clauses.append(f"wearing {', '.join(worn) or 'nothing'}")
        clauses.append(draw(st.sampled_from(["", "", 'when "so"'])))
        later = "stuv"["stuv".index(name) + 1 :]
        jumps = ['stop "x"', *(f"go to {each}" for each in later)]
        clauses.append(draw(st.sampled_from(["", "", f'check "Ok?" else {draw(st.sampled_from(jumps))}'])))
        lines.append(f'step {name} "{name}" {{ {"  ".join(clauses)} }}')
    return "\n".join([*lines, "}"]) + "\n"


def walks(steps: list[Step], place: int, done: tuple[Step, ...]) -> list[tuple[Step, ...]]:
    """The steps done on every path."""
    if place == len(steps):
        return [done]
    step = steps[place]
    found = walks(steps, place + 1, done) if step.when else []
    here = (*done, step)
    found += walks(steps, place + 1, here)
    for each in step.checks:
        if isinstance(each.otherwise, Stop):
            found.append(here)
        if isinstance(each.otherwise, GoTo):
            names = [other.name for other in steps]
            found += walks(steps, names.index(each.otherwise.step), here)
    return found


def expected(office: Office) -> set[int]:
    """The lines of the steps at which somebody puts something on or takes something off out of order."""
    lines: set[int] = set()
    for done in walks(list(office.procedures["work"].steps()), 0, ()):
        for role in ("ann", "bob"):
            mine = [step for step in done if step.by and role in {name for _, name in step.by.roles}]
            for one, two in pairwise(mine):
                was, now = set(one.wearing), set(two.wearing)
                on = was < now and any(ORDER[old][0] > ORDER[new][0] for old in was for new in now - was)
                off = now < was and any(ORDER[old][1] < ORDER[gone][1] for old in now for gone in was - now)
                if on or off:
                    lines.add(two.span.line)
    return lines


@settings(max_examples=150, deadline=None)
@given(offices())
def test_it_finds_exactly_what_walking_every_path_finds(text: str) -> None:
    office, findings = load_text(text)
    assert office is not None, findings
    assert {each.span.line for each in check(office, date(2026, 12, 1))} == expected(office), text
