"""A procedure as the day's plan sees it: blocks, machines held, and limits on the strict side."""

from __future__ import annotations

import sopc
from sopc.checks.days.work import Spacing, Work, work_of
from sopc.checks.time.durations import Lengths

HEAD = """
office "Birch Lane Dental" { open mon to thu 08:00 to 12:00 }
role assistant "Dental assistant"
role trainee "Trainee" { stands in for assistant }
role officer "Officer"
device washer "Washer" { holds 4 cassette program normal "Normal" { lasts 30 to 40 min by machine } }
device lamp "Lamp"
item cassette "Cassette" { critical }
procedure clean_hands "Clean your hands" { by assistant step rub "Rub" { takes 20 to 30 s } }
"""


def work(steps: str) -> Work:
    office, findings = sopc.load_text(HEAD + 'procedure p "P" { by assistant ' + steps + "}")
    assert office is not None, findings
    return work_of(Lengths(office), office.procedures["p"])


def test_what_one_person_does_in_one_go_is_one_block() -> None:
    made = work('step a "A" { takes 1 to 2 min } step b "B" { perform clean_hands } step c "C" { takes 3 min }')
    (block,) = made.activities
    assert (block.least, block.most, block.hands) == (260, 330, True)
    assert block.claims[0].any_of == ("role assistant", "role trainee")


def test_a_machine_is_held_from_loading_until_somebody_has_emptied_it() -> None:
    made = work(
        'step a "A" { using washer takes 1 min } step b "B" { runs washer normal } step c "C" { takes 2 min }'
        'step d "D" { takes 10 min until "cool" } step e "E" { takes 1 min }'
    )
    claim = made.activities[0].claims[1]
    assert (claim.any_of, claim.until) == (("device washer",), 2)
    assert [each.hands for each in made.activities] == [True, False, True, False, True]


def test_two_people_where_the_text_asks_for_two() -> None:
    (block,) = work('step a "A" { takes 1 min second person officer }').activities
    assert [claim.any_of for claim in block.claims] == [("role officer",), ("role assistant", "role trainee")]
    (pair,) = work('step a "A" { by assistant and officer takes 1 min }').activities
    assert len(pair.claims) == 2


def test_lamps_and_benches_hold_up_nobody() -> None:
    assert work('step a "A" { using lamp takes 1 min }').devices == ()


def test_steps_done_only_sometimes_are_left_out_and_jumps_ahead_are_followed() -> None:
    made = work(
        'step a "A" { takes 1 min next go to c } step b "B" { takes 50 min } step c "C" { takes 2 min }'
        'step d "D" { when "wet" takes 60 min }'
    )
    assert sum(each.least for each in made.activities) == 180


def test_a_step_without_a_time_is_counted_as_such() -> None:
    assert work('step a "A" { } step b "B" { takes 1 min }').untimed == 1


def test_limits_reach_from_block_to_block_on_the_strict_side() -> None:
    steps = (
        'step a "A" { takes 1 min } step b "B" { takes 2 min } step c "C" { takes 30 min by machine }'
        'step d "D" { takes 1 min } step e "E" { takes 1 min }'
    )
    within = "limit e starts within 50 min after a ends"
    assert work(f"{steps} {within}").spacings == (Spacing(0, False, 2, True, None, 3000),)
    exact = "limit d starts within 50 min after b ends"
    assert work(f"{steps} {exact}").spacings == (Spacing(0, True, 2, False, None, 3000),)
    least = "limit e ends at least 20 min after a starts"
    assert work(f"{steps} {least}").spacings == (Spacing(0, False, 2, True, 1200, None),)
    both = "limit e starts at least 20 min and within 50 min after a ends"
    assert work(f"{steps} {both}").spacings == (
        Spacing(0, False, 2, True, None, 3000),
        Spacing(0, True, 2, False, 1200, None),
    )
    inside = "limit b starts within 5 min after a ends"
    assert work(f"{steps} {inside}").spacings == ()


def test_who_carries_out_a_procedure_does_its_inner_steps_too_where_they_may() -> None:
    made = work('step a "A" { by officer takes 1 min } step b "B" { by trainee perform clean_hands }')
    assert [each.claims[0].any_of for each in made.activities] == [("role officer",), ("role trainee",)]
