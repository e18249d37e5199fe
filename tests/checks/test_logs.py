"""Logs: someone writes in them, signs, and knows what to do beyond the limits."""

from __future__ import annotations

from sopc.checks.records import logs
from tests.checks.small_offices import codes, found

USED = 'task t "T" { by assistant  does wash  start of day  record notes }\n'


def log(*columns: str, more: str = "") -> str:
    return f'log notes "Notes" {{ {" ".join(columns)} {more} }}\n'


SIGNED = 'column who "Initials" initials'
LIMITED = 'column temp "Temperature" C from 132 to 137'


def test_a_log_that_is_recorded_in_and_signed_is_right() -> None:
    assert found(logs.check, log(SIGNED) + USED) == []


def test_a_log_that_no_one_writes_in_is_told() -> None:
    assert codes(found(logs.check, log(SIGNED))) == ["S20"]


def test_a_log_has_columns() -> None:
    assert codes(found(logs.check, log() + USED)) == ["S21"]


def test_an_entry_is_signed() -> None:
    assert codes(found(logs.check, log('column on_date "Date" date') + USED)) == ["S23"]


def test_a_row_covers_no_more_than_its_sheet() -> None:
    for sheet, expected in (
        ("weekly one row a month", ["S26"]),
        ("daily one row a week", ["S26"]),
        ("weekly one row a week", []),
        ("quarterly one row a month", []),
        ("daily one row a task", []),
    ):
        assert codes(found(logs.check, log(SIGNED, more=f"sheet {sheet}") + USED)) == expected


def test_beyond_the_limits_someone_knows_what_to_do() -> None:
    assert codes(found(logs.check, log(LIMITED, SIGNED) + USED)) == ["S25"]
    assert found(logs.check, log(LIMITED, SIGNED, more='out of limits "Stop."') + USED) == []
