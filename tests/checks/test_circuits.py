"""Limits along a circuit: broken by waits the texts allow, proven for a day, or said to be open."""

from __future__ import annotations

from datetime import date
from itertools import product

import pytest

import sopc
from sopc.changes.compare import compare
from sopc.changes.direction import Direction, direction_of
from sopc.changes.impact import impact_of, uses_of
from sopc.checks.days.capacity import check
from sopc.checks.days.day import OfficeDay, office_day
from sopc.checks.days.limits import measured, reaches_of
from sopc.checks.days.network import network_of
from sopc.checks.days.proof import NotShown, Safe, promised, prove
from sopc.findings import Finding
from sopc.model.nouns import Office
from sopc.trade.simulation import longest, simulate

HEAD = """
office "Birch Lane Dental" { open mon to thu 08:00 to 16:00 }
source book "The book" { authority guideline }
role assistant "Dental assistant" { on duty 3 }
role dentist "Dentist" { on duty 2 }
device washer "Washer" { holds 2 cassette  program normal "Normal" { lasts 30 to 40 min by machine } }
item cassette "Cassette" { critical count 9 }
procedure bring "Bring" {
  by assistant
  step spray "Spray" { takes 1 min }
  step look "Look" { takes 1 min when "in doubt" }
  step wait "Wait until the foam is seen" { takes 2 to 3 min until "foam" }
}
procedure wash "Wash" {
  by assistant
  step rack "Rack" { using washer takes 2 min by staff }
  step run "Run" { runs washer normal }
  step empty "Empty" { using washer takes 3 min by staff }
  limit run starts within 5 min after procedure starts
}
visit check_up "Check-up" { lasts 20 to 30 min by dentist needs 1 cassette then perform bring }
circuit back "Back to the cabinet" {
  for cassette
  perform wash
  loads wait at most 20 min
  LIMIT
}
"""
ASKED = "limit run of wash starts within 60 min after visit ends { cite book }"
ONE = 'caseload day "A day" { on mon visit check_up at 08:00 }'
TWO_APART = 'caseload day "A day" { on mon visit check_up at 08:00, 08:40 }'
THREE_SOON = 'caseload day "A day" { on mon visit check_up at 08:00, 08:30, 09:00, 09:30, 10:00 }'


def office(caseload: str, limit: str = ASKED, *changes: tuple[str, str]) -> Office:
    text = HEAD.replace("LIMIT", limit) + caseload
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    made, findings = sopc.load_text(text)
    assert made is not None, findings
    return made


def found(caseload: str, limit: str = ASKED, *changes: tuple[str, str]) -> list[Finding]:
    """The findings, of one cause the first only, as they are printed."""
    every = check(office(caseload, limit, *changes), date(2026, 12, 1))
    return list({each.cause or number: each for number, each in reversed(list(enumerate(every)))}.values())[::-1]


def day(caseload: str, limit: str = ASKED, *changes: tuple[str, str]) -> OfficeDay:
    made = office(caseload, limit, *changes)
    result = office_day(made, made.caseloads["day"])
    assert result is not None
    return result


def test_a_limit_with_room_has_no_finding_and_a_plan_that_keeps_it() -> None:
    assert found(TWO_APART) == []
    made = day(TWO_APART)
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    reaches = reaches_of(made, verdict.run)
    assert len(reaches) == 2
    assert all(measured(verdict.run, reach) <= 3600 for reach in reaches)


def test_what_loads_may_wait_breaks_a_limit_with_its_sum() -> None:
    """1 min spraying, 3 min foam, 20 min waiting, 2 min racking: 26 min."""
    (only,) = found(ONE, ASKED.replace("60 min", "25 min"))
    assert only.code == "W08"
    assert [step.text.split(": ")[-1] for step in only.walk[:3]] == [
        "4\u00a0min", "a load for “Wash” may wait 20\u00a0min", "2\u00a0min",
    ]  # fmt: skip
    assert "1\u00a0min too long" in only.walk[-1].text
    assert "at most 19 min" in only.fix
    assert only.asked_by == ("The book",)
    assert found(ONE, ASKED.replace("60 min", "26 min")) == []


def test_a_machine_in_use_breaks_a_limit_that_one_visit_keeps() -> None:
    """The third set meets a washer that holds two and runs for 40 min: no rule of work can promise half an hour."""
    limit = ASKED.replace("60 min", "30 min")
    assert found(ONE, limit) == []
    (only,) = found(THREE_SOON, limit, ("holds 2 cassette", "holds 1 cassette"))
    assert only.code == "W09"
    assert "can promise" in only.sentence
    assert any("waits for “Wash”" in step.text for step in only.walk)
    assert found(THREE_SOON, limit, ("holds 2 cassette", "count 2 holds 1 cassette")) == []


def test_what_can_be_promised_is_the_least_that_is_provable() -> None:
    limit = ASKED.replace("60 min", "30 min")
    made = day(THREE_SOON, limit, ("holds 2 cassette", "holds 1 cassette"))
    verdict = prove(made)
    assert isinstance(verdict, NotShown)
    (only,) = verdict.limits
    assert only.promised is not None
    assert only.promised > 1800
    for seconds, fits in ((only.promised, True), (only.promised - 1, False)):
        text = ASKED.replace("60 min", f"{seconds} s")
        again = day(THREE_SOON, text, ("holds 2 cassette", "holds 1 cassette"))
        bare = network_of(again, verdict.run, handed_over=True, limits=())
        kept = promised(again, verdict.run, bare, again.office.circuits["back"].way_limits[0])
        assert kept == only.promised
        (clause,) = again.office.circuits["back"].way_limits
        assert clause.most is not None
        assert (kept <= clause.most.ticks()) is fits


