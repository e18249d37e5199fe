"""What a clash of times says: the lines with their sum, why it cannot be kept, and changes that each mend it alone.

The known answers are those of the published networks in `tests/standards/test_time_networks.py`, written as offices.
"""

from __future__ import annotations

import re

import pytest

from sopc.checks.time import timing
from sopc.findings import Finding
from tests.checks.small_offices import TRADE, codes, found, only

MACHINES = """
source ifu "Instructions of the washer" { authority instructions }
source guide "The guideline" { authority guideline }
device short "Short cycle" { program go "Go" { lasts 10 to 15 min by machine } }
device exact "Exact cycle" { program go "Go" { lasts 40 min by machine } }
device told "Told by its maker" { program go "Go" { lasts 40 min by machine cite ifu "4" read } }
"""
AT_ONCE = TRADE.replace('office "Example" {', 'office "Example" { reaction 0 s ')


def work(body: str) -> str:
    return f'{MACHINES}procedure work "Work" {{ by assistant\n{body}\n}}\n'


def told(body: str, code: str) -> Finding:
    return only(found(timing.check, work(body), AT_ONCE), code)


def spaced(text: str) -> str:
    return text.replace("\u00a0", " ")


def line_of(body: str, part: str) -> int:
    text = (AT_ONCE + work(body)).split("\n")
    return next(number for number, line in enumerate(text, 1) if part in line)


E9 = """step run "Run" { runs short go }
limit procedure ends at least 12 min and within 12 min after procedure starts"""

READY = """together {
branch "Machine" { step run "Run" { runs sterilizer wrapped } }
branch "Ready" { step ready "Get ready" { takes 5 to 15 min } }
}
limit run ends at least LOW min and within HIGH min after ready ends"""

SOAKED = """step soak "Soak" { takes 5 to 15 min }
step wash "Wash" { runs sterilizer wrapped }
step rinse "Rinse" { takes 2 min }
limit rinse starts within LONG min after soak starts"""


def ready(low: int, high: int) -> str:
    return READY.replace("LOW", str(low)).replace("HIGH", str(high))


def soaked(within: int) -> str:
    return SOAKED.replace("LONG", str(within))


def test_e9_is_mended_by_three_minutes_more_or_by_a_machine_of_twelve() -> None:
    fix = spaced(told(E9, "T02").fix)
    place = line_of(E9, "limit procedure")
    assert f"Change line {place} to `within 15 min`." in fix
    assert "choose or validate a machine whose cycle for “Run” is at most 12 min" in fix


def test_e9_says_which_machine_time_leaves_no_timing() -> None:
    assert "On a day when “Run” takes 15 min, no timing is left" in spaced(told(E9, "T02").floor)


def test_what_would_need_knowing_the_machine_in_advance_is_said_so() -> None:
    assert "would have to know in advance" in told(ready(1, 15), "T02").floor


def test_a_window_as_wide_as_the_machine_varies_can_be_kept() -> None:
    assert found(timing.check, work(ready(0, 15)), AT_ONCE) == []
    assert found(timing.check, work(ready(1, 16)), AT_ONCE) == []


def test_a_window_one_minute_too_narrow_is_mended_by_a_minute() -> None:
    fix = spaced(told(ready(1, 15), "T02").fix)
    assert "`within 16 min`" in fix
    assert "`at least 0 s`" in fix


def test_soak_then_wash_can_be_kept_from_55_minutes_on() -> None:
    assert found(timing.check, work(soaked(55)), AT_ONCE) == []
    assert "`within 55 min`" in spaced(told(soaked(54), "T02").fix)


def test_where_no_timing_works_it_is_told_as_such() -> None:
    body = 'step a "A" { takes 30 min }\nlimit procedure ends within 20 min after procedure starts'
    assert "However fast staff work" in told(body, "T01").floor


REPEATED = """step wash "Wash" { runs exact go
check "Clean?" else repeat from wash at most 1 time then stop "Ask." }
limit procedure ends within 60 min after procedure starts"""


def test_a_line_that_counts_twice_is_listed_once_with_how_often() -> None:
    finding = told(REPEATED.replace("at most 1 time ", "at most 1 times "), "T01")
    assert "“Wash” takes at least 40 min (line" in spaced(finding.sentence)
    assert "(2 times) = 1 h 20 min" in spaced(finding.sentence)
    assert spaced(finding.walk[-2].text).endswith("(2 times) → 1 h 20 min")


def test_a_line_that_counts_twice_is_changed_in_both() -> None:
    fix = spaced(told(REPEATED.replace("at most 1 time ", "at most 1 times "), "T01").fix)
    assert "cycle for “Wash” is at most 30 min" in fix


def test_a_machine_is_not_told_to_be_quicker_but_another_to_be_chosen() -> None:
    body = 'step run "Run" { runs exact go }\nlimit procedure ends within 30 min after procedure starts'
    fix = spaced(told(body, "T01").fix)
    assert "let “Run” take" not in fix
    assert "choose or validate a machine whose cycle for “Run” is at most 30 min" in fix


def test_a_line_from_instructions_is_never_offered() -> None:
    body = 'step run "Run" { runs told go }\nlimit procedure ends within 30 min after procedure starts'
    assert "“Run”" not in told(body, "T01").fix


@pytest.mark.parametrize("source", ["rules", "ifu"])
def test_a_limit_of_law_or_instructions_is_never_offered(source: str) -> None:
    body = (
        'step a "A" { takes 30 min }\n'
        f'limit procedure ends within 20 min after procedure starts {{ cite {source} "7" read }}'
    )
    assert "Change line" not in told(body, "T01").fix


def test_where_nothing_can_give_way_it_is_said_why() -> None:
    body = (
        'step run "Run" { runs told go }\n'
        'limit procedure ends within 20 min after procedure starts { cite rules "7" read }'
    )
    assert told(body, "T01").fix.startswith("No single one of these lines can give way")


def test_what_an_outcome_decides_is_not_told_to_be_quicker() -> None:
    body = (
        'step cool "Cool" { takes 10 to 30 min until "cool to the touch" }\n'
        "limit procedure ends within 20 min after procedure starts"
    )
    assert "find a way in which “Cool” takes at most 20 min" in spaced(told(body, "T02").fix)


def test_the_sources_behind_the_lines_are_named() -> None:
    body = (
        'step run "Run" { runs told go }\n'
        'limit procedure ends within 20 min after procedure starts { cite guide "VI.F" memory }'
    )
    assert told(body, "T01").asked_by == (
        "Instructions of the washer, 4", "The guideline, VI.F (from memory)",
    )  # fmt: skip


@pytest.mark.parametrize("body", [E9, ready(1, 15), soaked(50), soaked(20)], ids=["e9", "ready", "soaked", "soaked 2"])
def test_the_change_of_a_limit_mends_and_a_minute_less_does_not(body: str) -> None:
    finding = told(body, codes(found(timing.check, work(body), AT_ONCE))[0])
    offered = re.search(r"`within (\d+) min`", spaced(finding.fix))
    assert offered
    for minutes, expected in ((int(offered[1]), True), (int(offered[1]) - 1, False)):
        changed = re.sub(r"within \d+ min", f"within {minutes} min", body)
        assert (found(timing.check, work(changed), AT_ONCE) == []) is expected
