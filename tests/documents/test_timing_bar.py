"""The bar chart of a procedure's time."""

from __future__ import annotations

from xml.etree import ElementTree

from sopc.documents.timing_bar import bar_chart, spread
from sopc.model.nouns import Office


def times(office: Office) -> dict[str, tuple[int, int, int | None]]:
    return {
        each.number: (each.earliest_start // 60, each.earliest_end // 60, each.latest_end and each.latest_end // 60)
        for each in spread(office.procedures["reprocess"].parts)
    }


def test_ways_of_a_choice_start_at_the_same_time(office: Office) -> None:
    assert times(office)["2A.1"] == (1, 6, 13)
    assert times(office)["2B.1"] == (1, 6, 13)


def test_what_follows_a_choice_comes_as_early_as_the_shortest_and_as_late_as_the_longest_way(office: Office) -> None:
    assert times(office)["3"] == (6, 8, 23)


def test_what_follows_branches_waits_for_the_longest(office: Office) -> None:
    branches = times(office)
    assert branches["5B.1"] == (9, 10, 28)
    assert branches["7"][0] == 10


def test_a_step_without_upper_end_leaves_the_end_open(office: Office) -> None:
    assert times(office)["9"][2] is None


def test_the_chart_is_well_formed_and_titled(office: Office) -> None:
    root = ElementTree.fromstring(bar_chart(spread(office.procedures["reprocess"].parts), "A < B"))
    assert root[0].text == "A < B"


def test_a_procedure_of_seconds_gets_no_chart(office: Office) -> None:
    assert bar_chart(spread(office.procedures["hands"].parts), "x") == ""
