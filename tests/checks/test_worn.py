"""Protective equipment: what is asked for against what is worn, by hand and by counting over all combinations."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people import worn
from tests.checks.small_offices import codes, found, procedure

ASKING = """
ppe gown "Gown"
ppe mask "Mask"
ppe gloves "Gloves"
ppe thick_gloves "Thick gloves"
source book "The book" { authority guideline }
action scrub "Scrub" { wearing thick_gloves, mask or gown  cite book "3" }
supply acid "Acid" { wearing gloves or thick_gloves }
zone red "Red" { wearing gown }
area sink "Sink" { zone red }
item wall "Wall" { noncritical  fixed in sink }
action wipe_it "Wipe" { }
"""


def told(step: str, clauses: str = "by assistant", handles: str = "tip from soiled to clean") -> list[str]:
    return [each.sentence for each in found(worn.check, ASKING + procedure(step, handles, clauses))]


def test_what_is_missing_is_named_and_who_asks_for_it() -> None:
    (finding,) = found(worn.check, ASKING + procedure('step s "S" { does scrub  wearing gloves, gown }\n'))
    assert (finding.code, finding.sentence) == ("P15", "“S” asks for thick gloves, but only gloves and gown is worn.")
    assert finding.asked_by == ("The book, 3",)


def test_one_of_several_is_enough() -> None:
    assert told('step s "S" { does scrub  wearing thick_gloves, gown }\n') == []
    assert told('step s "S" { using acid  wearing thick_gloves }\n') == []


def test_wearing_nothing_is_told_apart_from_saying_nothing() -> None:
    assert told('step s "S" { using acid  wearing nothing }\n') == [
        "“S” asks for gloves or thick gloves, but nothing is worn."
    ]
    assert told('step s "S" { using acid }\n') == [
        "“S” asks for gloves or thick gloves, but it is not said what is worn."
    ]


def test_a_zone_asks_it_of_those_who_handle_what_comes_and_goes() -> None:
    assert len(told('step s "S" { does wipe_it  in sink }\n')) == 1
    assert told('step s "S" { does wipe_it on wall  in sink }\n', handles="wall from soiled to clean") == []
    assert told('step s "S" { in sink }\n') == []


def test_a_fault_of_the_procedures_own_line_is_one_fault() -> None:
    steps = "".join(f'step {name} "{name}" {{ using acid }}\n' for name in "abc")
    causes = {each.cause for each in found(worn.check, ASKING + procedure(steps, clauses="by assistant  wearing mask"))}
    assert len(causes) == 1
    assert "" not in causes


PIECES = ("gown", "mask", "gloves", "thick_gloves")
asked = st.lists(st.lists(st.sampled_from(PIECES), min_size=1, max_size=2, unique=True), max_size=3)


@settings(max_examples=60, deadline=None)
@given(asked, asked, st.lists(st.sampled_from(PIECES), unique=True))
def test_enough_is_worn_when_it_hits_everything_that_is_asked_for(
    action: list[list[str]], supply: list[list[str]], wearing: list[str]
) -> None:
    texts = [f"wearing {', '.join(' or '.join(each) for each in asks)}" if asks else "" for asks in (action, supply)]
    trade = "".join(f'ppe {name} "{name}"\n' for name in PIECES)
    trade += f'action act "Act" {{ {texts[0]} }}\nsupply stuff "Stuff" {{ {texts[1]} }}\n'
    step = f'step s "S" {{ does act  using stuff  wearing {", ".join(wearing) or "nothing"} }}\n'
    # The sets that are enough are those that share a piece with every one asked for.
    enough = [
        set(chosen)
        for number in range(len(PIECES) + 1)
        for chosen in combinations(PIECES, number)
        if all(set(chosen) & set(piece) for piece in (*action, *supply))
    ]
    assert (codes(found(worn.check, trade + procedure(step))) == []) == (set(wearing) in enough)
