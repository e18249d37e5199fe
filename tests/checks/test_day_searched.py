"""Days whose order of work no rule of working finds: it comes from search, and is held against all that it promises."""

from __future__ import annotations

import pytest

import sopc
from sopc.checks.days.capacity import check
from sopc.checks.days.day import OfficeDay, office_day
from sopc.checks.days.proof import Safe, prove
from tests.checks.small_offices import TODAY
from tests.checks.test_day_player import keep_playing
from tests.checks.test_day_turns import keep_reading

TEXT = """
office "Birch Lane Dental" { open mon to thu 08:00 to 12:00 }
source book "The book" { authority guideline }
role assistant "Dental assistant" { on duty ASSISTANTS }
role dentist "Dentist" { on duty 2 }
device washer "Washer" {
  holds CASSETTES cassette, 1 tray
  program long "Long" { lasts 40 to 50 min by machine }
  program short "Short" { lasts 10 to 14 min by machine }
}
item cassette "Cassette" { critical count 9 }
item tray "Tray" { critical count 9 }
procedure wash_cassette "Wash cassettes" {
  by assistant
  step rack "Rack" { using washer takes 1 min by staff }
  step run "Run" { runs washer short }
  step empty "Empty" { using washer takes 1 min by staff }
}
procedure wash_tray "Wash trays" {
  by assistant
  step rack "Rack" { using washer takes 1 min by staff }
  step run "Run" { runs washer long }
  step empty "Empty" { using washer takes 1 min by staff }
}
visit fitting "Fitting" { lasts 20 to 25 min by dentist needs 1 tray }
visit check_up "Check-up" { lasts 20 to 30 min by dentist needs 1 cassette }
circuit trays "Trays" { for tray perform wash_tray one by one }
circuit cassettes "Cassettes" {
  for cassette
  perform wash_cassette one by one
  limit run of wash_cassette starts within WITHIN min after visit ends { cite book }
}
caseload day "A day" { on mon VISITS }
"""
# Whoever always does what can be done puts in the tray at half past eight; then the cassette waits for fifty minutes.
ONE_EACH = "visit fitting at 08:00 visit check_up at 08:10"
TWO_AND_ONE = "visit fitting at 08:00, 09:30 visit check_up at 08:10"


def day(visits: str = ONE_EACH, within: int = 20, assistants: int = 2, cassettes: int = 1) -> OfficeDay:
    words = {"ASSISTANTS": assistants, "CASSETTES": cassettes, "WITHIN": within, "VISITS": visits}
    text = TEXT
    for word, value in words.items():
        text = text.replace(word, str(value))
    office, findings = sopc.load_text(text)
    assert office is not None, findings
    assert not [each for each in check(office, TODAY) if each.code.startswith("W")]
    made = office_day(office, office.caseloads["day"])
    assert made is not None
    return made


SEARCHED = [
    day(),
    day(within=3),
    day(assistants=1, within=5),
    day(TWO_AND_ONE, within=12),
    day("visit fitting at 08:00 visit check_up at 08:10, 08:20", cassettes=2, within=25),
]


@pytest.mark.parametrize("made", SEARCHED)
def test_the_order_comes_from_search_and_not_from_any_rule(made: OfficeDay) -> None:
    proof = prove(made)
    assert isinstance(proof, Safe)
    assert proof.searched


@pytest.mark.parametrize("made", SEARCHED)
def test_staff_who_keep_to_the_network_break_nothing(made: OfficeDay) -> None:
    keep_playing(made, 100)


@pytest.mark.parametrize("made", SEARCHED)
def test_whoever_follows_the_printed_lines_breaks_nothing(made: OfficeDay) -> None:
    keep_reading(made, 100)
