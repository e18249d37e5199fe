"""What a day asks of machines, people and sets: refused with its sum, shown to fit, or said to be open."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import permutations, product

import pytest

import sopc
from sopc.checks.days.capacity import check
from sopc.checks.days.day import COURTESY, OfficeDay, office_day
from sopc.checks.days.network import network_of, spacings_of
from sopc.checks.days.proof import NotShown, Safe, prove
from sopc.checks.days.visits import visits_clash
from sopc.findings import Finding, Severity
from sopc.model.nouns import Office
from sopc.trade.controllability import is_controllable
from sopc.trade.simulation import Run, Visit

HEAD = """
office "Birch Lane Dental" { open mon to thu 08:00 to 12:00 }
role assistant "Dental assistant" { on duty 2 }
role dentist "Dentist"
device unit_1 "Chair 1"
device sterilizer "Steam sterilizer" {
  holds 2 cassette
  program wrapped "Wrapped" { lasts 30 to 40 min by machine }
}
item cassette "Cassette" { critical count 9 }
procedure wrap "Wrap" {
  by assistant
  step wrap_it "Wrap it" { takes 2 to 4 min }
}
procedure steam "Sterilize" {
  by assistant
  step rack "Rack" { using sterilizer takes 1 to 2 min by staff }
  step run "Run" { runs sterilizer wrapped }
  step empty "Empty" { using sterilizer takes 1 to 2 min by staff }
}
visit check_up "Check-up" { lasts 20 to 30 min chair unit_1 by dentist needs 1 cassette }
circuit back "Back to the cabinet" {
  for cassette
  perform wrap one by one, steam
  loads wait at most 20 min
}
"""


def office(caseload: str, *changes: tuple[str, str]) -> Office:
    text = HEAD + caseload
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    made, findings = sopc.load_text(text)
    assert made is not None, findings
    return made


def found(caseload: str, *changes: tuple[str, str]) -> list[Finding]:
    return list(check(office(caseload, *changes), date(2026, 12, 1)))


def codes(caseload: str, *changes: tuple[str, str]) -> list[str]:
    return [each.code for each in found(caseload, *changes)]


def day(caseload: str, *changes: tuple[str, str]) -> OfficeDay:
    made = office(caseload, *changes)
    result = office_day(made, made.caseloads["day"])
    assert result is not None
    return result


QUIET = 'caseload day "A quiet day" { on mon visit check_up at 08:00, 08:40, 09:20 }'
LATE = 'caseload day "A late day" { on mon visit check_up at 08:00, 11:00 }'
CROWDED = 'caseload day "A crowded day" { on mon visit check_up every 30 min from 08:00 to 11:00 }'
FIVE = 'caseload day "D" { on mon visit check_up at 08:00, 08:30, 09:00, 09:30, 10:00 }'
SIX = FIVE.replace("10:00", "10:00, 10:30")
ONE_EACH = ("holds 2 cassette", "holds 1 cassette")
ONE_ASSISTANT = (("by dentist needs", "by dentist and assistant needs"), ("on duty 2", "on duty 1"))


def test_a_quiet_day_has_no_finding() -> None:
    assert codes(QUIET) == []


def test_an_office_without_a_caseload_has_no_finding() -> None:
    assert codes("") == []


def recheck(made: OfficeDay, run: Run) -> None:
    """Hold a run against the texts by itself, without the network and without the simulator."""
    for job in run.jobs:
        assert len(job.ends) == len(job.work.activities)
        for activity, start, end in zip(job.work.activities, job.starts, job.ends, strict=True):
            assert activity.least <= end - start <= activity.most
        assert all(end <= start for end, start in zip(job.ends, job.starts[1:], strict=False))
        assert all(run.jobs[number].end <= job.start for number in job.after)
        assert job.end <= made.ready_by or not run.is_own(job)
        if isinstance(job.work, Visit):
            assert 0 <= job.start - job.ready <= COURTESY
        for spacing in spacings_of(made, job):
            gap = (job.ends if spacing.later_ends else job.starts)[spacing.later]
            gap -= (job.ends if spacing.earlier_ends else job.starts)[spacing.earlier]
            assert spacing.least is None or gap >= spacing.least
            assert spacing.most is None or gap <= spacing.most
    for pool, most in made.day.pools.items():
        held = [(job.starts[a], job.ends[b], n) for job in run.jobs for name, n, a, b in job.held if name == pool]
        assert all(sum(n for start, end, n in held if start <= now < end) <= most for now, _, _ in held)


def test_a_day_is_proven_once_and_never_answered_with_another() -> None:
    made = day(QUIET)
    first = prove(made)
    assert prove(made) is first
    assert prove(replace(made, patience=dict(made.patience))) is first
    late = replace(made, ready_by=made.opens + 60)
    assert isinstance(prove(late), NotShown)
    crowded = replace(made, day=replace(made.day, pools={**made.day.pools, "device unit_1": 2}))
    assert prove(crowded) is not first
    assert prove(day(QUIET)) is not first
    assert prove(made) is first


def test_the_plan_of_a_safe_day_keeps_every_limit() -> None:
    made = day(QUIET)
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    recheck(made, verdict.run)


def test_the_order_of_a_safe_day_also_keeps_them_for_every_time_a_machine_can_take() -> None:
    """All corners of machine and patient times, played greedily along the proved order by plain longest paths."""
    made = day('caseload day "D" { on mon visit check_up at 08:00, 08:40 }')
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


def test_the_last_visit_too_late_is_refused_with_its_sum() -> None:
    """Wrapped at 11:32, sterilized by 12:14 at the slowest: 14 min after closing."""
    (only,) = found(LATE)
    assert (only.code, only.severity) == ("W01", Severity.ERROR)
    assert "Steam sterilizer" in only.sentence
    assert "“A late day”" in only.sentence
    assert any("1 load of 42" in step.text for step in only.walk)
    assert "28" in only.walk[-1].text
    assert "14" in only.walk[-1].text


def earliest_end(bookings: list[int], most: int = 2) -> int:
    """The least end (minutes) over every way to fill loads of at most so many, by brute force; all at its slowest."""
    wrapped = [minute + 30 + 2 for minute in bookings]
    best = 10**6
    for sizes in product(range(1, most + 1), repeat=len(wrapped)):
        free, at = 0, 0
        for size in sizes:
            group = wrapped[at : at + size]
            if group:
                free = max(free, *group) + 42
                at += len(group)
        best = min(best, free)
    return best


def test_what_is_refused_cannot_be_done_in_any_way() -> None:
    assert earliest_end([480, 660]) > 720
    assert earliest_end([*range(480, 660, 30)], most=1) > 720
    assert codes(CROWDED, ONE_EACH) == ["W01"]


@pytest.mark.parametrize("last", range(600, 680, 8))
def test_brute_force_agrees_hour_by_hour(last: int) -> None:
    """Two sets share the last load or not: refused exactly when no way of filling loads is ready by closing."""
    clock = f"{last // 60:02d}:{last % 60:02d}"
    text = f'caseload day "D" {{ on mon visit check_up at 09:00, {clock} }}'
    assert ("W01" in codes(text)) == (earliest_end([540, last]) > 720)


def test_a_second_sterilizer_or_a_later_hour_mends_it() -> None:
    assert codes(CROWDED[:-1] + "ready by 14:00 }", ONE_EACH) == []
    assert codes(CROWDED, ONE_EACH, ("holds 1", "count 2 holds 1")) == []


def test_more_sets_in_use_than_owned_is_refused() -> None:
    """Back after 54 min at the quickest; the next patient may be asked to wait 15 min, not 24."""
    (only,) = found('caseload day "D" { on mon visit check_up at 08:00, 08:30 }', ("count 9", "count 1"))
    assert only.code == "W02"
    assert "the office owns 1" in only.sentence
    assert "count 2" in only.fix


def test_too_few_sets_on_slow_days_is_a_warning() -> None:
    """Back after 54 min at the quickest, after 74 at the slowest; visits 60 min apart."""
    text = 'caseload day "D" { on mon visit check_up at 08:00, 09:00, 10:00 }'
    assert codes(text, ("count 9", "count 1"), ("wait at most 20", "wait at most 1"))[:1] == ["W03"]


def test_more_work_than_people_is_refused() -> None:
    """Three times 140 min and two loads of 4 min each do not go into one assistant's seven hours."""
    (only,) = found(QUIET[:-1] + "ready by 15:00 }", ("takes 2 to 4 min", "takes 140 min"), ("on duty 2", "on duty 1"))
    assert only.code == "W04"
    assert only.walk[-1].text.endswith("4\u00a0min short")


