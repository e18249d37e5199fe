"""What a text says, and what it denies: plain sentences of the trade, each judged by a reader."""

from __future__ import annotations

import pytest

from sopc.checks import requirements
from sopc.checks.requirements.phrases import says
from tests.checks.small_offices import codes, found

SAID = [
    ("needle", "Needles go in at once."),
    ("steriliz", "It is sterilized again in full."),
    ("hand rub", "Soap, or hand rub when no soil is seen."),
    ("label", "Do not open it; a label says why."),
    ("label", "Not opened. The label says why."),
    ("sharp", "Look for sharps, but never reach for them."),
    ("wipe", "Never dry: wipe twice."),
    ("chosen", "Tried, chosen or not, and why."),
    ("refrigerator", "The refrigerator holds food and nothing else."),
    ("dated", "Dated at opening, drawn up outside, never carried to the chair."),
    ("no food", "No food, drink or make-up at the bench."),
    ("no drink", "No food, drink or make-up at the bench."),
    ("never carried", "Vials are never carried to the chair."),
    ("never recap", "Needles: never bend or recap them."),
    ("cover", "Lidded and covered (never open)."),
    ("holder", "Do it with two hands? Never. Use a holder."),
]
DENIED = [
    ("hand rub", "Do not use hand rub here."),
    ("hand rub", "Hand rub is not needed."),
    ("hand rub", "Hand rub must never be kept here."),
    ("glove", "Nobody wears gloves at the desk."),
    ("soap", "Without soap."),
    ("bleach", "Never mix bleach with acid."),
    ("spray", "Do not wipe, spray or soak it."),
    ("barrier", "There is no barrier on it."),
    ("barrier", "Barriers aren't changed."),
    ("barrier", "Use a cloth instead of a barrier."),
    ("label", "The pack has neither label nor date."),
    ("eyewear", "Eyewear can not be worn with it."),
    ("mask", "A mask is no longer worn."),
    ("no drink", "Drink enough water."),
    ("no food", "Food is kept in the staff room. No shoes."),
    ("never carried", "Vials are carried to the chair; never shaken."),
    ("tub", "Look at the stub."),
]


@pytest.mark.parametrize(("phrase", "text"), SAID)
def test_this_says_it(phrase: str, text: str) -> None:
    assert says(phrase, text)
    assert says(phrase.upper(), text)


@pytest.mark.parametrize(("phrase", "text"), DENIED)
def test_this_does_not(phrase: str, text: str) -> None:
    assert not says(phrase, text)


def asked(note: str, saying: str = '"hand rub"') -> list[str]:
    text = (
        f'requirement R-1 "Rub" {{ group "All" requires a step that meets this, saying {saying} }}\n'
        f'procedure work "Work" {{ by assistant step a "Enter" {{ meets R-1 {note} }} }}\n'
    )
    return codes(found(requirements.check, text), "M")


def test_a_requirement_is_not_met_by_a_note_that_says_the_opposite() -> None:
    assert asked('note "Use the hand rub by the door."') == []
    assert asked('note "Do not use the hand rub by the door."') == ["M01"]
    assert asked("# use the hand rub\n") == ["M01"]
    assert asked('note "No drink at the bench."', '"no drink"') == []
    assert asked('note "A drink at the bench."', '"no drink"') == ["M01"]


def test_two_texts_are_not_read_as_one() -> None:
    assert asked('note "Wash the hand" note "rub it dry"') == ["M01"]