def test_one_visit_promises_what_is_worked_out_by_hand() -> None:
    """One set, nothing to wait for: 1 min spraying, at most 3 min foam, 2 min racking."""
    made = day(ONE)
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    assert promised(made, verdict.run, verdict.network, made.office.circuits["back"].way_limits[0]) == 6 * 60


@pytest.mark.parametrize("caseload", [TWO_APART, 'caseload day "D" { on mon visit check_up at 08:00, 08:05, 08:50 }'])
def test_the_proven_order_keeps_it_for_every_corner_of_machine_and_patient_times(caseload: str) -> None:
    """Played greedily by longest paths, apart from the search for controllability."""
    made = day(caseload, ASKED.replace("60 min", "55 min"))
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    network = network_of(made, verdict.run, handed_over=True)
    for corner in product((False, True), repeat=len(network.links)):
        after = [(bound.target, bound.source, -bound.weight) for bound in network.bounds if bound.weight <= 0]
        for link, slow in zip(network.links, corner, strict=True):
            assert link.high is not None
            after.append((link.activation, link.contingent_end, link.high if slow else link.low))
        times = [0] * network.size
        for _ in range(network.size):
            for source, target, least in after:
                times[target] = max(times[target], times[source] + least)
        assert all(times[b.target] - times[b.source] <= b.weight for b in network.bounds)


def test_a_lower_limit_makes_the_next_procedure_wait() -> None:
    limit = "limit wash starts at least 30 min after spray of bring ends"
    assert found(ONE, limit) == []
    made = day(ONE, limit)
    assert isinstance(prove(made), NotShown | Safe)
    (clause,) = made.office.circuits["back"].way_limits
    network = network_of(made, simulate(made.day, longest), handed_over=True)
    assert any(bound.clause == clause and bound.weight == -1800 for bound in network.bounds)


def test_a_step_that_is_always_done_lifts_a_limit_and_one_done_sometimes_does_not() -> None:
    tight = "limit run of wash starts within 5 min after visit ends unless STEP of bring"
    assert found(ONE, tight.replace("STEP", "spray")) == []
    assert [each.code for each in found(ONE, tight.replace("STEP", "look"))] == ["W08"]


@pytest.mark.parametrize(
    ("limit", "why"),
    [
        ("limit run of wash starts within 60 min after look of bring ends", "only sometimes"),
        ("limit visit ends within 60 min after run of wash ends", "before the earlier one"),
        ("limit visit starts within 60 min after visit ends", "in one go of work"),
        ("limit bring ends within 60 min after other ends", "“other” is not done"),
    ],
)
def test_a_limit_off_the_way_is_told(limit: str, why: str) -> None:
    other = ("circuit back", 'procedure other "Other" { by assistant step o "O" { takes 1 min } }\ncircuit back')
    codes = [(each.code, each.sentence) for each in found(ONE, limit, other)]
    assert [code for code, _ in codes] == ["W09"]
    assert why in codes[0][1]


def test_a_procedure_done_twice_on_the_way_is_told() -> None:
    limit = "limit run of wash starts within 60 min after spray of bring ends"
    (only,) = found(ONE, limit, ("then perform bring", "then perform bring, bring"))
    assert only.code == "W09"
    assert "2 times" in only.sentence


def test_a_limit_that_no_caseload_tries_is_told() -> None:
    (only,) = found("")
    assert only.code == "W09"
    assert "No caseload" in only.sentence


def test_a_page_that_allows_more_than_the_circuit_is_told_where_it_stands() -> None:
    """Whoever doubles the procedure's own limit beyond the circuit's is told; dropping it leaves the circuit's."""
    own = "limit run starts within 5 min after procedure starts"
    (only,) = found(ONE, ASKED, (own, own.replace("5 min", "90 min")))
    assert only.code == "W08"
    assert "“Wash” allows 90\u00a0min" in only.sentence
    assert found(ONE, ASKED, (own, "")) == []


def test_steps_without_a_time_leave_a_limit_undecided() -> None:
    (only,) = found(ONE, ASKED, ('"Spray" { takes 1 min }', '"Spray" { }'))
    assert only.code == "W09"
    assert "undecided" in only.sentence


def test_a_step_that_is_not_there_is_told_by_name() -> None:
    text = HEAD.replace("LIMIT", ASKED.replace("run of wash", "rin of wash")) + ONE
    made, findings = sopc.load_text(text)
    assert made is None
    assert [each.code for each in findings] == ["N08"]


def test_a_changed_limit_is_a_change_told_in_words() -> None:
    (only,) = compare(office(ONE), office(ONE, ASKED.replace("60", "50")))
    assert "within 60\u00a0min after the visit ends" in only.old
    assert "within 50\u00a0min after the visit ends" in only.new
    assert direction_of(only) is Direction.TIGHTENED


def test_who_works_by_a_changed_limit_is_trained_and_both_pages_are_printed_anew() -> None:
    old, new = office(ONE), office(ONE, "limit run of wash starts within 60 min after spray of bring ends")
    reached = [impact_of(each, old, new, uses_of(new)) for each in compare(old, new)]
    assert {paper for each in reached for paper in each.papers} >= {"wash", "bring"}
    assert {role for each in reached for role in each.train} == {"assistant"}
