"""What conditions say of themselves holds for every action, whoever wrote it, and then on every path."""

from __future__ import annotations

from datetime import date
from itertools import product

import pytest

import sopc
from sopc.findings import Finding

TODAY = date(2026, 12, 2)
HEAD = """
office "Birch Lane Dental" { open mon to thu 08:00 to 12:00 }
condition soiled "Soiled" { excludes clean, checked }
condition clean "Clean"
condition dry "Dry"
condition checked "Checked" { only after clean, dry again after clean }
item tip "Tip" { critical }
action wash "Wash" { brings clean undoes checked }
action dry_off "Dry" { needs clean brings dry }
action look "Look" { needs clean, dry brings checked }
"""


def found(text: str) -> list[Finding]:
    office, findings = sopc.load_text(HEAD + text)
    assert office is not None, findings
    return [each for each in sopc.check(office, TODAY) if each.code in ("O20", "O21")]


def test_actions_that_keep_the_order_are_left_alone() -> None:
    assert found("") == []


def test_an_action_of_the_office_s_own_may_not_skip_what_comes_before() -> None:
    (finding,) = found('action glance "Glance" { needs clean brings checked }')
    assert finding.code == "O20"
    assert finding.sentence == "“Glance” makes an item checked without needing it dry."
    assert "needs clean, dry" in finding.fix


def test_what_an_action_brings_at_the_same_stroke_need_not_hold_before() -> None:
    assert found('action all_in_one "Wash, dry and check" { brings clean, dry, checked }') == []


def test_cleaning_again_ends_what_was_seen_before() -> None:
    (finding,) = found('action scrub "Scrub" { brings clean }')
    assert finding.code == "O21"
    assert finding.fix == "Write here: `undoes checked`."


@pytest.mark.parametrize(
    "action",
    ["needs clean brings clean", "brings clean, soiled", "brings clean, dry, checked", "brings clean undoes checked"],
)
def test_it_is_ended_by_being_undone_brought_or_driven_out_and_not_by_what_was_needed_anyway(action: str) -> None:
    assert "O21" not in {each.code for each in found(f'action scrub "Scrub" {{ {action} }}')}


def test_an_override_that_drops_a_need_of_a_pack_is_told_of() -> None:
    office, findings = sopc.load_text(
        'office "Birch Lane Dental" { open mon to thu 08:00 to 12:00 }\nuse pack dental_reprocessing\n'
        'override action sterilize { needs packaged, labeled because "Ours." }\n'
    )
    assert office is not None, findings
    told = [each for each in sopc.check(office, TODAY) if each.code == "O20"]
    assert len({each.cause for each in told}) == 1
    assert any("sterile without needing it clean and inspected and sound" in each.sentence for each in told)


ACTS = ("wash", "dry_off", "look", "")


@pytest.mark.parametrize("acts", [*product(ACTS, repeat=3)], ids=lambda acts: "-".join(filter(None, acts)) or "nothing")
def test_on_every_order_of_work_that_is_accepted_it_holds_at_each_moment(acts: tuple[str, ...]) -> None:
    """Played through by hand: whenever a tip becomes checked it is clean and dry, and no washing leaves it checked."""
    steps = "".join(f'step s{place} "S" {{ does {act} }}\n' for place, act in enumerate(acts) if act)
    text = HEAD + f'role assistant "A"\nprocedure p "P" {{ by assistant handles tip from soiled to soiled {steps} }}'
    office, findings = sopc.load_text(text)
    assert office is not None, findings
    if {"O01", "O20", "O21"} & {each.code for each in sopc.check(office, TODAY)}:
        return
    state: set[str] = {"soiled"}
    for act in filter(None, acts):
        action = office.actions[act]
        for name in action.brings:
            assert set(office.conditions[name].only_after) <= state | set(action.brings)
        state = (state - set(action.undoes)) | set(action.brings)
        if act == "wash":
            assert "checked" not in state
