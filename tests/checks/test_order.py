"""The order of work: what an item must be before something is done to it."""

from __future__ import annotations

from sopc.checks.items import order
from tests.checks.small_offices import codes, found, only, procedure

WASH = 'step w "Wash it" { does wash }\n'
DRY = 'step d "Dry it" { does dry_off }\n'
PACK = 'step p "Pack it" { does pack }\n'


def test_washing_drying_and_packing_in_this_order_is_right() -> None:
    assert found(order.check, procedure(WASH + DRY + PACK, "tip from soiled to packed, dry")) == []


def test_a_wet_item_may_not_be_packed() -> None:
    finding = only(found(order.check, procedure(WASH + PACK)), "O01")
    assert finding.sentence == "“Pack” needs Tip dry, but on one path nothing brings that."


def test_the_witness_tells_every_step_on_the_way() -> None:
    finding = only(found(order.check, procedure(WASH + PACK)), "O01")
    assert [step.text for step in finding.walk] == ["Step 1 “Wash it”"]


def test_one_fault_is_told_once_however_much_follows_from_it() -> None:
    again = 'step p2 "Pack it twice" { does pack }\nstep l "Lay out" { does lay_out }\n'
    assert codes(found(order.check, procedure(WASH + PACK + again))) == ["O01"]


def test_a_condition_lost_on_the_way_is_named_with_its_line() -> None:
    rinse = 'step r "Rinse it" { does wash }\n'
    finding = only(found(order.check, procedure(WASH + DRY + rinse + PACK)), "O01")
    assert "“Rinse it” took that away (line" in finding.sentence


def test_what_a_skipped_step_brings_cannot_be_relied_on() -> None:
    dry = 'step d "Dry it" { does dry_off  when "no drying cabinet" }\n'
    finding = only(found(order.check, procedure(WASH + dry + PACK)), "O01")
    assert "“Dry it” (line 28) is skipped" in finding.sentence


def test_no_to_a_check_means_the_step_has_brought_nothing() -> None:
    dry = 'step d "Dry it" { does dry_off  check "Dry?" else continue }\n'
    finding = only(found(order.check, procedure(WASH + dry + PACK)), "O01")
    assert "is answered with “no”" in finding.sentence
    assert "“Dry?” no" in [step.text for step in finding.walk]


def test_a_check_that_stops_on_no_leaves_the_rest_safe() -> None:
    dry = 'step d "Dry it" { does dry_off  check "Dry?" else stop "Set aside" }\n'
    assert found(order.check, procedure(WASH + dry + PACK, "tip from soiled to packed")) == []


def test_no_may_take_away_what_earlier_steps_brought() -> None:
    pack = 'step p "Pack it" { does pack  check "Clean?" else lose clean then go to s }\n'
    rest = 'step s "Dry again" { does dry_off }\n'
    finding = only(found(order.check, procedure(WASH + DRY + pack + rest)), "O01")
    assert "after a “no” in “Pack it”" in finding.sentence


def test_a_repeated_wash_makes_dry_items_wet_again() -> None:
    look = 'step look "Look" { check "Clean?" else repeat from w at most 2 times then continue }\n'
    body = WASH + DRY + 'step w2 "Wash more" { does wash }\n' + look + PACK
    assert codes(found(order.check, procedure(body)), "O01") == ["O01"]


def test_a_repeat_that_dries_again_is_right() -> None:
    look = 'step look "Look" { check "Clean?" else repeat from w at most 2 times then stop "Set aside" }\n'
    assert found(order.check, procedure(WASH + DRY + look + PACK, "tip from soiled to packed")) == []


def test_every_way_of_a_choice_must_bring_what_follows_needs() -> None:
    choose = 'choose "How?" { way "By hand" { step h "Wipe dry" { does dry_off } } way "Not at all" { } }\n'
    finding = only(found(order.check, procedure(WASH + choose + PACK)), "O01")
    assert "“How?” Not at all" in [step.text for step in finding.walk]


def test_a_promise_that_one_path_breaks_is_told() -> None:
    finding = only(found(order.check, procedure(WASH + DRY, "tip from soiled to packed")), "O02")
    assert "promises Tip packed" in finding.sentence


