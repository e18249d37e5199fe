"""The bar chart of a procedure's time."""

from __future__ import annotations

from xml.etree import ElementTree

from sopc.checks.time.times import schedule_of
from sopc.documents.timing_bar import StepTime, bar_chart, step_times
from sopc.model.nouns import Decider, Office

SHORT = StepTime("2", "Dry", 0, 300, None, None, Decider.STAFF)


def steps(office: Office, name: str = "reprocess") -> tuple[StepTime, ...]:
    return step_times(schedule_of(office, office.procedures[name]))


def chart(*times: StepTime) -> str:
    return bar_chart(times, "t")


def test_ways_of_a_choice_can_start_at_the_same_time(office: Office) -> None:
    starts = {each.number: each.earliest for each in steps(office)}
    assert starts["2A.1"] == starts["2B.1"]


def test_a_latest_start_is_marked_by_a_triangle() -> None:
    free = StepTime("1", "a", 0, 300, 300, None, Decider.STAFF)
    held = StepTime("2", "b", 300, 300, 300, 900, Decider.STAFF)
    assert chart(free, held).count('Z"') == chart(free, free).count('Z"') + 1


def test_the_chart_is_well_formed_and_titled(office: Office) -> None:
    root = ElementTree.fromstring(bar_chart(steps(office), "A < B"))
    assert root[0].text == "A < B"


def test_machine_time_is_hatched_and_staff_time_solid() -> None:
    machine = StepTime("1", "a", 0, 300, 300, None, Decider.MACHINE)
    staff = StepTime("2", "b", 300, 300, 300, None, Decider.STAFF)
    assert 'fill="url(#timing-machine)"' in chart(machine, staff)
    assert 'height="10" fill="#000"' in chart(machine, staff)


def test_a_procedure_of_seconds_gets_no_chart(office: Office) -> None:
    assert bar_chart(steps(office, "hands"), "x") == ""


def test_a_long_title_is_written_out_on_several_lines() -> None:
    title = "Wipe every surface clean with a detergent wipe and let it dry"
    root = ElementTree.fromstring(chart(StepTime("1", title, 0, 300, None, None, Decider.STAFF), SHORT))
    words = [each.text or "" for each in root.iter("{http://www.w3.org/2000/svg}text") if each.get("x") == "26"]
    assert " ".join(words) == f"{title} {SHORT.title}"
    assert len(words) > 2


def test_a_row_makes_room_for_its_title() -> None:
    one = ElementTree.fromstring(chart(SHORT, SHORT))
    long = StepTime("1", "wipe " * 60, 0, 300, None, None, Decider.STAFF)
    two = ElementTree.fromstring(chart(long, SHORT))
    assert float(two.get("height", "")[:-2]) > float(one.get("height", "")[:-2])
    written = [float(each.get("y", "")) for each in two.iter("{http://www.w3.org/2000/svg}text")]
    assert max(written) < float(two.get("height", "")[:-2])
