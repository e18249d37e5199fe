"""Times that contradict another line of the text, each at its boundary."""

from __future__ import annotations

import pytest

from sopc.checks.time import timing
from tests.checks.small_offices import codes, found, procedure

MIX = 'supply mix "Mix" { use within 2 h }\n'


def told(step: str) -> list[str]:
    return codes(found(timing.check, MIX + procedure(f'step s "S" {{ {step} }}')))


@pytest.mark.parametrize(
    ("takes", "expected"),
    [
        ("takes 9 h", []),  # as long as the longest day
        ("takes 541 min", ["T08"]),
        ("takes 1 to 20 h", []),  # it can be done in a day
        ("takes 24 h by machine", []),
        ('takes 24 to 30 h until "dark"', []),
    ],
)
def test_staff_are_not_kept_longer_than_the_office_is_open(takes: str, expected: list[str]) -> None:
    assert told(takes) == expected


def test_a_task_is_done_within_a_day_too() -> None:
    task = 'task t "T" { by assistant every day takes 10 h because "." }'
    assert codes(found(timing.check, task)) == ["T08"]


@pytest.mark.parametrize(("takes", "expected"), [("takes 2 to 3 h", []), ("takes 121 min", ["T09"])])
def test_what_is_mixed_keeps_as_long_as_the_step_needs_it(takes: str, expected: list[str]) -> None:
    assert told(f"using mix {takes}") == expected


def test_what_keeps_shorter_than_its_own_contact_time_is_told() -> None:
    action = 'action disinfect "Disinfect" { lasts contact time }\n'
    action += 'supply weak "Weak" { use within 5 min contact 10 min }\n'
    step = procedure('step s "S" { does disinfect using weak }')
    assert codes(found(timing.check, action + step)) == ["T09"]
