"""Plain words for what the records hold."""

from __future__ import annotations

from datetime import date

import pytest

from sopc.documents import wording
from sopc.model.nouns import Decider, Duration, Office, Performers, Piece
from sopc.source import NOWHERE
from sopc.trade.quantities import quantity


def said(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_a_date_cannot_be_read_with_day_and_month_swapped() -> None:
    assert said(wording.day(date(2026, 2, 3))) == "3 Feb 2026"


@pytest.mark.parametrize(
    ("least", "most", "expected"),
    [
        (("5", "min"), ("15", "min"), "5 to 15 min"),
        (("45", "s"), ("2", "min"), "45 s to 2 min"),
        (("10", "min"), ("10", "min"), "10 min"),
        (("0", "min"), ("3", "min"), "up to 3 min"),
        (("30", "s"), None, "at least 30 s"),
    ],
)
def test_a_range_names_its_unit_once_where_it_can(
    least: tuple[str, str], most: tuple[str, str] | None, expected: str
) -> None:
    assert said(wording.time_range(quantity(*least), quantity(*most) if most else None)) == expected


def test_a_duration_says_what_ends_it() -> None:
    takes = Duration(quantity("10", "min"), quantity("30", "min"), Decider.OUTCOME, "it is cool", NOWHERE, True)
    assert said(wording.duration(takes)) == "10 to 30 min, until it is cool"


@pytest.mark.parametrize(
    ("joined", "expected"),
    [(False, "Dental assistant or dental hygienist"), (True, "Dental assistant and dental hygienist, together")],
)
def test_people_are_named_with_whether_one_or_all(office: Office, joined: bool, expected: str) -> None:
    by = Performers(((1, "assistant"), (1, "hygienist")), joined, NOWHERE)
    assert wording.people(office, by) == expected


def test_several_of_one_role_are_counted(office: Office) -> None:
    assert said(wording.people(office, Performers(((2, "assistant"),), True, NOWHERE))) == "2 × dental assistant"


@pytest.mark.parametrize(
    ("step", "expected"),
    [
        ("bath_run", "Start within 60 min after step 1 ends"),
        ("cool", "Start no sooner than 5 min after step 7 ends"),
        ("cycle", "Start within 2 h after step 5A.1 ends"),
    ],
)
def test_a_limit_is_an_order(office: Office, step: str, expected: str) -> None:
    procedure = office.procedures["reprocess"]
    rule = next(rule for rule in procedure.limits if rule.later.step == step)
    assert said(wording.limit(procedure, rule)) == expected


def test_a_lifted_limit_says_by_which_step(office: Office) -> None:
    procedure = office.procedures["reprocess"]
    assert said(wording.unless(procedure, procedure.limits[0])) == "Does not apply if step 2B.1 was done."


def test_a_no_with_counted_repeats_says_what_comes_after_them(office: Office) -> None:
    procedure = office.procedures["reprocess"]
    step = procedure.step("look")
    assert step is not None
    assert said(wording.on_no(office, procedure, step.checks[0])) == (
        "Go back to step 1 (Carry the closed cassette to the cleaning area), at most twice. "
        "If it is still NO after that: STOP. Put it in the repair box and label it."
    )


def test_a_choice_of_equipment_that_another_piece_meets_is_not_said(office: Office) -> None:
    one, both = Piece(("gloves",)), Piece(("gloves", "mask"))
    assert wording.worn(office, (both, one, both)) == "utility gloves"
    assert wording.worn(office, (both, both)) == "utility gloves or surgical mask"


def test_a_dilution_counts_parts_of_each(office: Office) -> None:
    mix = office.supplies["bleach"].dilution
    assert mix is not None
    assert said(wording.dilution(mix)) == "1 part + 9 parts water"


def test_a_program_is_told_with_its_setting(office: Office) -> None:
    assert said(wording.exposure(office, "autoclave", "wrapped")) == (
        "program “Wrapped 132”: 132 °C for 4 min, dry 20 to 30 min"
    )


@pytest.mark.parametrize(
    ("text", "bound"), [("at 132 °C for 4 min", 2), ("3 men", 0), ("5 % of 10 mL", 2), ("4 inside", 0)]
)
def test_only_units_are_bound_to_their_number(text: str, bound: int) -> None:
    assert wording.bound_units(text).count("\u00a0") == bound