def test_a_promised_condition_that_was_lost_is_told_with_the_line() -> None:
    body = WASH + DRY + PACK + 'step o "Open it" { does open_pack }\n'
    finding = only(found(order.check, procedure(body, "tip from soiled to packed")), "O02")
    assert "lost at line 30 (“Open it”)" in finding.sentence


def test_an_end_with_an_instruction_is_not_bound_by_the_promise() -> None:
    body = 'step s "Stop" { next stop "Discard" }\n'
    assert codes(found(order.check, procedure(body, "tip from soiled to packed")), "O02") == []


def test_a_branch_may_not_rely_on_the_one_beside_it() -> None:
    both = 'together { branch "Wash" { step w "W" { does wash } } branch "Dry" { step d "D" { does dry_off } } }\n'
    assert "O03" in codes(found(order.check, procedure(both)))


def test_branches_may_not_undo_each_others_work() -> None:
    both = (
        'together { branch "Open" { step o "O" { does open_pack } } branch "Load" { step s "S" { does sterilize } } }\n'
    )
    assert codes(found(order.check, procedure(WASH + DRY + PACK + both))) == ["O04"]


def test_branches_on_different_items_do_not_touch_each_other() -> None:
    wash = 'branch "A" { step a "A" { does wash on tip } }'
    dry = 'branch "B" { step b "B" { does dry_off on tray } }'
    both = f"together {{ {wash} {dry} }}\n"
    assert found(order.check, procedure(both, "tip, tray from clean to clean")) == []


def test_after_side_by_side_work_all_of_it_is_done() -> None:
    both = 'together { branch "A" { step w "W" { does wash } } branch "B" { step x "Fetch pouches" } }\n'
    assert found(order.check, procedure(both + DRY + PACK, "tip from soiled to packed")) == []


def test_a_performed_procedure_must_get_items_as_it_wants_them() -> None:
    inner = 'procedure load "Load" { handles tip from packed to sterile by assistant step s "S" { does sterilize } }\n'
    outer = procedure(WASH + DRY + 'step l "Load it" { perform load }\n', "tip from soiled to sterile")
    assert codes(found(order.check, inner + outer)) == ["O05"]


def test_a_performed_procedure_leaves_what_it_promises() -> None:
    inner = 'procedure load "Load" { handles tip from packed to sterile by assistant step s "S" { does sterilize } }\n'
    outer = procedure(WASH + DRY + PACK + 'step l "Load it" { perform load }\n', "tip from soiled to sterile")
    assert found(order.check, inner + outer) == []


def test_a_performed_procedure_may_take_away_what_it_undoes() -> None:
    inner = (
        'procedure load "Load" { handles tip from packed to sterile by assistant '
        'step s "S" { does sterilize } step o "O" { does open_pack } }\n'
    )
    outer = procedure(WASH + DRY + PACK + 'step l "Load it" { perform load }\n', "tip from soiled to sterile, packed")
    assert "lost at line" in only(found(order.check, inner + outer), "O02").sentence


def test_a_no_in_a_performed_procedure_may_deny_what_held_before() -> None:
    inner = (
        'condition held "Held"\nprocedure inner "Inner" {{ handles tip from clean, held to held by assistant '
        'step b "B" {{ }} step w "W" {{ does wash {} check "Clean?" else {} }} }}\n'
    )
    outer = procedure(WASH + 'step i "I" { perform inner }\n' + DRY, "tip from soiled, held to dry")
    back = "repeat from b at most 2 times then "
    for when, no, expected in (
        ("", 'stop "Throw it away."', []),
        ("", back + 'stop "Throw it away."', []),
        ("", back + "continue", ["O01"]),
        ("", "continue", ["O01"]),
        ('when "it looks bad"', back + 'stop "Throw it away."', ["O01"]),
    ):
        assert codes(found(order.check, inner.format(when, no) + outer)) == expected


def test_an_item_that_is_not_handled_has_no_known_condition() -> None:
    assert codes(found(order.check, procedure('step t "T" { does wash on tray }\n' + WASH))) == ["O09"]


