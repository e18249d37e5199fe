"""Times: limits that can be kept, whatever the machines take."""

from __future__ import annotations

import pytest

from sopc.checks.time import timing
from sopc.checks.time.times import schedule_of
from sopc.findings.causes import one_per_cause
from tests.checks.small_offices import TRADE, codes, found, office, only

SOAK = 'step soak "Soak" { takes at least 30 min }\n'
WASH = 'step wash "Wash" { takes 40 to 50 min }\n'
RUN = 'step run "Run" { runs sterilizer wrapped }\n'
EMPTY = 'step empty "Empty it" { takes 2 to 3 min }\n'


def work(body: str) -> str:
    return f'procedure work "Work" {{ by assistant\n{body}\n}}\n'


def test_a_limit_that_can_be_kept_is_no_finding() -> None:
    assert found(timing.check, work(SOAK + WASH + "limit wash ends within 70 min after soak starts")) == []


def test_a_limit_too_short_for_the_steps_in_it_is_told_with_the_sum() -> None:
    finding = only(found(timing.check, work(SOAK + WASH + "limit wash ends within 60 min after soak starts")), "T01")
    assert finding.sentence.replace("\u00a0", " ") == (
        "“Soak” takes at least 30 min (line 25) + “Wash” takes at least 40 min (line 26) = 1 h 10 min, "
        "but line 27 allows 1 h from the start of “Soak” to the end of “Wash”: 10 min too long."
    )


def test_the_fix_is_the_smallest_change_of_one_line() -> None:
    finding = only(found(timing.check, work(SOAK + WASH + "limit wash ends within 60 min after soak starts")), "T01")
    assert finding.fix.startswith("Change line 27 to `within 70 min`.")


def test_a_limit_set_by_law_is_never_offered_for_change() -> None:
    limit = 'limit wash ends within 60 min after soak starts { cite rules "3" read }'
    finding = only(found(timing.check, work(SOAK + WASH + limit)), "T01")
    assert "Change line" not in finding.fix
    assert "let “Wash” take at least 30\u00a0min" in finding.fix.replace("Let", "let")


def test_a_limit_kept_only_if_the_machine_is_quick_is_told() -> None:
    finding = only(found(timing.check, work(RUN + EMPTY + "limit empty starts within 40 min after run starts")), "T02")
    assert "“Run” may take as long as 50\u00a0min" in finding.sentence


def test_staff_need_a_moment_to_react_to_the_machine() -> None:
    assert found(timing.check, work(RUN + EMPTY + "limit empty starts within 51 min after run starts")) == []
    assert codes(found(timing.check, work(RUN + EMPTY + "limit empty starts within 50 min after run starts"))) == [
        "T02"
    ]


def test_counting_from_the_end_of_the_cycle_is_safe() -> None:
    assert found(timing.check, work(RUN + EMPTY + "limit empty starts within 5 min after run ends")) == []


def test_a_skipped_step_lifts_no_limit_but_an_exempting_one_does() -> None:
    soak = 'step soak "Soak" { takes at least 30 min  when "dried on" }\n'
    start = 'step start "Start" { takes 1 min }\n'
    limit = "limit wash starts within 20 min after start ends"
    assert codes(found(timing.check, work(start + soak + WASH + limit))) == ["T01"]
    assert found(timing.check, work(start + soak + WASH + limit + " unless soak")) == []


def test_the_longest_way_of_a_choice_counts() -> None:
    choose = 'choose "How?" { way "Short" { step a "A" { takes 5 min } } way "Long" { step b "B" { takes 2 h } } }\n'
    finding = only(
        found(timing.check, work(SOAK + choose + WASH + "limit wash starts within 1 h after soak ends")), "T01"
    )
    assert "“How?” Long" in [step.text for step in finding.walk]