def test_a_caseload_may_say_who_is_on_duty() -> None:
    text = QUIET[:-1] + "ready by 15:00 on duty 4 assistant }"
    assert "W04" not in codes(text, ("takes 2 to 4 min", "takes 140 min"), ("on duty 2", "on duty 1"))


def test_what_no_sum_refuses_and_no_plan_keeps_is_said_to_be_open() -> None:
    """The one assistant is at the chair until the last patient leaves; three loads then come too late."""
    (only,) = found(SIX, *ONE_ASSISTANT)
    verdict = prove(day(SIX, *ONE_ASSISTANT))
    assert isinstance(verdict, NotShown)
    assert (only.code, only.severity) == ("W05", Severity.REMARK)
    assert verdict.why in only.sentence


def test_a_visit_without_a_time_or_a_way_back_lacks_something() -> None:
    assert "W06" in codes(QUIET, ("lasts 20 to 30 min ", ""))
    assert "W06" in codes(QUIET, ("for cassette", ""))
    assert "W06" in codes(QUIET, ("holds 2 cassette", ""))


def test_a_day_too_large_to_plan_is_told_so_at_once() -> None:
    (only,) = found('caseload day "D" { on mon visit check_up 60 an hour from 08:00 to 12:00 }')
    assert only.code == "W05"
    assert "too large" in only.sentence


