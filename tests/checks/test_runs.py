"""Machines are run by a program that fits what is in them, for as long as it takes."""

from __future__ import annotations

import pytest

from sopc.checks.figures import runs
from tests.checks.small_offices import codes, office, procedure

TRADE = """
item bur "Bur" {{ critical  heat stable  hollow }}
action steam "Steam" {{ brings sterile  with steamer }}
device boiler "Boiler" is steamer {{
  program short "Short" {{ steam prevacuum  at 134 C for 4 min  dry 10 min  suits {suits}  lasts {lasts} }}
  program test "Test" {{ suits tests  lasts 15 min }}
}}
"""


def told(step: str, lasts: str = "30 to 40 min by machine", suits: str = "wrapped", items: str = "tip") -> list[str]:
    text = TRADE.format(lasts=lasts, suits=suits) + procedure(step, f"{items} from packed to sterile")
    return codes(runs.check(office(text)))


def test_a_step_lasts_as_long_as_its_program_and_may_say_longer() -> None:
    assert told('step s "S" { does steam  runs boiler short }') == []
    assert told('step s "S" { does steam  runs boiler short  takes 40 to 50 min by staff }') == []
    assert told('step s "S" { does steam  runs boiler short  takes 45 to 60 min by machine }') == []


@pytest.mark.parametrize("takes", ["1 min", "30 to 50 min by staff", "at least 39 min", "20 to 39 min by machine"])
def test_a_step_may_not_say_less_than_its_program_takes(takes: str) -> None:
    assert told(f'step s "S" {{ does steam  runs boiler short  takes {takes} }}') == ["L26"]


def test_two_programs_of_one_machine_run_one_after_the_other() -> None:
    both = 'step s "S" {{ does steam  runs {} short  runs {} wrapped {} }}'
    assert told(both.format("boiler", "sterilizer", "")) == ["L26"]
    assert told(both.format("boiler", "sterilizer", "takes 50 min")) == []
    again = 'step s "S" { does steam  runs boiler short  runs boiler short  takes {} min }'
    assert told(again.replace("{} min", "79 min")) == ["L26"]
    assert told(again.replace("{} min", "80 min")) == []


def test_a_program_lasts_at_least_as_long_as_it_holds_and_dries() -> None:
    work = 'step s "S" { does steam  runs boiler short }'
    assert told(work, lasts="14 min") == []
    assert told(work, lasts="13 to 20 min by machine") == ["L28"]


def test_a_program_that_only_tests_the_machine_does_nothing_to_items() -> None:
    assert told('step s "S" { does steam  runs boiler test }') == ["L27"]
    assert told('step s "S" { runs boiler test }') == []


@pytest.mark.parametrize(
    ("suits", "item", "expected"),
    [
        ("wrapped", "bur", ["L27"]),
        ("wrapped, hollow", "bur", []),
        ("wrapped", "tip", []),
        ("critical", "bur", []),
        ("semicritical", "tip", ["L27"]),
        ("noncritical, critical", "tip", []),
    ],
)
def test_a_program_is_made_for_what_is_in_it(suits: str, item: str, expected: list[str]) -> None:
    assert told('step s "S" { does steam  runs boiler short }', suits=suits, items=item) == expected


def test_what_is_done_with_a_machine_names_a_program() -> None:
    assert told('step s "S" { does steam  using boiler  takes 1 min }') == ["L29"]
    assert told('step s "S" { does steam  using boiler  runs sterilizer wrapped }') == []
    assert told('step s "S" { using boiler  takes 1 min }') == []