def test_an_empty_first_way_is_the_short_one() -> None:
    choose = 'choose "How?" { way "None" { } way "Long" { step b "B" { takes 2 h } } }\n'
    finding = only(
        found(timing.check, work(SOAK + choose + WASH + "limit wash starts within 1 h after soak ends")), "T01"
    )
    assert "“How?” Long" in [step.text for step in finding.walk]


def test_repeats_use_up_the_time_as_well() -> None:
    start = 'step start "Start" { takes 1 min }\n'
    look = 'step look "Look" { takes 1 min  check "Clean?" else repeat from wash at most 2 times then stop "x" }\n'
    last = 'step last_one "Last" { takes 1 min }\n'
    limit = "limit last_one starts within 100 min after start ends"
    finding = only(found(timing.check, work(start + WASH + look + last + limit)), "T01")
    assert "“Clean?” no" in [step.text for step in finding.walk]


@pytest.mark.parametrize(("most", "expected"), [("73 min", ["T01"]), ("74 min", [])])
def test_a_no_on_the_last_pass_only_can_be_the_longest_way(most: str, expected: list[str]) -> None:
    """Twice 32 min, then the rinse of 10 min: a no on the first pass would have led on to the end at once."""
    inner = 'procedure inner "Inner" { by assistant step x "X" { takes 10 min } }\n'
    checks = 'check "A?" else perform inner then continue  check "B?" else repeat from s at most 1 times then continue'
    body = f'step s "S" {{ takes 2 min }}\nstep t "T" {{ takes 30 min  {checks} }}\nstep u "U" {{ takes 1 min }}\n'
    limit = f"limit u starts within {most} after procedure starts"
    assert codes(found(timing.check, inner + work(body + limit))) == expected


@pytest.mark.parametrize(("most", "expected"), [("62 min", ["T01"]), ("63 min", [])])
def test_a_limit_may_be_counted_from_the_first_pass_to_the_last(most: str, expected: list[str]) -> None:
    """Begun on the first of three passes only, closed on the last only: 1 + 20 + 1, 20 + 1 and 20 min lie between."""
    body = (
        'step begin "Begin" { takes 1 min  when "not begun yet" }\nstep soak "Soak" { takes 20 min }\n'
        'step close "Close" { takes 1 min  when "all is clean" }\n'
        'step look "Look" { takes 1 min  check "Clean?" else repeat from begin at most 2 times then stop "x" }\n'
    )
    limit = f"limit close starts within {most} after begin starts"
    sums = work(body + limit)
    assert codes(found(timing.check, sums)) == expected


def test_leaving_out_a_step_that_leads_past_others_can_be_the_longer_way() -> None:
    body = (
        'step s "S" { takes 5 min  when "in a hurry"  next go to u }\nstep t "T" { takes 20 min }\n'
        'step u "U" { takes 1 min }\n'
    )
    assert codes(found(timing.check, work(body + "limit u starts within 19 min after procedure starts"))) == ["T01"]
    assert found(timing.check, work(body + "limit u starts within 20 min after procedure starts")) == []


def test_a_repeat_used_up_within_another_counts_once_and_never_again() -> None:
    """The first round goes by T, which a limit counts from; the four that follow take 10 min each and leave it out."""
    body = (
        'step s "S" { takes 5 min  check "Good?" else repeat from s at most 1 times then go to t  next go to u }\n'
        'step t "T" { takes 1 min }\n'
        'step u "U" { takes 5 min  check "Good?" else repeat from s at most 4 times then stop "x" }\n'
    )
    assert codes(found(timing.check, work(body + "limit procedure ends within 44 min after t ends"))) == ["T01"]
    assert found(timing.check, work(body + "limit procedure ends within 45 min after t ends")) == []


