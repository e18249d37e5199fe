"""Hands are cleaned once gloves are off: examples, then every path of random procedures of two people walked."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people import hands
from tests.checks.small_offices import TODAY, TRADE, codes, found, office, only

KNOWN = (
    TRADE
    + 'ppe gloves "Gloves" { once off rinse or rub }\nppe thick "Thick gloves" { once off rinse or rub }\n'
    + 'ppe gown "Gown"\naction rinse "Wash hands"\naction rub "Rub hands"\naction touch "Touch"\n'
)
GLOVED = 'step g "Sort" { wearing gloves, gown }\n'
BARE = 'step b "Write" { wearing gown }\n'
RUB = 'step r "Rub" { does rub wearing gown }\n'
HANDS = (
    'procedure clean "Clean hands" { by assistant choose "Soil?" {\n'
    'way "Seen" { step w "Wet" { wearing nothing } step l "Lather" { does rinse wearing nothing } }\n'
    'way "Not" { step p "Palm" { wearing nothing } step q "Rub" { does rub wearing nothing } } } }\n'
)


def work(body: str, name: str = "work", by: str = "assistant") -> str:
    return f'procedure {name} "Work" {{ by {by}\n{body} }}\n'


def told(text: str) -> list[str]:
    return codes(found(hands.check, text, KNOWN))


@pytest.mark.parametrize(
    ("body", "fine"),
    [
        (GLOVED + BARE, False),
        (GLOVED + RUB + BARE, True),
        (GLOVED + RUB.replace("{ does", '{ when "soiled" does') + BARE, False),
        (GLOVED + BARE.replace("gown }", "gown does touch }") + RUB, False),
        (GLOVED + 'step t "Scrub" { wearing thick }', False),
        (GLOVED + RUB + 'step t "Scrub" { wearing thick }', True),
        (GLOVED + 'step k "Go on" { wearing gloves }', True),
        (GLOVED + BARE.replace("wearing", "by dentist wearing"), True),
        (GLOVED + RUB.replace("does rub", "by dentist does rub") + BARE, False),
        (BARE + GLOVED, True),
        ('step u "Unsaid" { }' + BARE, True),
        (GLOVED + 'choose "?" { way "1" { ' + RUB + ' } way "2" { } }' + BARE, False),
    ],
)
def test_hands_are_cleaned_before_anything_else(body: str, fine: bool) -> None:
    assert told(work(body)) == ([] if fine else ["P17"])


def test_the_walk_shows_how_it_comes_to_that() -> None:
    text = work(GLOVED + RUB.replace("{ does", '{ when "soiled" does') + BARE)
    finding = only(found(hands.check, text, KNOWN), "P17")
    assert finding.sentence == "When “Write” begins, gloves came off, and it does not wash hands or rub hands first."
    assert [step.text for step in finding.walk] == ["Step 1 “Sort”", "Step 2 “Rub” is skipped: not “soiled”"]


def test_a_procedure_that_begins_with_cleaning_on_all_its_ways_will_do() -> None:
    perform = 'step h "Clean your hands" { wearing nothing perform clean }\n'
    assert told(HANDS + work(GLOVED + perform + BARE)) == []
    spoilt = HANDS.replace('step p "Palm" {', 'step p "Palm" { does touch')
    assert told(spoilt + work(GLOVED + perform + BARE)) == ["P17", "P17"]
    assert told(HANDS.replace("does rub", "") + work(GLOVED + perform + BARE)) == ["P17", "P17"]


def test_what_is_worn_goes_along_into_what_is_performed_and_back() -> None:
    inner = work(BARE, "inner")
    assert told(inner + work(GLOVED + 'step i "Go on" { perform inner }')) == ["P17"]
    assert told(inner + work(GLOVED + RUB + 'step i "Go on" { perform inner }')) == []
    gloved = work(GLOVED, "inner")
    assert told(gloved + work('step i "Go on" { perform inner }\n' + BARE)) == ["P17"]
    other = work(GLOVED, "inner", "dentist")
    assert told(other + work('step i "Go on" { perform inner }\n' + BARE)) == []


def test_without_a_piece_that_asks_nothing_is_told() -> None:
    assert codes(found(hands.check, work(GLOVED + BARE), KNOWN.replace("once off rinse or rub", ""))) == []


# ── Against every path ──────────────────────────────────────────────────────────────────────────

Plan = tuple[tuple[str, object], ...]


def plans(depth: int = 2) -> st.SearchStrategy[Plan]:
    act = st.tuples(
        st.sampled_from(["do", "when"]),
        st.tuples(
            st.sampled_from(["gloves", "thick", "gown", "nothing"]),
            st.sampled_from(["", "rub", "touch"]),
            st.sampled_from(["assistant", "assistant", "dentist"]),
        ),
    )
    if not depth:
        return st.lists(act, min_size=1, max_size=3).map(tuple)
    inner = plans(depth - 1)
    return st.lists(
        st.one_of(act, act, st.tuples(st.just("choose"), st.tuples(inner, inner))), min_size=1, max_size=4
    ).map(tuple)


def numbered(plan: Plan, count: list[int]) -> Plan:
    """The plan with a number in the place of each act, by which text and walk speak of it."""
    made = []
    for kind, inside in plan:
        if kind == "choose":
            one, other = inside  # type: ignore[misc]
            made.append((kind, (numbered(one, count), numbered(other, count))))
        else:
            count[0] += 1
            made.append((kind, (count[0], inside)))
    return tuple(made)


def written(plan: Plan) -> str:
    text = ""
    for kind, inside in plan:
        one, other = inside  # type: ignore[misc]
        if kind == "choose":
            text += f'choose "?" {{ way "1" {{ {written(one)} }} way "2" {{ {written(other)} }} }}\n'
            continue
        worn, does, role = other
        text += f'step s{one} "S{one}" {{ by {role} wearing {worn} {f"does {does}" if does else ""} '
        text += 'when "so" }\n' if kind == "when" else "}\n"
    return text


def walked(plan: Plan, before: str, role: str, wrong: set[int]) -> Iterator[str]:
    """Every end of every path for one person: the gloves on at the end. Notes the steps come to with soiled hands."""
    if not plan:
        yield before
        return
    (kind, inside), rest = plan[0], plan[1:]
    one, other = inside  # type: ignore[misc]
    after = {before} if kind == "when" else set()
    if kind == "choose":
        after |= {*walked(one, before, role, wrong), *walked(other, before, role, wrong)}
    else:
        worn, does, who = other
        now = worn if worn in ("gloves", "thick") else ""
        if who == role and before and before != now and does != "rub":
            wrong.add(one)
        after.add(now if who == role else before)
    for gloves in after:
        yield from walked(rest, gloves, role, wrong)


@settings(max_examples=200, deadline=None)
@given(plans())
def test_every_step_come_to_with_soiled_hands_is_told_and_no_other(plan: Plan) -> None:
    plan = numbered(plan, [0])
    wrong: set[int] = set()
    for role in ("assistant", "dentist"):
        list(walked(plan, "", role, wrong))
    loaded = office(work(written(plan)), KNOWN)
    steps = {step.span.line: int(step.name[1:]) for step in loaded.procedures["work"].steps()}
    findings = list(hands.check(loaded, TODAY))
    assert {steps[finding.span.line] for finding in findings} == wrong
