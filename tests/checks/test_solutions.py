"""Solutions: as strong as said, within the label, wet long enough, and never after what they must not meet."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.figures import numbers
from sopc.findings import Finding
from tests.checks.small_offices import TODAY, codes, office

TRADE = """
office "Example" { open mon to fri 08:00 to 17:00  altitude 0 m }
role assistant "Assistant"
area room "Room"
area utility "Utility"
item top "Table top" { noncritical }
item hose "Hose" { noncritical }
supply bleach "Bleach" { stock 5.25 %  dilute 1 part to 9 parts  not with acid }
supply acid "Acid"
supply water "Water"
action keep_wet "Keep wet" { lasts contact time }
action rinse "Rinse" { removes chemicals }
action wipe_on "Wipe on"
"""


def told(text: str) -> list[Finding]:
    return list(numbers.check(office(text, TRADE), TODAY))


def supply(clauses: str, title: str = "Mix") -> list[str]:
    return codes(told(f'supply mix "{title}" {{ {clauses}  contact 1 min }}\n'))


# ── Strength ────────────────────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize(
    ("clauses", "expected"),
    [
        ("stock 5.25 %  dilute 1 part to 9 parts  strength 5250 ppm", []),
        ("stock 5.25 %  dilute 1 part to 9 parts  strength 0.53 %", []),
        ("stock 5.25 %  dilute 1 part to 10 parts  strength 5250 ppm", ["L19"]),
        ("stock 5 %  dilute 1 part to 9 parts  strength 0.5 %, 5000 ppm", []),
        ("stock 5 %  dilute 1 part to 9 parts  strength 0.5 %, 10000 ppm", ["L19"]),
        ("strength 0.5 %, 10000 ppm", ["L19"]),
        ("strength 0.5 %, 5000 mg/L", []),
        ("dilute 1 part to 9 parts  strength 5250 ppm", []),
    ],
)
def test_a_stated_strength_is_what_the_parts_make(clauses: str, expected: list[str]) -> None:
    assert supply(clauses) == expected


@pytest.mark.parametrize(
    ("title", "parts", "expected"),
    [
        ("Bleach 1:10", "1 part to 9 parts", []),
        ("Bleach 1:10", "1 part to 10 parts", ["L19"]),
        ("Bleach 1 : 100", "1 part to 99 parts", []),
        ("Bleach 1:100", "1 part to 9 parts", ["L19"]),
        ("Bleach 1:10", "2 parts to 18 parts", []),
        ("Bleach, made at 11:10", "1 part to 19 parts", []),
        ("Bleach", "1 part to 10 parts", []),
    ],
)
def test_a_ratio_in_the_title_is_that_of_the_parts(title: str, parts: str, expected: list[str]) -> None:
    assert supply(f"dilute {parts}", title) == expected


@settings(max_examples=80, deadline=None)
@given(st.integers(1, 150), st.integers(1, 500), st.integers(1, 20_000), st.integers(1, 20_000))
def test_a_strength_is_outside_its_label_exactly_when_arithmetic_says_so(
    tenths: int, water: int, one: int, other: int
) -> None:
    """Percent × 10,000, shared among all parts, worked out here."""
    low, high = sorted((one, other))
    ppm = tenths * 1000 / (1 + water)
    clauses = f"stock {tenths / 10} %  dilute 1 part to {water} parts  works at {low} to {high} ppm  contact 1 min"
    outside = tenths * 1000 < low * (1 + water) or (low != high and tenths * 1000 > high * (1 + water))
    found = told(f'supply mix "Mix" {{ {clauses} }}\n')
    assert (codes(found) == ["L20"]) == outside
    if found:
        assert ("at least" in found[0].sentence) == (ppm < low)


def test_a_single_figure_is_the_least_the_label_asks() -> None:
    assert supply("stock 5 %  dilute 1 part to 9 parts  works at 4000 ppm") == []
    assert supply("stock 5 %  dilute 1 part to 9 parts  works at 6000 ppm") == ["L20"]


def test_the_way_to_the_label_is_said_in_the_office_s_own_container() -> None:
    clauses = "stock 5 %  dilute 1 part to 99 parts  works at 4900 to 5100 ppm  container 500 mL  contact 1 min"
    (finding,) = told(f'supply mix "Mix" {{ {clauses} }}\n')
    assert finding.fix.replace("\u00a0", " ") == "Mix 1 part with 9 parts (50 + 450 mL in 500 mL): 5,000 ppm (0.5 %)."


def test_an_unknown_strength_is_said_to_be_undecided() -> None:
    assert supply("dilute 1 part to 9 parts  works at 500 ppm") == ["L21"]
    assert supply("dilute 1 part to 9 parts  works at 500 ppm  strength 600 ppm") == []


def test_a_strength_is_no_volume() -> None:
    from sopc.library import load_text

    _, findings = load_text(TRADE + 'supply mix "Mix" { strength 5 mL }\n')
    assert codes(findings) == ["Q02"]


@pytest.mark.parametrize("clauses", ["stays wet 3 min", "works at 500 ppm  strength 600 ppm"])
def test_what_disinfects_has_a_contact_time(clauses: str) -> None:
    assert codes(told(f'supply mix "Mix" {{ {clauses} }}\n')) == ["L24"]
    assert codes(told(f'supply mix "Mix" {{ {clauses}  contact 1 min }}\n')) == []


@pytest.mark.parametrize(
    ("parts", "boxes", "expected"),
    [
        ("1 part to 9 parts", '"1 + 9" or "1 + 99"', []),
        ("2 parts to 18 parts", '"1 + 9" or "1 + 99"', []),
        ("1 part to 49 parts", '"1 + 9" or "1 + 99"', ["L25"]),
        ("1 part to 49 parts", '"1 + 9" or "other"', []),
    ],
)
def test_the_log_of_mixing_has_a_box_for_the_mix(parts: str, boxes: str, expected: list[str]) -> None:
    text = (
        f'supply mix "Mix" {{ dilute {parts}  use within 12 h }}\n'
        'task fresh "Fresh" { by assistant  start of day  renews mix  record mixes }\n'
        f'log mixes "Mixes" {{ sheet weekly 20 rows  column parts "Parts" choice {boxes} }}\n'
    )
    assert codes(told(text)) == expected


# ── Wet long enough ─────────────────────────────────────────────────────────────────────────────


@settings(max_examples=40, deadline=None)
@given(st.integers(10, 600), st.integers(10, 600), st.one_of(st.none(), st.integers(10, 600)))
def test_a_step_dries_too_soon_exactly_when_nothing_wets_it_in_time(contact: int, wet: int, again: int | None) -> None:
    rewet = f"rewet every {again} s" if again is not None else ""
    text = (
        f'supply wipe "Wipe" {{ contact {contact} s  stays wet {wet} s }}\n'
        f'procedure work "Work" {{ by assistant  step s "S" {{ does keep_wet  using wipe  takes 1 h  {rewet} }} }}\n'
    )
    assert (codes(told(text)) == ["L22"]) == (contact > wet and (again is None or again > wet))


def test_a_task_that_keeps_wet_is_held_to_it_too() -> None:
    text = (
        'supply wipe "Wipe" { contact 3 min  stays wet 1 min }\n'
        'task daily "Daily" { does keep_wet  using wipe  by assistant  every day }\n'
    )
    assert codes(told(text)) == ["L22"]


# ── What must not meet ──────────────────────────────────────────────────────────────────────────


def work(*steps: str, handles: str = "") -> str:
    return f'procedure work "Work" {{ by assistant  in room  {handles}\n' + "\n".join(steps) + "\n}\n"


BLEACH = 'step one "One" { using bleach }'
ACID = 'step two "Two" { using acid }'
RINSE = 'step away "Away" { does rinse }'


def test_acid_after_bleach_is_told_with_the_way_it_comes_about() -> None:
    (finding,) = told(work(BLEACH, 'step wait "Wait" { }', ACID))
    assert finding.code == "L23"
    assert [step.text for step in finding.walk] == [
        "“One” uses Bleach",
        "nothing after it removes chemicals",
        "“Two” uses Acid",
    ]


def test_a_rinse_between_parts_them() -> None:
    assert told(work(BLEACH, RINSE, ACID)) == []


def test_a_rinse_that_may_be_left_out_does_not() -> None:
    assert codes(told(work(BLEACH, RINSE.replace("{ ", '{ when "there is time"  '), ACID))) == ["L23"]


def test_a_rinse_of_something_else_does_not() -> None:
    conditions = 'condition soiled "Soiled"\n'
    text = work(
        'step one "One" { does wipe_on on top  using bleach }',
        'step away "Away" { does rinse on hose }',
        'step two "Two" { does wipe_on on top  using acid }',
        handles="handles top, hose from soiled to soiled",
    )
    assert codes(told(conditions + text)) == ["L23"]
    assert told(conditions + text.replace("rinse on hose", "rinse on top")) == []


def test_an_instrument_takes_along_what_is_on_it() -> None:
    more = 'condition soiled "Soiled"\narea next_door "Next door"\nitem probe "Probe" {{ {} }}\n'
    handles = "handles probe from soiled to soiled"
    one, two = (f'step {name} "{name}" {{{{ does wipe_on  using {name}  in {{}} }}}}' for name in ("bleach", "acid"))
    for kind, expected in (("critical", ["L23"]), ("noncritical", [])):
        text = work(one.format("room"), two.format("next_door"), handles=handles)
        assert codes(told(more.format(kind) + text)) == expected
        there = 'step away "Away" { does rinse  in next_door }'
        rinsed = (one.format("room"), there, two.format("next_door"))
        assert codes(told(more.format(kind) + work(*rinsed, handles=handles))) == []
        # Rinsed next door it still lies in the sink.
        back = two.replace("step acid", "step again").format("room")
        assert codes(told(more.format(kind) + work(*rinsed, back, handles=handles))) == ["L23"]


def test_what_is_done_on_other_things_or_elsewhere_does_not_meet() -> None:
    conditions = 'condition soiled "Soiled"\n'
    items = "handles top, hose from soiled to soiled"
    one, two = (
        'step one "One" { does wipe_on on top  using bleach }',
        'step two "Two" { does wipe_on on hose  using acid }',
    )
    assert told(conditions + work(one, two, handles=items)) == []
    assert told(work(BLEACH, ACID.replace("using", "in utility  using"))) == []


def test_a_performed_procedure_counts() -> None:
    inner = 'procedure inner "Inner" { by assistant  in room  step two "Two" { using acid } }\n'
    assert codes(told(inner + work(BLEACH, 'step go_in "Go in" { perform inner }'))) == ["L23"]
    assert told(inner + work('step go_in "Go in" { perform inner }')) == []


def test_a_performed_procedure_that_rinses_counts_too() -> None:
    inner = 'procedure inner "Inner" { by assistant  in room  step away "Away" { does rinse } }\n'
    assert told(inner + work(BLEACH, 'step go_in "Go in" { perform inner }', ACID)) == []


def test_what_one_caller_leaves_does_not_reach_another() -> None:
    shared = 'procedure shared "Shared" { by assistant  in room  step look "Look" { } }\n'
    one = f'procedure first "First" {{ by assistant  in room  {BLEACH}\n step go_in "Go in" {{ perform shared }} }}\n'
    other = f'procedure other "Other" {{ by assistant  in room  step go_in "Go in" {{ perform shared }}\n {ACID} }}\n'
    assert told(shared + one + other) == []


def test_no_chain_of_procedures_is_too_long_nor_a_circle_endless() -> None:
    def chain(length: int, last: str) -> str:
        steps = 'step s "S" {{ using bleach }} step t "T" {{ perform p{1} }}'
        link = f'procedure p{{0}} "P" {{{{ by assistant  in room  {steps} }}}}\n'
        links = "".join(link.format(place, place + 1) for place in range(length))
        return links + f'procedure p{length} "Last" {{ by assistant  in room  step s "S" {{ {last} }} }}\n'

    assert codes(told(chain(1500, "using acid"))) == ["L23"]
    assert told(chain(3, "perform p0")) == []


def test_a_way_back_is_a_way() -> None:
    clean = 'check "Clean?" else repeat from one at most 2 times then stop "Off."'
    rows = ('step one "One" { using acid }', RINSE, f'step two "Two" {{ using bleach  {clean} }}')
    (finding,) = told(work(*rows))
    assert (finding.code, finding.sentence.split(" uses")[0]) == ("L23", "“One”")
    assert told(work(*rows).replace(clean, "")) == []


def test_branches_side_by_side_meet() -> None:
    both = f'together {{ branch "A" {{ {BLEACH} }} branch "B" {{ {ACID} }} }}'
    assert codes(told(work(both))) == ["L23"]


def test_ways_of_a_choice_do_not_meet() -> None:
    either = f'choose "Which?" {{ way "A" {{ {BLEACH} }} way "B" {{ {ACID} }} }}'
    assert told(work(either)) == []


def test_a_task_that_uses_one_and_performs_the_other_is_told() -> None:
    inner = 'procedure inner "Inner" { by assistant  in room  step two "Two" { using acid } }\n'
    assert codes(told(inner + 'task daily "Daily" { perform inner  using bleach  by assistant  every day }\n')) == [
        "L23"
    ]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(["bleach", "acid", "water", "rinse"]), min_size=1, max_size=8))
def test_in_a_plain_row_of_steps_they_meet_exactly_when_no_rinse_stands_between(row: list[str]) -> None:
    steps = [
        f'step s{place} "S" {{ does rinse }}' if each == "rinse" else f'step s{place} "S" {{ using {each} }}'
        for place, each in enumerate(row)
    ]
    stretches = " ".join(row).split("rinse")
    expected = any("bleach" in stretch and "acid" in stretch for stretch in stretches)
    assert bool(told(work(*steps))) == expected