def test_all_passes_of_a_repeat_that_goes_on_afterwards_count() -> None:
    """Used up, it leads past what the limit names; the longest way is a yes at the last pass."""
    body = (
        'step s "S" { takes 10 min  check "Good?" else repeat from s at most 6 times then go to u }\n'
        'step t "T" { takes 1 min }\nstep u "U" { takes 1 min }\n'
    )
    assert codes(found(timing.check, work(body + "limit t starts within 69 min after procedure starts"))) == ["T01"]
    assert found(timing.check, work(body + "limit t starts within 70 min after procedure starts")) == []


def test_side_by_side_work_takes_as_long_as_its_longest_branch() -> None:
    both = (
        'together { branch "A" { step a "A" { takes 30 min } } branch "B" { step b "B" { takes 20 min } } }\n'
        'step c "C" { takes 1 min }\n'
    )
    two = TRADE.replace('role assistant "Assistant"', 'role assistant "Assistant" { on duty 2 }')
    assert found(timing.check, work(both + "limit c starts within 30 min after procedure starts"), two) == []
    short = work(both + "limit c starts within 29 min after procedure starts")
    assert codes(found(timing.check, short, two)) == ["T01"]


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("most", "expected"), [("5 min", []), ("20 s", ["T01"])])
def test_what_is_done_side_by_side_belongs_together_whichever_branch_stands_first(
    turned: bool, most: str, expected: list[str]
) -> None:
    branches = [
        'branch "A" { step a "A" { takes 5 min } }',
        'branch "B" { step b "B" { takes 1 min } step c "C" { takes 1 min  when "so" } }',
    ]
    both = f"together {{ {' '.join(reversed(branches) if turned else branches)} }}\n"
    again = 'step look "Look" { takes 1 min  check "Good?" else repeat from first at most 1 times then stop "x" }\n'
    body = work(f'step first "First" {{ takes 1 min }}\n{both}{again}limit c starts within {most} after b starts')
    beside = work(f'step first "First" {{ takes 1 min }}\n{both}{again}limit c starts within 5 min after a starts')
    two = TRADE.replace('role assistant "Assistant"', 'role assistant "Assistant" { on duty 2 }')
    assert codes(found(timing.check, body, two)) == expected
    assert found(timing.check, beside, two) == []


def test_a_performed_procedure_takes_its_time() -> None:
    inner = 'procedure inner "Inner" { by assistant step x "X" { takes 20 min } step y "Y" { takes 15 min } }\n'
    outer = work('step p "P" { perform inner  takes at most 30 min }\n')
    assert "5\u00a0min too long" in only(found(timing.check, inner + outer), "T01").sentence


def test_contact_time_counts_as_time() -> None:
    action = 'action disinfect "Disinfect" { lasts contact time }\n'
    body = 'step d "D" { does disinfect using wipe }\nstep e "E"\nlimit e starts within 1 min after d starts'
    assert "Wipe needs 2\u00a0min of contact" in only(found(timing.check, action + work(body)), "T01").sentence


def test_two_independent_faults_are_both_told() -> None:
    limits = "limit wash ends within 60 min after soak starts\nlimit wash ends within 30 min after wash starts"
    assert codes(found(timing.check, work(SOAK + WASH + limits))) == ["T01", "T01"]


def test_waiting_for_an_outcome_needs_a_longest_time() -> None:
    assert codes(found(timing.check, work('step d "D" { takes at least 5 min until "dry" }'))) == ["T03"]


def test_with_a_machine_of_programs_the_text_says_who_decides() -> None:
    assert codes(found(timing.check, work('step s "S" { using sterilizer  takes 5 to 15 min }'))) == ["T04"]
    assert found(timing.check, work('step s "S" { using sterilizer  takes 5 to 15 min by staff }')) == []


def test_a_limit_the_wrong_way_round_never_binds() -> None:
    assert codes(found(timing.check, work(SOAK + WASH + "limit soak starts within 5 min after wash ends"))) == ["T05"]


