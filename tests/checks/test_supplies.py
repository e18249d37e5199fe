"""Supplies: what keeps for a time is renewed before it runs out."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.checks.records import supplies
from tests.checks.small_offices import TODAY, codes, found, office, only


def bath(keeps: str, *schedules: str, more: str = "") -> str:
    due = "  ".join(schedules)
    return (
        f'supply bath "Bath" {{ use within {keeps}  {more} }}\n'
        f'task fresh "Fresh bath" {{ by assistant  {due}  renews bath }}\n'
        'procedure work "Work" { by assistant  step s "S" { using bath } }\n'
    )


def test_a_bath_made_in_the_morning_that_keeps_all_day_is_right() -> None:
    assert found(supplies.check, bath("9 h", "start of day")) == []


def test_a_bath_made_in_the_morning_runs_out_before_a_longer_day_ends() -> None:
    finding = only(found(supplies.check, bath("8 h", "start of day")), "S01")
    assert "used for up to 9\u00a0h: 1\u00a0h too long" in finding.sentence


def test_a_second_bath_at_noon_mends_it() -> None:
    assert found(supplies.check, bath("8 h", "start of day", "every day at 12:00")) == []


def test_a_bath_made_in_the_evening_is_used_the_whole_next_day() -> None:
    assert codes(found(supplies.check, bath("24 h", "end of day"))) == ["S01"]


def test_a_weekend_counts() -> None:
    assert found(supplies.check, bath("73 h", "every week on mon, wed, fri")) == []
    assert codes(found(supplies.check, bath("48 h", "every week on mon, wed, fri"))) == []
    assert codes(found(supplies.check, bath("48 h", "every week on mon, thu"))) == ["S01"]


def test_what_is_only_used_in_the_evening_is_made_in_the_evening() -> None:
    text = (
        'supply cleaner "Cleaner" { use within 1 h }\n'
        'task mix "Mix" { by assistant  end of day  renews cleaner }\n'
        'task flush "Flush" { by assistant  end of day  using cleaner }\n'
    )
    assert found(supplies.check, text) == []


def test_a_procedure_that_no_task_performs_may_be_done_at_any_time() -> None:
    fresh = 'task fresh "Fresh bath" { by assistant  start of day  using bath  renews bath }\n'
    text = (
        'supply bath "Bath" { use within 8 h }\n'
        + fresh
        + 'procedure work "Work" { by assistant  step s "S" { using bath } }\n'
    )
    assert codes(found(supplies.check, text)) == ["S01"]


def test_a_dilution_says_how_long_it_keeps() -> None:
    text = (
        'supply bleach "Bleach" { dilute 1 part to 9 parts }\n'
        'procedure work "Work" { by assistant  step s "S" { using bleach } }\n'
    )
    assert codes(found(supplies.check, text)) == ["S02"]


def test_what_keeps_for_a_time_is_renewed_by_someone() -> None:
    text = 'supply bath "Bath" { use within 8 h }\nprocedure work "Work" { by assistant  step s "S" { using bath } }\n'
    assert codes(found(supplies.check, text)) == ["S03"]


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 40), st.lists(st.integers(8, 16), min_size=1, max_size=3, unique=True))
def test_renewal_agrees_with_looking_at_every_quarter_of_an_hour(keeps: int, hours: list[int]) -> None:
    schedules = [f"every day at {hour:02}:00" for hour in hours]
    loaded = office(bath(f"{keeps} h", *schedules))
    told = codes(supplies.check(loaded, TODAY))
    assert bool(told) == (oldest(sorted(hours)) > keeps)


def oldest(hours: list[int]) -> float:
    """The greatest age in hours of what is used in four weeks: Monday to Thursday 8 to 17, Friday 8 to 12."""
    worst = 0.0
    made: float | None = None
    monday = date(2026, 12, 7).toordinal()
    for quarter in range(28 * 96):
        day, hour = divmod(quarter / 4, 24)
        weekday = date.fromordinal(monday + int(day)).weekday()
        closes = 0 if weekday > 4 else 12 if weekday == 4 else 17
        if closes and hour in hours:
            made = quarter / 4
        if made is not None and 8 <= hour < closes:
            worst = max(worst, (quarter + 1) / 4 - made)
    return worst