def test_a_procedure_that_handles_nothing_cannot_need_a_condition() -> None:
    nothing = 'procedure work "Work" {{ by assistant {} }}\n'
    assert codes(found(order.check, nothing.format('step p "P" { does pack }'))) == ["O09"]
    assert codes(found(order.check, nothing.format('step w "W" { does wash }'))) == []
    packing = (
        'procedure inner "Inner" { handles tip from clean, dry to packed by assistant step p "P" { does pack } }\n'
    )
    assert codes(found(order.check, packing + nothing.format('step p "P" { perform inner }'))) == ["O09"]


def test_a_procedure_made_for_one_item_says_nothing_of_another() -> None:
    either = 'procedure %s "%s" {{ handles %s from soiled to clean by assistant step w "W" {{ %s }} }}\n'
    inner = either % ("inner", "In", "tip", "does wash{}")
    outer = either % ("outer", "Out", "tray", "perform inner{}")
    assert codes(found(order.check, inner.format("") + outer.format(" on tray"))) == []
    assert codes(found(order.check, inner.format(" on tip") + outer.format(" on tray"))) == ["O09"]
    assert codes(found(order.check, inner.format("") + outer.format(""))) == ["O09"]
    by_task = 'task t "T" { perform inner on tray by assistant start of day }\n'
    assert codes(found(order.check, inner.format("") + by_task)) == []
    assert codes(found(order.check, inner.format(" on tip") + by_task)) == ["O09"]
    both = outer.replace("handles tray", "handles tip, tray")
    assert codes(found(order.check, inner.format(" on tip") + both.format(""))) == ["O02"]


def test_one_item_barred_from_an_act_says_nothing_of_another_that_is_single_use() -> None:
    trade = 'item swab "Swab" { single use }\naction boil "Boil" { never for single use }\n'
    work = procedure('step w "W" { does wash }\nstep b "B" { does boil on tip }\n', "swab, tip from soiled to clean")
    assert codes(found(order.check, trade + work)) == ["O07"]


def test_a_single_use_item_is_not_made_ready_again_by_what_is_performed_on_it() -> None:
    item = 'item needle "Needle" { critical  single use }\n'
    inner = 'procedure {} "In" {{ handles tip from soiled to {} by assistant step w "W" {{ {} }} }}\n'
    by_task = 'task t "T" { perform inner on needle by assistant start of day }\n'
    assert codes(found(order.check, item + inner.format("inner", "clean", "does wash") + by_task)) == ["O07"]
    assert codes(found(order.check, item + inner.format("inner", "soiled", "") + by_task)) == []
    outer = procedure('step p "P" { perform inner on needle }\n', "needle from soiled to soiled")
    assert "O07" in codes(found(order.check, item + inner.format("inner", "clean", "does wash") + outer))
    behind = inner.format("behind", "clean", "does wash") + inner.format("inner", "clean", "perform behind")
    assert codes(found(order.check, item + behind + by_task)) == ["O07", "O07"]


def test_what_is_performed_may_take_away_what_a_task_brought_before() -> None:
    soiling = 'procedure inner "In" { handles tip from clean to soiled by assistant step s "S" { does soil } }\n'
    task = 'task t "T" {{ {} by assistant start of day }}\n'
    kept = task.format("perform inner on tip  does wash on tip  does dry_off on tip")
    lost = task.format("does wash on tip  perform inner on tip  does dry_off on tip")
    assert codes(found(order.check, soiling + kept)) == []
    assert codes(found(order.check, soiling + lost)) == ["O09"]


def test_a_task_does_not_do_what_needs_a_condition_out_of_the_blue() -> None:
    task = 'task t "T" {{ {} by assistant start of day }}\n'
    assert codes(found(order.check, task.format("does dry_off on tip"))) == ["O09"]
    assert codes(found(order.check, task.format("does wash on tip  does dry_off on tip"))) == []
    assert codes(found(order.check, task.format("does dry_off on tip  does wash on tip"))) == ["O09"]
    assert codes(found(order.check, task.format("does wash on tray  does dry_off on tip"))) == ["O09"]
    both = "does wash on tip  does dry_off on tip  {}does pack on tip"
    assert codes(found(order.check, task.format(both.format("")))) == []
    assert codes(found(order.check, task.format(both.format("does wash on tip  ")))) == ["O09"]


