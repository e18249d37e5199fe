"""Questions with several ways: numbers without a gap, classes of items, and a way for all else."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.figures.ranges import Range, gap, gap_of_counts, range_of
from sopc.checks.items import answers
from sopc.findings import Finding
from sopc.model.nouns import Property
from tests.checks.small_offices import TRADE, office

KINDS = 'item lens "Lens" { semicritical heat sensitive }\nitem thing "Thing" { }\n'


def told(*ways: str, handles: str = "", title: str = "way") -> list[Finding]:
    inside = " ".join(
        f'way "{title} {number}" {f"when {when!r}".replace(chr(39), chr(34)) if when else ""} {{ }}'
        for number, when in enumerate(ways)
    )
    text = f'procedure work "Work" {{ by assistant {handles} choose "Which?" {{ {inside} }} }}\n'
    return list(answers.check(office(text, TRADE + KINDS)))


def said(*ways: str, handles: str = "") -> str:
    return " ".join(
        finding.code + " " + finding.sentence.replace("\u00a0", " ") for finding in told(*ways, handles=handles)
    )


@pytest.mark.parametrize(
    ("ways", "left_out"),
    [
        (("under 10 mL", "over 10 mL"), "exactly 10 mL"),
        (("under 10 mL: smaller than a palm", "20 mL or more"), "at least 10 mL and less than 20 mL"),
        (("at most 10 mL", "more than 20 mL"), "more than 10 mL and at most 20 mL"),
        (("5 to 10 min", "more than 10 min"), "less than 5 min"),
        (("under 5 min", "5 min or more and at most 1 h"), "more than 60 min"),
        (("below 20 C", "20 C to 30 C"), "more than 30 °C"),
        (("20 C to 30 C", "over 30 C"), "less than 20 °C"),
        (("1", "3 or more"), "2"),
        (("at most 2", "3"), "4 or more"),
        (("over 0 mL",), "exactly 0 mL"),
    ],
)
def test_a_gap_between_numbers_is_named(ways: tuple[str, ...], left_out: str) -> None:
    assert said(*ways) == f"O22 “Which?”: nothing is said for {left_out}."


@pytest.mark.parametrize(
    "ways",
    [
        ("under 10 mL: smaller than a palm", "10 mL or more"),
        ("below 68 F", "20 C or more"),
        ("less than 1 min", "60 s to 2 min", "over 120 s"),
        ("at most 2", "3 or more"),
        ("yes", "no"),
        ("soil is seen", "no soil is seen"),
        ("Yes.", "No: the better way"),
        ("critical", "semicritical or noncritical"),
        ("items that fit nothing", ""),
    ],
)
def test_one_way_always_fits(ways: tuple[str, ...]) -> None:
    assert said(*ways) == ""


@pytest.mark.parametrize(
    "ways",
    [
        ("the washer is in order", "the washer is full"),
        ("under 10 mL", "a lot"),
        ("under 10 mL", "more than 10 min"),
        ("under 10 drops", "10 drops or more"),
        ("critical", "anything from the drawer"),
    ],
)
def test_what_cannot_be_told_asks_for_a_way_for_all_else(ways: tuple[str, ...]) -> None:
    assert said(*ways).startswith("O23 “Which?”: each way says when it is taken")


def test_the_way_that_says_no_when_is_for_all_else() -> None:
    assert told("the washer is in order", "") == []


def test_answers_by_their_titles_are_what_staff_choose_from() -> None:
    assert told("", "") == []


def test_titles_that_are_numbers_are_held_too() -> None:
    text = 'procedure work "Work" { by assistant choose "How much?" { way "Under 10 mL" { } way "Over 10 mL" { } } }\n'
    (finding,) = answers.check(office(text))
    assert finding.code == "O22"


@pytest.mark.parametrize(
    ("ways", "handles", "answer"),
    [
        (("critical", "noncritical"), "handles tip, tray from soiled to clean", ""),
        (("critical", "noncritical"), "handles tip, lens from soiled to clean", "Lens, which is semicritical"),
        (("the item is heat stable", "the item is not heat stable"), "handles tip from soiled to clean", ""),
        (("critical", "semicritical"), "handles thing from soiled to clean", "Thing, which is noncritical"),
        (("critical", "semicritical"), "", "items that are noncritical"),
        (("critical and heat stable", "heat sensitive"), "", "items that are heat stable and semicritical"),
        (("hollow", "critical"), "", "items that are semicritical and not hollow"),
    ],
)
def test_classes_of_items(ways: tuple[str, ...], handles: str, answer: str) -> None:
    assert said(*ways, handles=handles) == (f"O22 “Which?”: nothing is said for {answer}." if answer else "")


def test_a_choice_inside_a_way_is_looked_at_too() -> None:
    inner = 'choose "In?" { way "A" when "this" { } way "B" when "that" { } }'
    text = (
        f'procedure work "Work" {{ by assistant choose "Out?" {{ way "C" when "so" {{ {inner} }} way "D" {{ }} }} }}\n'
    )
    assert [finding.code for finding in answers.check(office(text))] == ["O23"]


# ── Against trying numbers one by one ───────────────────────────────────────────────────────────

Said = tuple[str, Callable[[Fraction], bool]]


@st.composite
def conditions(draw: st.DrawFn, unit: str = " mL") -> Said:
    one, more = draw(st.integers(0, 6)), draw(st.integers(0, 4))
    two = one + more
    return draw(
        st.sampled_from(
            [
                (f"under {one}{unit}", lambda value: value < one),
                (f"less than {one}{unit}", lambda value: value < one),
                (f"over {one}{unit}", lambda value: value > one),
                (f"more than {one}{unit}", lambda value: value > one),
                (f"at most {one}{unit}", lambda value: value <= one),
                (f"{one}{unit} or less", lambda value: value <= one),
                (f"at least {one}{unit}", lambda value: value >= one),
                (f"{one}{unit} or more", lambda value: value >= one),
                (f"{one}{unit}", lambda value: value == one),
                (f"{one} to {two}{unit}", lambda value: one <= value <= two),
                (f"between {one}{unit} and {two}{unit}", lambda value: one <= value <= two),
                (f"over {one}{unit} and at most {two}{unit}", lambda value: one < value <= two),
                (f"at least {one}{unit} but under {two}{unit}", lambda value: one <= value < two),
            ]
        )
    )


def read(text: str) -> Range:
    found = range_of(text.casefold())
    assert found is not None, text
    return found


@settings(max_examples=400, deadline=None)
@given(st.lists(conditions(), min_size=1, max_size=5))
def test_a_gap_is_named_exactly_when_some_number_fits_nowhere(ways: list[Said]) -> None:
    left_out = [
        value
        for value in (Fraction(quarter, 4) for quarter in range(12 * 4))
        if not any(fits(value) for _, fits in ways)
    ]
    words = gap([read(text) for text, _ in ways])
    assert bool(words) == bool(left_out)
    if words:  # the words are a range themselves, and the first number left out lies in it and nothing that fits
        named = read(words.removeprefix("exactly ").replace("\u00a0", " ").casefold())
        assert named.holds(left_out[0])
        assert not any(named.holds(Fraction(q, 4)) and Fraction(q, 4) not in left_out for q in range(12 * 4))


@settings(max_examples=200, deadline=None)
@given(st.lists(conditions(unit=""), min_size=1, max_size=4))
def test_counts_go_from_one_in_whole_numbers(ways: list[Said]) -> None:
    left_out = [number for number in range(1, 30) if not any(fits(Fraction(number)) for _, fits in ways)]
    words = gap_of_counts([read(text) for text, _ in ways])
    assert bool(words) == bool(left_out)
    if left_out:
        assert words.split(" ")[0] == str(left_out[0])


def test_the_words_for_properties_are_those_of_the_language() -> None:
    for each in Property:
        assert answers._kinds(str(each)) == (((answers._Kind(each, True),),))
