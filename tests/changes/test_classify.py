"""What a change asks of the office: who must look, who must train, which papers go."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from sopc.changes.classify import Assessed, Assessment, assess
from sopc.changes.direction import Direction
from sopc.model.nouns import Office

Edit = Callable[..., Office]
TODAY = date(2026, 12, 1)


def after(office: Office, changed: Office) -> Assessment:
    return assess(office, changed, TODAY)


def only(office: Office, changed: Office) -> Assessed:
    (one,) = after(office, changed).changes
    return one


@pytest.mark.parametrize(
    ("was", "becomes", "direction"),
    [
        ("starts within 60 min after", "starts within 90 min after", Direction.LOOSENED),
        ("starts within 60 min after", "starts within 45 min after", Direction.TIGHTENED),
        ("starts at least 5 min after", "starts at least 3 min after", Direction.LOOSENED),
        ("limit cool starts at least 5 min after cycle ends", "", Direction.LOOSENED),
        ("after carry ends unless presoak {", "after carry ends {", Direction.TIGHTENED),
        ("use within 8 h", "use within 12 h", Direction.LOOSENED),
        ("contact 5 to 10 min", "contact 4 to 10 min", Direction.LOOSENED),
        ("from 132 to 137", "from 132 to 138", Direction.LOOSENED),
        ("from 132 to 137", "from 133 to 138", Direction.BOTH),
        ("at least every 365 days", "at least every 180 days", Direction.TIGHTENED),
        ("keep 3 years", "keep 2 years", Direction.LOOSENED),
        ("at most 2 times", "at most 3 times", Direction.LOOSENED),
        ("second person dentist", "", Direction.LOOSENED),
        ("flow soiled_zone to clean_zone", "flow soiled_zone to clean_zone only dry", Direction.TIGHTENED),
        ("flow soiled_zone to clean_zone", "", Direction.TIGHTENED),
        ("{ needs packaged brings", "{ wearing mask or gown needs packaged brings", Direction.TIGHTENED),
        ("ster takes 10 to 30", "ster another person than cycle takes 10 to 30", Direction.TIGHTENED),
        ("wearing gown, mask, eyewear, gloves", "wearing gown, mask, gloves", Direction.LOOSENED),
        ("takes at least 20 s", "takes at least 15 s", Direction.LOOSENED),
        ("takes 20 to 40 s", "takes 10 to 20 s", Direction.SHORTENED),
        ("every week on mon if", "every month on first mon if", Direction.LOOSENED),
        ("until 2027-03-01", "until 2027-06-01", Direction.LOOSENED),
        ("at 121 C for 25 min", "at 121 C for 20 min", Direction.LOOSENED),
        ("for 25 min dry 15 min", "for 25 min dry 20 min", Direction.TIGHTENED),
        ("sterilizing a0 600", "sterilizing a0 300", Direction.LOOSENED),
        ("reading C at most 43", "reading C at most 40", Direction.TIGHTENED),
        ('"Rinse and dry with a paper towel"', '"Rinse, dry with a paper towel"', Direction.NONE),
    ],
)
def test_what_is_looser_is_called_so(
    office: Office, edited: Edit, was: str, becomes: str, direction: Direction
) -> None:
    assert only(office, edited((was, becomes))).direction is direction


def test_an_approver_looks_at_what_was_loosened_only(office: Office, edited: Edit) -> None:
    assert only(office, edited(("use within 8 h", "use within 12 h"))).needs_attention
    assert not only(office, edited(("use within 8 h", "use within 6 h"))).needs_attention


def test_how_long_a_machine_takes_is_not_for_the_approver(office: Office, edited: Edit) -> None:
    shorter = only(office, edited(("lasts 38 to 52 min", "lasts 30 to 40 min")))
    assert shorter.direction is Direction.SHORTENED
    assert not shorter.needs_attention


def test_a_changed_step_retrains_those_who_do_it(office: Office, edited: Edit) -> None:
    change = only(
        office,
        edited(('mark" { in ster by hygienist takes 1 to 2 min', 'mark" { in ster by hygienist takes 1 to 3 min')),
    )
    assert change.impact.train == ("hygienist",)
    assert change.impact.read == ()


def test_other_words_are_read_and_signed(office: Office, edited: Edit) -> None:
    change = only(office, edited(('"Fill the water tank to the mark"', '"Fill the tank with water to the mark"')))
    assert change.impact.train == ()
    assert change.impact.read == ("hygienist",)


def test_a_new_number_of_the_document_retrains_no_one(office: Office, edited: Edit) -> None:
    change = only(office, edited(("revision 3 effective 2026-12-01", "revision 4 effective 2026-12-01")))
    assert change.impact.train == change.impact.read == ()


def test_a_machine_touches_every_procedure_that_uses_it(office: Office, edited: Edit) -> None:
    change = only(office, edited(("holds 6 cassette", "holds 4 cassette")))
    assert {"SOP-06", "chart SOP-06", "LOG-01"} <= set(change.impact.papers)
    assert "SOP-01" not in change.impact.papers


def test_a_mixture_touches_the_procedures_that_print_it(office: Office, edited: Edit) -> None:
    changed = edited(("dilute 1 part to 9 parts", "dilute 1 part to 19 parts"))
    assert "SOP-06" in only(office, changed).impact.papers
    swapped = {(swap.id, swap.sort) for swap in after(office, changed).swaps}
    assert ("SOP-06", "procedure or register") in swapped
    assert not any(id == "SOP-01" for id, _ in swapped)


def test_papers_are_swapped_only_when_they_print_differently(office: Office) -> None:
    assert after(office, office).swaps == ()


def test_a_paper_that_goes_has_nothing_put_in_its_place(office: Office, edited: Edit) -> None:
    swaps = after(edited(("after_spill", "spill_care")), edited(("after_spill", "spill_care"))).swaps
    assert swaps == ()
    gone = edited(("perform hands }\n  choose", "}\n  choose"), ("covers reprocess, hands", "covers reprocess"))
    assert after(office, gone).swaps


@pytest.mark.parametrize(
    ("pairs", "word"),
    [
        ([("takes at least 20 s", "takes at least 30 s")], "the revision is still 1"),
        ([("dilute 1 part to 9 parts", "dilute 1 part to 19 parts")], "Prints differently"),
        ([("revision 3 effective 2026-12-01", "revision 2 effective 2026-12-02")], "went back from 3 to 2"),
        (
            [("revision 3 effective 2026-12-01", "revision 4 effective 2026-12-01"), ("at most 2", "at most 3")],
            "has the effective date of revision 3",
        ),
        (
            [("revision 3 effective 2026-12-01", "revision 4 effective 2027-01-01"), ("at most 2", "at most 3")],
            "does not say what revision 4 changed",
        ),
    ],
)
def test_the_number_of_the_document_keeps_up_with_its_content(
    office: Office, edited: Edit, pairs: list[tuple[str, str]], word: str
) -> None:
    sentences = [remark.sentence for remark in after(office, edited(*pairs)).remarks]
    assert any(word in sentence for sentence in sentences), sentences


def test_a_well_kept_revision_is_not_remarked_upon(office: Office, edited: Edit) -> None:
    changed = edited(
        ("revision 3 effective 2026-12-01", "revision 4 effective 2027-01-01"),
        ('  purpose "Make', '  history 4 2027-01-01 "a third washing allowed"\n  purpose "Make'),
        ("at most 2 times", "at most 3 times"),
    )
    assert after(office, changed).remarks == ()


def test_a_note_that_says_something_else_is_trained(office: Office, edited: Edit) -> None:
    change = only(
        office, edited(("Stay in the room until the door is locked.", "Leave the room once the door is locked."))
    )
    assert change.impact.train == ("assistant", "hygienist")