def test_too_many_ways_are_said_to_be_unproven() -> None:
    body = "".join(f'step s{n} "S{n}" {{ takes 1 min  when "so" }}\n' for n in range(8))
    limits = "".join(f"limit s{n + 1} starts within 60 min after s{n} starts\n" for n in range(7))
    assert codes(found(timing.check, work(body + limits))) == ["T06"]


def test_a_choice_may_go_another_way_on_the_second_pass() -> None:
    """The limit counts from a step of the first pass that the second pass goes round."""
    choose = (
        'choose "How?" { way "Soak" { step soak "Soak" { takes 1 min } } '
        'way "Scrape" { step scrape "Scrape" { takes 8 to 10 min by machine } } }\n'
    )
    begin = 'step begin "Begin" { takes 1 min }\n'
    look = 'step look "Look" { takes 1 min  check "Clean?" else repeat from begin at most 1 times then continue }\n'
    limit = "limit empty starts within {} min after soak starts"
    assert codes(found(timing.check, work(begin + choose + look + EMPTY + limit.format(12)))) == ["T01"]
    assert codes(found(timing.check, work(begin + choose + look + EMPTY + limit.format(14)))) == ["T02"]
    assert codes(found(timing.check, work(begin + choose + look + EMPTY + limit.format(15)))) == []


def test_all_passes_of_a_performed_procedure_are_allowed_for() -> None:
    again = 'step a "A" { takes 10 min  check "Good?" else repeat from a at most 2 times then continue }'
    inner = f'procedure inner "Inner" {{ by assistant\n{again}\n}}\n'
    body = 'step do "Do it" { perform inner }\n' + EMPTY
    limit = "limit empty starts within {} min after procedure starts"
    assert codes(found(timing.check, inner + work(body + limit.format(29)))) == ["T01"]
    assert codes(found(timing.check, inner + work(body + limit.format(30)))) == []


def test_every_pass_counts_also_where_a_limit_names_what_is_repeated() -> None:
    again = 'step a "A" { takes 5 min  check "Good?" else repeat from a at most 10 times then stop "Give up." }\n'
    own = "limit a ends within 6 min after a starts\n"
    limit = "limit empty starts within {} min after soak ends"
    for minutes, expected in ((54, ["T01"]), (55, [])):
        body = SOAK + again + EMPTY + own + limit.format(minutes)
        assert codes(found(timing.check, work(body))) == expected


TWO = 'together {{ branch "A" {{ step a "A" {{ {} }} }} branch "B" {{ step b "B" {{ {} }} }} }}\n'


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("takes 10 min", "takes 10 min", ["T10"]),
        ("takes 4 to 10 min", "takes 10 to 20 min", []),
        ("takes 10 min by machine", "takes 10 min", []),
        ('takes 10 to 11 min until "done"', "takes 10 min", []),
        ("takes 10 min  by dentist", "takes 10 min", []),
        ("takes 10 min  by dentist or assistant", "takes 10 min", []),
        ("takes 10 min  by dentist and assistant", "takes 10 min", ["T10"]),
        ("takes 10 min  using wipe", "takes 10 min", []),
        ("runs sterilizer short", "takes 10 min", []),
        ('takes 10 min  when "so"', "takes 10 min", ["T10"]),
    ],
)
def test_one_person_does_not_work_in_two_branches_at_once(one: str, other: str, expected: list[str]) -> None:
    program = 'program short "Short" { lasts 9 to 10 min by machine }  program wrapped'
    trade = TRADE.replace("program wrapped", program)
    for before in ("", 'step z "Z" { takes 0 min }\n'):
        text = work(before + TWO.format(one, other) + "limit procedure ends within 15 min after procedure starts")
        assert codes(found(timing.check, text, trade)) == expected
    enough = work(TWO.format(one, other) + "limit procedure ends within 20 min after procedure starts")
    assert codes(found(timing.check, enough, trade)) == []


