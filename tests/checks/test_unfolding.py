"""Limits between branches side by side, one of which performs a procedure: against a game of staff and the machine."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.time import timing
from sopc.checks.time.orders import NotBefore, orders_of
from tests.checks.small_offices import TRADE, codes, found, office, only

QUICK = TRADE.replace('office "Example" {', 'office "Example" { reaction 0 s')
CHECKED = 'check "Clean" else repeat from m at most 2 times then stop "Discard it."'


class Case(NamedTuple):
    """Minutes. Branch one: set up, the machine, put away. Branch two: the other work. Then what the limits allow."""

    before: int
    quickest: int
    slowest: int
    after: int | None  # None: nothing follows the machine
    other: int
    first_within: int | None  # the first branch ends within so long after the second
    second_within: int | None  # the second branch ends within so long after the first
    first_later: int | None  # the first branch ends at least so long after the second


def text_of(case: Case, performed: bool, more: str = "") -> str:
    machine = f"takes {case.quickest} min to {case.slowest} min by machine" + f" {more}"
    steps = f'step p "P" {{ takes {case.before} min }} step m "M" {{ {machine} }}'
    if case.after is not None:
        steps += f' step q "Q" {{ takes {case.after} min }}'
    inside = f'procedure inside "Inside" {{ by assistant {steps} }}\n' if performed else ""
    first = 'step a "A" { perform inside }' if performed else steps
    end = "a" if performed else "m" if case.after is None else "q"
    limits = ""
    if case.first_within is not None:
        limits += f"limit {end} ends within {case.first_within} min after b ends\n"
    if case.second_within is not None:
        limits += f"limit b ends within {case.second_within} min after {end} ends\n"
    if case.first_later is not None:
        limits += f"limit {end} ends at least {case.first_later} min after b ends\n"
    branches = f'branch "1" {{ {first} }} branch "2" {{ step b "B" {{ by dentist takes {case.other} min }} }}'
    return f'{inside}procedure work "Work" {{ by assistant together {{ {branches} }}\n{limits} }}\n'


def kept(case: Case, first: int, second: int) -> bool:
    """Whether the limits hold for these ends of the two branches, read as: no sooner, and no later than that."""
    late, ahead, least = case.first_within, case.second_within, case.first_later
    return (
        (late is None or second <= first <= second + late)
        and (ahead is None or first <= second <= first + ahead)
        and (least is None or first >= second + least)
    )


def can_be_kept(case: Case) -> bool:
    """Whether staff win whatever the machine does: they choose minute by minute, seeing what has ended so far."""
    horizon = case.before + case.slowest + (case.after or 0) + case.other + 30

    @cache
    def wins(now: int, began: int | None, ended: int | None, away: int | None, other: int | None) -> bool:
        """`began`, `ended`: the machine; `away`, `other`: when putting away and the other work were begun."""
        if ended is not None and case.after is None:
            away = ended
        if now > horizon:
            return False
        choices = [(began, away, other)]
        if other is None:
            choices.append((began, away, now))
        if began is None and now >= case.before:
            choices += [(now, each[1], each[2]) for each in list(choices)]
        if ended is not None and away is None:
            choices += [(each[0], now, each[2]) for each in list(choices)]
        return any(goes_well(now, one, ended, two, three) for one, two, three in choices)

    def goes_well(now: int, began: int | None, ended: int | None, away: int | None, other: int | None) -> bool:
        if away is not None and other is not None:
            return kept(case, away + (case.after or 0), other + case.other)
        if began is None or ended is not None:
            return wins(now + 1, began, ended, away, other)
        runs = now + 1 - began
        outcomes = []
        if runs < case.slowest:
            outcomes.append(wins(now + 1, began, None, away, other))
        if runs >= case.quickest:
            outcomes.append(wins(now + 1, began, now + 1, away, other))
        return all(outcomes)

    return wins(0, None, None, None, None)


minutes = st.integers(1, 4)
ends = st.one_of(st.none(), st.integers(0, 6))
cases = st.builds(
    lambda before, quickest, more, after, other, one, two, three: Case(
        before, quickest, quickest + more, after, other, one, two, three
    ),
    minutes,
    st.integers(1, 4),
    st.integers(1, 4),
    st.one_of(st.none(), minutes),
    st.integers(1, 5),
    ends,
    ends,
    ends,
)


def faults(text: str) -> list[str]:
    return [code for code in codes(found(timing.check, text, QUICK)) if code in ("T01", "T02", "T11")]


def hold(case: Case) -> None:
    """Told when staff cannot win. With questions the machine may take longer still, so what is lost stays lost."""
    won = can_be_kept(case)
    assert bool(faults(text_of(case, performed=False))) != won
    assert bool(faults(text_of(case, performed=True))) != won
    if not won:
        assert faults(text_of(case, performed=True, more=CHECKED))


@settings(max_examples=50, deadline=None)
@given(cases)
def test_a_limit_beside_what_is_performed_is_told_exactly_when_staff_cannot_win(case: Case) -> None:
    hold(case)


@pytest.mark.long
@settings(max_examples=1500, deadline=None)
@given(cases)
def test_a_limit_beside_what_is_performed_is_told_in_a_thousand_cases(case: Case) -> None:
    hold(case)


def test_the_game_knows_the_plain_cases() -> None:
    alone = Case(1, 8, 12, 1, 2, None, None, None)
    assert can_be_kept(alone._replace(second_within=3))  # begin when the machine is seen to end
    assert can_be_kept(alone._replace(first_within=3))  # putting away waits for the other work
    assert not can_be_kept(alone._replace(after=None, first_within=3))
    assert can_be_kept(alone._replace(after=None, first_within=4))  # begun so that it ends when the machine may


def test_a_machine_in_what_is_performed_is_told_as_if_it_stood_there() -> None:
    case = Case(1, 8, 12, None, 2, 3, None, None)
    finding = only(found(timing.check, text_of(case, performed=True)), "T02")
    assert "“M” may take as long as 12\u00a0min" in finding.sentence
    assert codes(found(timing.check, text_of(case, performed=False))) == ["T02"]


def test_what_asks_questions_is_undecided() -> None:
    case = Case(1, 8, 12, None, 2, 3, None, None)
    finding = only(found(timing.check, text_of(case, performed=True, more=CHECKED), QUICK), "T11")
    assert "“Inside” takes 9\u00a0min or up to 37\u00a0min" in finding.sentence


def test_counting_from_its_end_is_decided_all_the_same() -> None:
    case = Case(1, 8, 12, 1, 2, None, 4, None)
    assert found(timing.check, text_of(case, performed=True, more=CHECKED), QUICK) == []


def test_nobody_can_hold_back_the_end_of_a_machine_that_is_performed() -> None:
    inside = 'procedure inside "Inside" { by assistant step m "M" { takes 8 to 12 min by machine } }\n'
    limit = "limit a ends at least 10 min after a starts"
    work = f'{inside}procedure work "Work" {{ by assistant step a "A" {{ perform inside }} {limit} }}'
    assert codes(found(timing.check, work)) == ["T02"]


@pytest.mark.parametrize("times", ["", "takes 15 to 20 min by staff"])
def test_a_step_with_a_time_of_its_own_ends_when_staff_end_it(times: str) -> None:
    inside = 'procedure inside "Inside" { by assistant step m "M" { takes 8 to 12 min by machine } }\n'
    limit = "limit a ends at least 14 min after a starts"
    work = f'{inside}procedure work "Work" {{ by assistant step a "A" {{ perform inside {times} }} {limit} }}'
    assert codes(found(timing.check, work)) == ([] if times else ["T01"])


def test_limits_of_what_is_performed_are_not_told_again_where_it_is_performed() -> None:
    inside = (
        'procedure inside "Inside" { by assistant step m "M" { takes 8 to 12 min by machine } '
        'step q "Q" { takes 1 min } limit q starts within 9 min after m starts }\n'
    )
    work = f'{inside}procedure work "Work" {{ by assistant step a "A" {{ perform inside takes at most 1 h }} }}'
    assert codes(found(timing.check, work)) == ["T02"]


def test_paper_says_from_when_the_other_work_may_be_done() -> None:
    case = Case(1, 8, 12, None, 2, 6, None, None)
    loaded = office(text_of(case, performed=True), QUICK)
    told = [order for order in orders_of(loaded, loaded.procedures["work"]) if isinstance(order, NotBefore)]
    assert [(order.step, order.after.step, order.after.edge, order.seconds) for order in told] == [
        ("b", "a", "starts", 5 * 60)
    ]
