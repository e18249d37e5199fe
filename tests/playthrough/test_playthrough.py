"""Whatever sopc accepts can be done: random answers, machine times and greedy staff break no limit."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from sopc.library import load, load_text
from sopc.model.nouns import Office
from tests.broken.offices import BASE, FOLDER
from tests.playthrough.runs import Played, played

PROTOCOLS = Path(__file__).resolve().parents[2] / "protocols"
ACCEPTED = ("larkspur_pass/2026-12", "larkspur_pass/2026-09", "starter")
SEEN_ON_THE_FLOOR = {
    "check_without_no": "lost",
    "chemicals_together": "step",
    "circle_without_end": "loop",
    "contact_time_too_short": "step",
    "dried_only_sometimes": "order",
    "limit_too_tight": "time",
    "left_too_long_in_the_bath": "time",
    "lost_and_not_restored": "promise",
    "machine_not_used": "step",
    "machine_too_slow": "time",
    "nobody_does_it": "step",
    "packed_unwashed": "order",
    "packed_wet": "order",
    "performing_circle": "loop",
    "promise_not_kept": "promise",
    "repeat_used_up": "lost",
    "repeat_without_limit": "loop",
    "single_use_packed": "step",
}
"""Broken offices, and what goes wrong when someone works by them."""


@cache
def accepted(name: str) -> Office:
    office, findings = load(PROTOCOLS / name)
    assert office is not None, findings
    return office


@cache
def demo_played() -> Played:
    return played(accepted(ACCEPTED[0]), 10_000, seed=1)


@pytest.mark.parametrize("name", ACCEPTED)
def test_an_accepted_office_breaks_nothing_however_its_day_goes(name: str) -> None:
    assert played(accepted(name), 1_000, seed=2).of() == []


def test_ten_thousand_playthroughs_of_the_demo_break_nothing() -> None:
    assert demo_played().of() == []


@pytest.mark.long
def test_ten_thousand_playthroughs_of_the_revision_before_break_nothing() -> None:
    assert played(accepted(ACCEPTED[1]), 10_000, seed=1).of() == []


def test_the_playthroughs_of_the_demo_do_every_step_and_meet_every_upper_limit() -> None:
    procedures = accepted(ACCEPTED[0]).procedures.values()
    steps = {(procedure.name, step.name) for procedure in procedures for step in procedure.steps()}
    limits = [limit for procedure in procedures for limit in procedure.limits if limit.most is not None]
    assert demo_played().steps == steps
    assert len({what for what in demo_played().limits if " line " in what}) == len(limits)
    assert "shock_solution keeps" in demo_played().limits


@pytest.mark.parametrize("name", SEEN_ON_THE_FLOOR)
def test_what_is_wrong_in_a_broken_office_goes_wrong_on_the_floor(name: str) -> None:
    file = f"{name}.sop"
    office, findings = load_text({"base.sop": BASE, file: (FOLDER / file).read_text(encoding="utf-8")})
    assert office is not None, findings
    assert SEEN_ON_THE_FLOOR[name] in {breach.kind for breach in played(office, 200, seed=3).of()}


SLOW = """
office "Example" { open mon to fri 08:00 to 17:00 }
role assistant "Assistant" { on duty 2 }
kind steamer "Sterilizer"
device sterilizer "Sterilizer" is steamer { program wrapped "Wrapped" { lasts 35 to 50 min by machine } }
procedure work "Work" { by assistant
  step load "Load" { takes 2 to 5 min }
  step cook "Run it" { runs sterilizer wrapped }
  step empty "Empty it" { takes 1 min }
  limit empty starts within LIMIT min after load starts
}
"""


@pytest.mark.parametrize(("limit", "kept"), [(54, True), (52, False), (50, False)])
def test_a_limit_is_broken_when_the_slowest_run_and_the_way_to_the_machine_do_not_fit(limit: int, kept: bool) -> None:
    reaction = "reaction 2 min }\n"
    office, findings = load_text(re.sub(r" }\n", f" {reaction}", SLOW.replace("LIMIT", str(limit)), count=1))
    assert office is not None, findings
    assert (played(office, 300, seed=4).of("time") == []) is kept
