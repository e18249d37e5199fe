"""What is soiled is off before clean work: examples, then every path of random procedures walked."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.people import soiled_wear
from tests.checks.small_offices import TODAY, TRADE, codes, found, office, only

KNOWN = (
    TRADE
    + 'zone red "Red" { }\nzone green "Green" { admits clean }\nflow red to green\n'
    + 'area sink "Sink" { zone red }\narea bench "Bench" { zone green }\narea hall "Hall"\n'
    + 'ppe gloves "Gloves" { off before clean }\nppe apron "Apron" { off before clean }\nppe gown "Gown"\n'
)
WASH = 'step w "Wash" { in sink wearing gloves, gown }\n'
PACK = 'step p "Pack" { in bench wearing gloves }\n'
OFF = 'step o "Off" { in sink wearing gown }\n'


def work(body: str, name: str = "work", by: str = "assistant") -> str:
    return f'procedure {name} "Work" {{ by {by}\n{body} }}\n'


@pytest.mark.parametrize(
    ("body", "fine"),
    [
        (WASH + PACK, False),
        (WASH + OFF + PACK, True),
        (WASH + OFF.replace("{ in", '{ when "torn" in') + PACK, False),
        (WASH + 'step h "Walk" { in hall wearing gloves }' + PACK, False),
        (WASH + 'step h "Walk" { in hall wearing nothing }' + PACK, True),
        (WASH + PACK.replace("wearing gloves", "wearing gown"), True),
        (WASH + PACK.replace("in bench", "by dentist in bench"), True),
        (PACK + WASH, True),
        (PACK + PACK.replace("step p", "step q"), True),
        (WASH + 'step u "Unsaid" { in sink }' + PACK, False),
    ],
)
def test_soiled_pieces_are_off_before_clean_work(body: str, fine: bool) -> None:
    assert codes(found(soiled_wear.check, work(body), KNOWN)) == ([] if fine else ["P18"])


def test_the_walk_and_the_words() -> None:
    finding = only(found(soiled_wear.check, work(WASH + PACK), KNOWN), "P18")
    assert finding.sentence.startswith("“Pack” is done in “Green” in gloves worn before")
    assert [step.text for step in finding.walk] == ["Step 1 “Wash”"]


def test_what_is_worn_goes_along_into_what_is_performed_and_back() -> None:
    inner, outer = work(PACK, "inner"), work(WASH + 'step i "Go on" { perform inner }')
    assert codes(found(soiled_wear.check, inner, KNOWN)) == []
    assert codes(found(soiled_wear.check, inner + outer, KNOWN)) == ["P18"]
    inner, outer = work(WASH, "inner"), work('step i "Begin" { perform inner }' + PACK)
    assert codes(found(soiled_wear.check, inner + outer, KNOWN)) == ["P18"]


# ── Against every path ──────────────────────────────────────────────────────────────────────────

Act = tuple[str, str, tuple[str, ...], str, int]  # do or when, area, what is worn, role, number
MOST = 7


@st.composite
def acts(draw: st.DrawFn) -> list[Act]:
    return [
        (
            draw(st.sampled_from(["do", "do", "when"])),
            draw(st.sampled_from(["sink", "bench", "hall"])),
            tuple(draw(st.lists(st.sampled_from(["gloves", "apron", "gown"]), unique=True, max_size=3))),
            draw(st.sampled_from(["assistant", "assistant", "dentist"])),
            number,
        )
        for number in range(draw(st.integers(1, MOST)))
    ]


def ways(plan: list[Act]) -> Iterator[list[Act]]:
    """Every sequence of the acts done, each of those that are done only sometimes once with and once without."""
    if not plan:
        yield []
        return
    for rest in ways(plan[1:]):
        yield [plan[0], *rest]
        if plan[0][0] == "when":
            yield rest


def wrong_on(done: list[Act], role: str) -> Iterator[int]:
    since: set[str] = set()
    for _, area, worn, who, number in done:
        if who != role:
            continue
        if area == "bench" and since & set(worn):
            yield number
        since = {"gloves", "apron"} & set(worn) if area == "sink" else since & set(worn)


@settings(max_examples=200, deadline=None)
@given(acts())
def test_every_clean_step_in_soiled_pieces_is_told_and_no_other(plan: list[Act]) -> None:
    body = "".join(
        f'step s{number} "S{number}" {{ by {who} in {area} wearing {", ".join(worn) or "nothing"} '
        + ('when "so" }\n' if kind == "when" else "}\n")
        for kind, area, worn, who, number in plan
    )
    wrong = {number for done in ways(plan) for role in ("assistant", "dentist") for number in wrong_on(done, role)}
    loaded = office(work(body), KNOWN)
    steps = {step.span.line: int(step.name[1:]) for step in loaded.procedures["work"].steps()}
    assert {steps[finding.span.line] for finding in soiled_wear.check(loaded, TODAY)} == wrong