def test_two_people_of_a_role_work_in_two_branches() -> None:
    two = TRADE.replace('role assistant "Assistant"', 'role assistant "Assistant" { on duty 1 to 2 }')
    text = TWO.format("takes 10 min", "takes 10 min") + "limit procedure ends within 15 min after procedure starts"
    assert codes(found(timing.check, work(text), two)) == []


def test_the_schedule_tells_how_long_a_step_can_wait() -> None:
    loaded = office(work(WASH + EMPTY + "limit empty starts within 60 min after procedure starts"))
    times = schedule_of(loaded, loaded.procedures["work"]).steps["empty"]
    assert (times.earliest, times.latest, times.slack) == (40 * 60, 60 * 60, 20 * 60)


def test_the_latest_start_leaves_time_for_the_longest_run_of_a_machine() -> None:
    loaded = office(work(WASH + RUN + EMPTY + "limit empty starts within 120 min after procedure starts"))
    times = schedule_of(loaded, loaded.procedures["work"]).steps
    reaction, longest = 60, 50 * 60
    run = next(each for each in times.values() if each.step.runs)
    assert run.latest == 120 * 60 - longest - reaction


def test_the_latest_start_is_in_time_whichever_way_is_taken() -> None:
    choose = 'choose "How?" { way "Short" { step a "A" { takes 1 h } } way "Long" { step b "B" { takes 3 h } } }\n'
    loaded = office(work(SOAK + choose + WASH + "limit wash starts within 5 h after procedure starts"))
    times = schedule_of(loaded, loaded.procedures["work"]).steps
    soak = times["soak"]
    assert soak.latest == 5 * 3600 - 3 * 3600 - soak.least


def test_hands_on_time_leaves_out_what_the_machine_does() -> None:
    loaded = office(work(RUN + EMPTY))
    times = schedule_of(loaded, loaded.procedures["work"])
    assert times.hands_on == {"assistant": (120, 180)}
    assert (times.least, times.most) == (37 * 60, 53 * 60)


def test_the_fix_is_enough_for_every_way_between() -> None:
    choose = 'choose "How?" { way "Short" { step a "A" { takes 1 h } } way "Long" { step b "B" { takes 3 h } } }\n'
    body = SOAK + choose + WASH + "limit wash starts within 30 min after soak ends"
    assert "change line 28 to `within 3 h`" in only(found(timing.check, work(body)), "T01").fix


OPEN = 'step dry "Dry" { takes at least 5 min until "dry" }\n'


@pytest.mark.parametrize(
    "body",
    [
        OPEN,
        f'together {{ branch "A" {{ {OPEN} }} branch "B" {{ {EMPTY} }} }}\n',
        f'choose "How?" {{ way "A" {{ {OPEN} }} way "B" {{ {EMPTY} }} }}\n',
        f'{OPEN[:-2]} check "Dry?" else repeat from dry at most 2 times then stop "Ask." }}\n',
        OPEN.replace("takes at least 5 min until", 'when "wet" takes at least 5 min until'),
    ],
    ids=["plain", "branch", "way", "repeat", "sometimes"],
)
def test_waiting_without_an_end_is_told_wherever_it_stands(body: str) -> None:
    assert codes(found(timing.check, work(body))) == ["T03"]


def test_a_task_that_waits_without_an_end_is_told() -> None:
    task = 'task t "T" { by assistant start of day takes at least 5 min by machine }\n'
    assert codes(found(timing.check, task)) == ["T03"]


def test_a_machine_without_a_longest_time_is_told_once_however_many_steps_run_it() -> None:
    device = 'device pot "Pot" { program go "Go" { lasts at least 5 min by machine } }\n'
    body = 'step a "A" { runs pot go }\nstep b "B" { runs pot go }\n'
    findings = found(timing.check, device + work(body))
    assert len(one_per_cause(findings)[0]) == 1


def test_staff_who_decide_need_no_longest_time() -> None:
    assert found(timing.check, work('step a "A" { takes at least 5 min }\n')) == []
