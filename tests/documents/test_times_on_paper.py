"""What a procedure's page says of time: how long it takes, of whom, and what to heed for limits that come later."""

from __future__ import annotations

import pytest

from sopc.documents.sop import sop_page
from sopc.documents.sop_model import SopPage
from tests.checks.small_offices import TODAY, office
from tests.checks.test_orders import BESIDE, SOAKED
from tests.documents.test_sop_page import steps_by_number


def page(body: str, before: str = "", clauses: str = "by assistant") -> SopPage:
    loaded = office(f'{before}procedure work "Work" {{ {clauses}\n{body}\n}}\n')
    return sop_page(loaded, loaded.procedures["work"], TODAY)


def orders_at(shown: SopPage, step: str) -> list[str]:
    return [limit.order.replace("\u00a0", " ") for limit in steps_by_number(shown)[step].limits]


def time_row(shown: SopPage) -> str:
    (row,) = [texts[0] for label, texts in shown.brief if label == "Time"]
    return row.replace("\u00a0", " ")


def test_at_the_machine_it_is_said_by_when_to_start_it() -> None:
    shown = page(SOAKED + "limit rinse starts within 60 min after soak starts")
    assert orders_at(shown, "2") == ["Start within 9 min after step 1 starts, so that step 3 can start in time."]
    (clock,) = steps_by_number(shown)["2"].limits[0].clocks
    assert (clock.label, clock.hint.replace("\u00a0", " ")) == ("Start by", "step 1 starts + 9 min")
    assert [clock.label for clock in steps_by_number(shown)["1"].clocks] == ["Started"]


def test_seconds_of_a_long_time_are_left_out_to_the_safe_side() -> None:
    late = SOAKED.replace("5 to 15 min", "5 min to 930 s") + "limit rinse starts within 4230 s after soak starts"
    assert orders_at(page(late), "2")[0].startswith("Start within 19 min after"), "19 min 30 s are left"
    early = page(BESIDE + "limit unload starts within 410 s after ready ends")
    assert orders_at(early, "1B.1") == [
        "Do not finish before step 1A.1 ends, or 45 min have passed since it started.",
        "Do not start before 35 min after step 1A.1 starts.",
    ]


def test_who_must_not_be_ready_too_soon_is_told_when_and_has_a_box_for_it() -> None:
    shown = page(BESIDE + "limit unload starts within 17 min after ready starts")
    assert orders_at(shown, "1B.1") == ["Do not start before 34 min after step 1A.1 starts."]
    assert [clock.label for clock in steps_by_number(shown)["1B.1"].limits[0].clocks] == ["Not before"]
    assert [clock.label for clock in steps_by_number(shown)["1A.1"].clocks] == ["Started"]


def test_a_wait_for_a_machine_says_how_long_at_most() -> None:
    shown = page(BESIDE + "limit unload starts within 6 min after ready starts")
    assert orders_at(shown, "1B.1") == [
        "Wait until step 1A.1 ends, but not longer than 45 min after it starts. Then start."
    ]


def test_the_head_says_how_long_all_takes_and_who_is_busy_how_long() -> None:
    assert time_row(page(SOAKED)) == (
        "**42 min to 1 h 7 min**, once through. Staff: assistant 7 to 17 min. Runs by itself: 35 to 50 min."
    )


@pytest.mark.parametrize(
    ("takes", "said"),
    [
        ("5 to 15 min", "**5 to 15 min**, once through."),
        ("at most 15 min", "**at most 15 min**, once through."),
        ("at least 5 min", "**5 min or more**, once through."),
        ("5 min", "**5 min**, once through."),
    ],
)
def test_where_one_person_does_all_of_it_the_time_is_said_once(takes: str, said: str) -> None:
    assert time_row(page(f'step soak "Soak" {{ takes {takes} }}')) == said


def test_without_any_time_there_is_no_row_for_it() -> None:
    assert [label for label, _ in page('step soak "Soak" { }').brief if label == "Time"] == []


def test_what_a_performed_procedure_takes_counts_for_those_who_do_it() -> None:
    inner = 'procedure inner "Inner" { by dentist or assistant step x "X" { takes 2 to 3 min } }\n'
    inner += 'procedure cook "Cook" { by dentist step y "Y" { takes 1 min } step z "Z" { runs sterilizer wrapped } }\n'
    body = 'step p "P" { perform inner }\nstep q "Q" { perform cook }\n'
    assert time_row(page(body, inner)) == (
        "**38 to 54 min**, once through. Staff: assistant 2 to 3 min; dentist 1 min. Runs by itself: 35 to 50 min."
    )
