"""Presence: who, with what, where, for how long."""

from __future__ import annotations

from sopc.checks.people import presence
from sopc.checks.rooms import places
from tests.checks.small_offices import codes, found, only, procedure


def test_a_step_without_a_person_is_told() -> None:
    text = procedure('step w "W" { does wash  by assistant }\nstep d "D" { does dry_off }\n', clauses="")
    assert only(found(presence.check, text), "P01").sentence == "“D” does not say who does it."


def test_a_procedure_without_any_person_is_told_once() -> None:
    text = procedure('step w "W" { does wash }\nstep d "D" { does dry_off }\n', clauses="")
    assert codes(found(presence.check, text)) == ["P01"]


def test_a_task_without_a_person_is_told() -> None:
    assert codes(found(presence.check, 'task t "T" { does wash  start of day }\n')) == ["P01"]


def test_what_an_action_is_done_with_must_be_used() -> None:
    action = 'action steam "Steam" { with steamer }\n'
    assert codes(found(presence.check, action + procedure('step s "S" { does steam }\n'))) == ["P02"]
    assert found(presence.check, action + procedure('step s "S" { does steam  runs sterilizer wrapped }\n')) == []


def test_supplies_that_must_not_meet_are_not_used_in_one_step() -> None:
    supplies = 'supply bleach "Bleach" { not with acid }\nsupply acid "Acid"\n'
    assert codes(found(presence.check, supplies + procedure('step s "S" { using acid, bleach }\n'))) == ["P03"]


def test_supplies_that_must_not_meet_are_not_kept_together() -> None:
    supplies = 'area sink "Sink"\nsupply bleach "Bleach" { in sink  not with acid }\nsupply acid "Acid" { in sink }\n'
    assert codes(found(presence.check, supplies)) == ["P04"]


DISINFECT = 'action disinfect "Disinfect" { lasts contact time }\n'


def test_a_step_may_not_end_before_the_contact_time() -> None:
    text = DISINFECT + procedure('step s "S" { does disinfect  using wipe  takes 1 to 5 min }\n')
    assert (
        "may last as little as 1\u00a0min, but Wipe needs 2\u00a0min"
        in only(found(presence.check, text), "P05").sentence
    )


def test_a_step_as_long_as_the_contact_time_is_right() -> None:
    text = DISINFECT + procedure('step s "S" { does disinfect  using wipe  takes at least 2 min }\n')
    assert found(presence.check, text) == []


def test_where_contact_time_counts_a_time_is_stated() -> None:
    text = DISINFECT + procedure('step s "S" { does disinfect  using wipe }\n')
    assert only(found(presence.check, text), "P06").fix == "Add `takes at least 2 min`."


def test_contact_time_needs_a_supply_that_has_one() -> None:
    assert codes(found(presence.check, DISINFECT + procedure('step s "S" { does disinfect }\n'))) == ["P07"]


def test_a_second_person_must_be_there() -> None:
    step = 'step s "S" { second person assistant }\n'
    assert codes(found(presence.check, procedure(step))) == ["P08"]


def test_two_of_a_role_named_one_by_one_are_two() -> None:
    assert codes(found(presence.check, procedure('step s "S" { by dentist and dentist }'))) == ["P08"]
    assert codes(found(presence.check, procedure('step s "S" { by dentist or dentist }'))) == []


def test_a_task_lasts_the_contact_time_and_is_done_where_the_machine_stands() -> None:
    trade = 'action disinfect "Disinfect" { lasts contact time }\narea here "Here"\narea there "There"\n'
    trade += 'device oven "Oven" { in there  program p "P" { lasts 5 min } }\n'
    work = 'task t "T" {{ does disinfect  by assistant  using wipe  in here  start of day  {} }}\n'
    assert codes(found(presence.check, trade + work.format("takes 2 min"))) == []
    assert codes(found(presence.check, trade + work.format("takes 1 to 3 min"))) == ["P05"]
    assert codes(found(presence.check, trade + work.format(""))) == ["P06"]
    assert codes(found(places.check, trade + work.format("takes 2 min  using oven"))) == ["P09"]