def test_nobody_is_booked_before_a_locked_door() -> None:
    assert codes('caseload day "D" { on mon visit check_up at 07:30 }') == ["W07"]
    assert codes('caseload day "D" { on sun visit check_up at 09:00 }') == ["W07"]


def test_a_limit_inside_a_procedure_reaches_into_the_day() -> None:
    """Emptied within 3 min of the end of the run, and the only assistant sits at a chair for half an hour."""
    limit = 'step empty "Empty" { using sterilizer takes 1 to 2 min by staff }'
    changes = ((limit, limit + " limit empty starts within 3 min after run ends { }"),)
    made = day(QUIET, *changes)
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    recheck(made, verdict.run)
    assert is_controllable(network_of(made, verdict.run, handed_over=True))
    assert codes(FIVE, *ONE_ASSISTANT) == []
    (only,) = found(FIVE, *changes, *ONE_ASSISTANT)
    assert only.code == "W05"
    assert "a limit inside a procedure" in only.sentence


def test_two_visits_of_one_dentist_too_close_cannot_both_begin_in_time() -> None:
    """30 min with the first; the second would have to begin within 25 min of it, and half of them with it at 14 min."""
    for apart, codes_found in (("08:14", ["W10"]), ("08:15", [])):
        text = f'caseload day "D" {{ on mon visit check_up at 08:00, {apart} }}'
        made = found(
            text,
            ("device unit_1", 'device unit_2 "Chair 2"\ndevice unit_1'),
            ("chair unit_1", "chair unit_1 or unit_2"),
        )
        assert [each.code for each in made] == codes_found
        if made:
            assert "1 × Dentist" in made[0].sentence
            assert len(made[0].walk) == 2


def test_visits_that_fit_are_not_named_with_those_that_clash() -> None:
    """The one at 11:00 has nothing to do with it."""
    text = 'caseload day "D" { on mon visit check_up at 08:00, 08:05, 10:00 }'
    two = (("device unit_1", 'device unit_2 "Chair 2"\ndevice unit_1'), ("chair unit_1", "chair unit_1 or unit_2"))
    (only,) = found(text, *two)
    assert only.code == "W10"
    assert "10:00" not in only.sentence


@pytest.mark.parametrize("gaps", list(product((5, 16, 31), repeat=3)))
def test_the_clash_agrees_with_every_order_of_visits_tried_out(gaps: tuple[int, int, int]) -> None:
    """One dentist, 30 min each at the longest: in some order each begins within 15 min of its hour, or W10 is told."""
    minutes = [480]
    for gap in gaps:
        minutes.append(minutes[-1] + gap)
    possible = False
    for order in permutations(minutes):
        free, kept = 0, True
        for minute in order:
            free = max(free, minute)
            kept = kept and free - minute <= 15
            free += 30
        possible = possible or kept
    clocks = ", ".join(f"{minute // 60:02d}:{minute % 60:02d}" for minute in minutes)
    text = f'caseload day "D" {{ on mon visit check_up at {clocks} }}'
    two = (("device unit_1", 'device unit_2 "Chair 2"\ndevice unit_1'), ("chair unit_1", "chair unit_1 or unit_2"))
    clash = visits_clash(day(text, *two))
    assert (clash is None) is possible


def test_sets_may_be_ready_the_next_morning_beside_its_first_visits() -> None:
    """Too late for the same day; the night in between, the morning's visits wait for nothing."""
    late = 'caseload day "D" { on mon to wed visit check_up at 10:30, 11:00 READY }'
    assert codes(late.replace("READY", ""), ONE_EACH) == ["W01"]
    text = late.replace("READY", "ready by 11:00 next day")
    assert codes(text, ONE_EACH) == []
    made = day(text, ONE_EACH)
    assert made.day.own == 2
    assert [time - 24 * 3600 for time, _ in made.day.bookings[2:]] == [10 * 3600 + 1800]
    verdict = prove(made)
    assert isinstance(verdict, Safe)
    recheck(made, verdict.run)
    assert 24 * 3600 < verdict.run.end <= made.ready_by == 35 * 3600


def test_the_next_open_day_may_be_three_days_off() -> None:
    text = 'caseload day "D" { on thu visit check_up at 11:00 ready by 09:00 next day }'
    assert day(text).ready_by == (4 * 24 + 9) * 3600


def test_every_different_day_of_the_week_is_proven() -> None:
    """Mondays and Tuesdays are followed by days without visits; a Wednesday by a crowded Thursday with one set left."""
    text = (
        'caseload day "D" { on mon to wed visit check_up at 11:00 ready by 10:00 next day }'
        'caseload other "Busy morning" { on thu visit check_up at 08:00 ready by 14:00 }'
    )
    changed = (("count 9", "count 1"),)
    assert codes(text.replace("mon to wed", "mon to tue"), *changed) == []
    assert "W05" in codes(text, *changed) or "W02" in codes(text, *changed) or "W03" in codes(text, *changed)
