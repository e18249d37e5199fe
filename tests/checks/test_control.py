"""Document control."""

from __future__ import annotations

from sopc.checks.records import control
from tests.checks.small_offices import codes, found, only

HEAD = "owner dentist  approver dentist  by assistant"
DATES = "revision 3 effective 2026-11-01 review 2027-11-01"


def document(name: str = "work", number: str = "SOP-01", dates: str = DATES, more: str = "") -> str:
    return f'procedure {name} "{name}" {{ id "{number}"  {dates}  {more}  {HEAD}  step s "S" }}\n'


def test_a_controlled_document_is_right() -> None:
    assert found(control.check, document()) == []


def test_what_is_missing_from_the_head_is_listed() -> None:
    finding = only(found(control.check, 'procedure p "Rinse" { by assistant  step s "S" }\n'), "C01")
    assert finding.sentence == "“Rinse” has no id, revision, effective, review, owner and approver."


def test_no_number_stands_twice() -> None:
    assert codes(found(control.check, document() + document("other"))) == ["C02"]


def test_an_overdue_review_is_told_on_the_day() -> None:
    dates = "revision 3 effective 2025-11-01 review 2026-11-30"
    assert "1 day ago" in only(found(control.check, document(dates=dates)), "C03").sentence


def test_a_review_due_today_is_not_overdue() -> None:
    assert found(control.check, document(dates="revision 3 effective 2025-11-01 review 2026-12-01")) == []


def test_a_revision_is_in_force_within_a_year() -> None:
    soon = "revision 3 effective 2027-12-02 review 2028-12-01"
    assert found(control.check, document(dates=soon)) == []
    assert codes(found(control.check, document(dates=soon.replace("2027-12-02", "2027-12-03")))) == ["C09"]


def test_past_revisions_ascend() -> None:
    past = 'history 2 2026-03-01 "b"  history 1 2026-05-01 "a"'
    assert codes(found(control.check, document(more=past))) == ["C04"]


def test_the_history_agrees_with_the_revision_in_force() -> None:
    dates = "revision 3 effective 2026-06-01 review 2027-06-01"
    for past, expected in (
        ('history 3 2026-06-01 "c"', []),
        ('history 3 2026-05-01 "c"', ["C04"]),
        ('history 2 2026-05-01 "b"', []),
        ('history 2 2026-06-01 "b"', ["C04"]),
        ('history 4 2026-05-01 "d"', ["C04"]),
    ):
        assert codes(found(control.check, document(dates=dates, more=past))) == expected


def test_a_review_comes_after_the_date_in_force() -> None:
    dates = "revision 3 effective 2027-11-01 review 2027-11-01"
    assert codes(found(control.check, document(dates=dates))) == ["C05"]