def test_what_nothing_needs_comes_about_also_after_a_no() -> None:
    rinse = 'action rinse "Rinse" { needs clean  brings wet }\n'
    rinsed = 'step r "Rinse it" { does rinse  check "No foam?" else go to p }\nstep d2 "Dry it" { does dry_off }\n'
    text = rinse + procedure(WASH + DRY + rinsed + PACK, "tip from soiled to packed")
    finding = only(found(order.check, text), "O01")
    assert "needs Tip dry, but after a “no” in “Rinse it”" in finding.sentence
    needed = 'action feel "Feel" { needs wet }\n'
    assert codes(found(order.check, needed + text)) == []


def test_an_action_barred_for_a_kind_of_item_is_refused_there() -> None:
    action = 'action boil "Boil" { never for critical }\n'
    assert codes(found(order.check, action + procedure(WASH + 'step b "B" { does boil }\n'))) == ["O06"]


def test_an_action_for_one_kind_of_item_is_refused_for_another() -> None:
    action = 'action wipe_down "Wipe down" { only for noncritical }\n'
    finding = only(found(order.check, action + procedure(WASH + 'step b "B" { does wipe_down }\n')), "O06")
    assert finding.sentence == "“Wipe down” is only for items that are noncritical, and Tip is not."


def test_a_single_use_item_may_not_be_made_fit_for_reuse() -> None:
    item = 'item needle "Needle" { critical  single use }\n'
    assert codes(found(order.check, item + procedure(WASH, "needle from soiled to clean"))) == ["O07"]


def test_conditions_that_exclude_each_other_cannot_be_needed_at_once() -> None:
    assert codes(found(order.check, 'action odd "Odd" { needs wet, dry }\n')) == ["O08"]


def test_a_step_that_no_path_leads_to_is_told() -> None:
    body = WASH + 'step s "Stop" { next stop "End" }\nstep never "Never" { does dry_off }\n'
    assert codes(found(order.check, procedure(body))) == ["O10"]


def test_a_circle_without_a_way_out_is_told() -> None:
    assert "O11" in codes(found(order.check, procedure(WASH + 'step b "Back" { next go to w }\n')))


def test_a_repeat_needs_a_limit() -> None:
    body = WASH + 'step c "Look" { check "Clean?" else repeat from w }\n'
    assert codes(found(order.check, procedure(body))) == ["O12"]


def test_going_back_without_a_limit_is_told() -> None:
    body = WASH + 'step c "Look" { check "Clean?" else go to w }\n'
    assert codes(found(order.check, procedure(body))) == ["O13"]


def test_a_check_says_what_follows_on_no() -> None:
    assert codes(found(order.check, procedure(WASH + 'step c "Look" { check "Clean?" }\n'))) == ["O14"]


def test_a_used_up_repeat_says_what_follows() -> None:
    body = WASH + 'step c "Look" { check "Clean?" else repeat from w at most 2 times }\n'
    assert codes(found(order.check, procedure(body))) == ["O15"]


def test_a_repeat_leads_back_and_not_ahead() -> None:
    body = 'step c "Look" { check "Dull?" else repeat from w at most 2 times then stop "Ask" }\n' + WASH
    assert codes(found(order.check, procedure(body, "tip from soiled to wet"))) == ["O18"]


def test_procedures_may_not_perform_each_other_in_a_circle() -> None:
    one = 'procedure one "One" { by assistant step a "A" { perform two } }\n'
    two = 'procedure two "Two" { by assistant step b "B" { perform one } }\n'
    assert codes(found(order.check, one + two)) == ["O16"]


def test_no_jump_leads_out_of_a_side_by_side_branch() -> None:
    both = (
        'together { branch "A" { step a "A" { check "Ok?" else repeat from w at most 1 times then stop "x" } } '
        'branch "B" { step b "B" } }\n'
    )
    assert codes(found(order.check, procedure(WASH + both))) == ["O17"]


def test_every_finding_teaches() -> None:
    for finding in found(order.check, procedure(WASH + PACK + 'step c "C" { check "Ok?" }\n')):
        assert finding.floor
        assert finding.fix
