"""Schedules: tasks are due on days that exist and leave a record."""

from __future__ import annotations

from sopc.checks.records import schedules
from tests.checks.small_offices import codes, found, only

LOG = 'log notes "Notes" { column who "Initials" initials }\n'


def task(due: str, more: str = "record notes") -> str:
    return LOG + f'task t "Spore test" {{ by assistant  does wash  {due}  {more} }}\n'


def test_a_weekly_task_names_its_day() -> None:
    assert found(schedules.check, task("every week on mon")) == []
    assert codes(found(schedules.check, task("every week"))) == ["S11"]


def test_a_task_is_due_at_some_time() -> None:
    assert codes(found(schedules.check, task(""))) == ["S10"]


def test_a_holiday_needs_a_rule() -> None:
    closed = 'office "Example" { open mon to fri 08:00 to 17:00  closed 2026-12-24 to 2027-01-01 "winter break" }\n'
    trade = closed + 'role assistant "Assistant"\naction wash "Wash"\n'
    finding = only(found(schedules.check, task("every week on mon"), trade), "S12")
    assert "falls on Monday, 2026-12-28, when the office is closed (winter break)" in finding.sentence
    assert found(schedules.check, task("every week on mon  if closed next open day"), trade) == []


def test_a_day_that_is_never_open_is_told() -> None:
    assert codes(found(schedules.check, task("every week on sun"))) == ["S13"]


def test_what_is_skipped_every_time_is_never_done() -> None:
    closed = 'office "Example" { open mon to fri 08:00 to 17:00  closed 2026-12-24 to 2027-01-01 }\n'
    trade = closed + 'role assistant "Assistant"\naction wash "Wash"\n'
    assert codes(found(schedules.check, task("every year on 12-25  if closed skip"), trade)) == ["S16"]
    assert codes(found(schedules.check, task("every 7 days from 2026-01-04  if closed skip"), trade)) == ["S16"]
    assert found(schedules.check, task("every year on 12-25  if closed previous open day"), trade) == []
    assert found(schedules.check, task("every month on day 1  if closed skip"), trade) == []


def test_a_load_is_run_by_some_step() -> None:
    run = 'procedure p "P" {{ by assistant  step s "S" {{ {} }} }}\n'
    due = task("each load of sterilizer")
    assert codes(found(schedules.check, run.format("runs sterilizer wrapped") + due)) == []
    assert codes(found(schedules.check, run.format("using sterilizer") + due)) == ["S18"]


def test_what_recurs_begins_within_its_interval() -> None:
    assert found(schedules.check, task("every 90 days from 2027-03-01  if closed skip")) == []
    assert codes(found(schedules.check, task("every 90 days from 2027-03-02  if closed skip"))) == ["S17"]
    assert found(schedules.check, task("every 90 days from 1999-03-02  if closed skip")) == []


def test_a_time_outside_opening_hours_is_told() -> None:
    finding = only(found(schedules.check, task("every day at 15:00")), "S14")
    assert finding.sentence == "“Spore test” is due at 15:00, when the office is closed on Friday."


def test_what_is_not_recorded_cannot_be_shown() -> None:
    assert codes(found(schedules.check, task("start of day", ""))) == ["S15"]


def test_a_note_may_say_why_nothing_is_recorded() -> None:
    assert found(schedules.check, task("start of day", 'note "Nothing to show."')) == []


def test_a_reason_may_say_why_nothing_is_recorded() -> None:
    assert found(schedules.check, task("start of day", 'because "Seen at a glance."')) == []


def test_the_procedure_it_performs_may_keep_the_record() -> None:
    performed = 'procedure p "P" { by assistant  step s "S" { record notes } }\n'
    text = LOG + performed + 'task t "T" { by assistant  perform p  start of day }\n'
    assert found(schedules.check, text) == []


def test_a_record_written_only_after_a_no_is_no_record_of_the_task() -> None:
    repair = 'procedure repair "Repair" { by assistant  step write "Write it down" { record notes } }\n'
    look = 'procedure look "Look" { by assistant  step s "S" { check "Whole?" else perform repair then continue } }\n'
    text = LOG + repair + look + 'task t "T" { by assistant  perform look  start of day }\n'
    assert codes(found(schedules.check, text)) == ["S15"]
