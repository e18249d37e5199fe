"""The plan of a day on paper: its figures, its chart, its caution, and the same bytes for the same seed."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

import sopc
from sopc.checks.days.day import office_day
from sopc.documents.binder import binder_documents
from sopc.documents.day_chart import day_chart
from sopc.documents.day_lanes import Bar, Fill, Lane
from sopc.documents.day_overnight import away_at
from sopc.documents.day_plan import CAUTION, DayPlan, _runs_for, day_plan, day_plan_document, day_plan_page
from sopc.documents.sop import sop_document, sop_page
from sopc.model.nouns import Office
from sopc.press.plan import in_words
from sopc.render.pdf import write_pdf
from sopc.trade.quantities import NBSP
from sopc.trade.simulation import Day, longest, simulate
from tests.checks.test_capacity import LATE, ONE_ASSISTANT, QUIET, SIX
from tests.checks.test_capacity import office as small_office

TODAY = date(2026, 12, 7)
NO_NIGHT = Day({}, {}, {}, {}, ())
TWO_CHAIRS = (("device unit_1", 'device unit_2 "Chair 2"\ndevice unit_1'), ("chair unit_1", "chair unit_1 or unit_2"))
DEMO = Path(sopc.__file__).resolve().parents[1] / "protocols" / "larkspur_pass" / "2026-12"


@pytest.fixture(scope="module")
def demo() -> Office:
    made, findings = sopc.load(DEMO)
    assert made is not None, findings
    return made


@pytest.fixture(scope="module")
def plan(demo: Office) -> DayPlan:
    made = day_plan(demo, next(iter(demo.caseloads.values())), runs=60)
    assert made is not None
    return made


def test_the_page_says_what_to_own_and_when_the_last_load_starts(plan: DayPlan) -> None:
    page = day_plan_page(plan, "REG-20", TODAY)
    headings = [section.heading for section in page.sections]
    assert headings[:4] == [
        "When all is done",
        "Instrument sets to own",
        "Loads by the hour",
        "The last load of the day",
    ]
    assert headings[4:9] == ["Hands", "Waiting lines", "Limits along the way", "What is assumed", "The order of work"]
    assert headings[9:] == [order.title for order in plan.orders]
    own = [section.heading for section in page.sections if section.fresh]
    assert own == [order.title for order in plan.orders if order.person]  # a leaf of its own to carry
    sets = next(section for section in page.sections if section.heading == "Instrument sets to own")
    assert {row[0].text for row in sets.tables[0].rows} == {
        "Instrument cassette", "Handpiece or motor", "Scaler tip", "Extraction set",
    }  # fmt: skip


def test_a_day_too_full_to_be_played_so_often_says_how_often_it_was(demo: Office) -> None:
    caseload = demo.caseloads["full_day"]
    assert _runs_for(demo, caseload) == 500
    visits = {name: replace(visit, needs=((20, "cassette"),)) for name, visit in demo.visits.items()}
    full = replace(caseload, bookings=tuple(replace(each, minutes=each.minutes * 2) for each in caseload.bookings))
    assert 50 <= _runs_for(replace(demo, visits=visits), full) < 100


def test_seed_and_number_of_days_played_are_printed(plan: DayPlan) -> None:
    assert "60 days played, seed 1" in day_plan_page(plan, "REG-20", TODAY).lead


def test_it_says_that_it_is_no_promise(plan: DayPlan) -> None:
    assert CAUTION in in_words(plan).replace("\n", " ")
    assert "not a promise" in day_plan_document(plan, "REG-20", TODAY).html


def test_the_demo_s_day_is_shown_to_fit(plan: DayPlan) -> None:
    assert plan.verdict.word == "SAFE"
    assert "along the way from one to the next" in plan.verdict.text
    assert "SAFE." in day_plan_document(plan, "REG-20", TODAY).html


def test_the_order_that_is_proven_is_printed_for_everyone_and_everything(plan: DayPlan) -> None:
    """Every visit stands in the order of a chair, every load of cassettes in that of the washer; hours only go up."""
    assert all(
        list(lines) == sorted(lines) for order in plan.orders if (lines := [each.begins for each in order.lines])
    )
    chairs = [line for order in plan.orders if order.title.startswith("Dental unit") for line in order.lines]
    assert len(chairs) == len(plan.made.day.bookings)
    washed = [line.what for order in plan.orders if order.title.startswith("Washer") for line in order.lines]
    assert washed == [f"SOP-11 load {number}, all steps" for number in range(1, len(washed) + 1)]
    assert [order.person for order in plan.orders] == sorted((order.person for order in plan.orders), reverse=True)
    assert {order.title for order in plan.orders if order.person} >= {"Dentist", "Dental assistant, no. 1"}
    # Whoever puts packs away cleans their own hands.
    titles = {each.id: each.title for each in plan.made.office.procedures.values()}
    for order in plan.orders:  # every number is explained over the table that uses it, and no other is
        said = " ".join(part for line in order.lines for part in (line.what, *line.waits))
        used = set(re.findall(r"SOP-\d+[A-Z]?", said))
        assert sorted(order.key) == sorted(f"{number} {titles[number]}" for number in used)
    assert not any("SOP-28" in line.what for order in plan.orders if order.title == "Dentist" for line in order.lines)


@pytest.mark.parametrize(
    ("caseload", "changes", "word", "what"),
    [
        (QUIET, (), "SAFE", "an order of work"),
        (LATE, (), "CONFLICT", "cannot keep up"),
        (QUIET.replace("08:40", "08:05"), TWO_CHAIRS, "CONFLICT", "cannot all begin"),
        (SIX, ONE_ASSISTANT, "UNDECIDED", "in the best order found"),
    ],
)
def test_the_three_verdicts(caseload: str, changes: tuple[tuple[str, str], ...], word: str, what: str) -> None:
    """Shown to fit; too much for a machine, or for the one dentist; refused by no sum and kept by no plan."""
    made = small_office(caseload, *changes)
    plan = day_plan(made, made.caseloads["day"], runs=2)
    assert plan is not None
    assert plan.verdict.word == word
    assert what in plan.verdict.text
    assert bool(plan.verdict.reasons) is (word == "CONFLICT")
    assert bool(plan.orders) is (word == "SAFE")
    assert f"{word}." in in_words(plan)
    assert f"<strong>{word}.</strong>" in day_plan_document(plan, "REG-20", TODAY).html


def test_it_says_with_how_many_sets_the_day_ends(demo: Office, plan: DayPlan) -> None:
    """One that is done by closing ends as it began; one that is finished the next morning says what is short."""
    assert "fewer are: 12 of 16 × Instrument cassette" in plan.verdict.text
    assert "follow each other so from Monday to Thursday" in plan.verdict.text
    other = day_plan(demo, demo.caseloads["thursday"], runs=2)
    assert other is not None
    assert other.verdict.text.endswith("The day begins with every set ready, and ends so.")


def test_what_is_away_is_what_the_day_took_and_did_not_put_back(demo: Office) -> None:
    """At most as much as the simulator counts itself; nothing before the first visit, nothing when all is done."""
    for caseload in demo.caseloads.values():
        made = office_day(demo, caseload)
        assert made is not None
        own = replace(made, day=replace(made.day, bookings=made.day.bookings[: made.day.own], own=None))
        run = simulate(own.day, longest)
        moments = {moment for job in run.jobs for moment in (*job.starts, *job.ends)}
        counts = [away_at(own, run, moment) for moment in sorted(moments)]
        assert {name: max(each.get(name, 0) for each in counts) for name in run.peaks} == dict(run.peaks)
        assert away_at(own, run, 0) == away_at(own, run, run.end) == {}


def test_each_limit_along_the_way_is_printed_with_what_is_promised_and_allowed(plan: DayPlan) -> None:
    """What the order of work promises is no less than the quickest way, and no more than the circuit allows."""
    page = day_plan_page(plan, "REG-20", TODAY)
    (table,) = next(section for section in page.sections if section.heading == "Limits along the way").tables
    assert len(table.rows) == sum(len(each.way_limits) for each in plan.made.office.circuits.values()) > 3
    assert {row[-1].text for row in table.rows} == {"kept"}
    for each in plan.limits:
        assert each.worst is not None
        assert each.limit.most is not None
        assert 0 < each.earliest <= each.worst <= each.limit.most.ticks()


def test_a_limit_along_the_way_stands_on_both_pages_it_binds(demo: Office) -> None:
    """At the step itself with a box for the hour, and among the time limits of the page where the clock begins."""
    pages = {name: sop_page(demo, demo.procedures[name], TODAY) for name in ("transport", "washer_cleaning")}
    orders = {name: [row.order.replace(NBSP, " ") for row in page.limits] for name, page in pages.items()}
    number = {name: demo.procedures[name].id for name in pages}
    assert any(f"within 4 h after step 5 of {number['transport']} ends" in each for each in orders["washer_cleaning"])
    assert any(f"of {number['washer_cleaning']} within 4 h after step 5 ends" in each for each in orders["transport"])
    assert "Start by" in sop_document(demo, demo.procedures["washer_cleaning"], TODAY).html
    begins = sop_document(demo, demo.procedures["transport"], TODAY).html.replace(NBSP, " ")
    assert f"(the limit of step 5 of {number['washer_cleaning']} counts from here)" in begins  # a box for its hour


def test_the_same_seed_prints_the_same_bytes(demo: Office, plan: DayPlan) -> None:
    again = day_plan(demo, plan.made.caseload, runs=60)
    assert again is not None
    pages = [day_plan_document(each, "REG-20", TODAY) for each in (plan, again)]
    assert pages[0] == pages[1]
    assert write_pdf(pages[0].html, {}, TODAY) == write_pdf(pages[1].html, {}, TODAY)
    other = day_plan(demo, plan.made.caseload, runs=60, seed=2)
    assert other is not None
    assert day_plan_document(other, "REG-20", TODAY).source != pages[0].source


def test_every_caseload_is_bound_behind_the_registers(demo: Office) -> None:
    documents = binder_documents(demo, TODAY)
    titles = [f"Day plan: {each.title}" for each in demo.caseloads.values()]
    assert [each.title for each in documents[-len(titles) :]] == titles
    assert len({each.id for each in documents}) == len(documents)


def test_an_office_without_a_caseload_binds_none(office: Office) -> None:
    assert not any(each.title.startswith("Day plan") for each in binder_documents(office, TODAY))


def test_too_few_sets_are_said_with_the_number_to_own(demo: Office) -> None:
    items = {**demo.items, "handpiece": replace(demo.items["handpiece"], count=2)}
    short = replace(demo, items=items)
    made = day_plan(short, next(iter(short.caseloads.values())), runs=30)
    assert made is not None
    assert re.search(r"Handpiece or motor.*  2  own \d+: too few on 30 of 30 days", in_words(made))


def test_the_chart_is_sound_and_black_and_white() -> None:
    lanes = (
        Lane(
            "Steam sterilizer", False, (Bar(8 * 3600, 9 * 3600, Fill.MACHINE), Bar(9 * 3600, 9 * 3600 + 600, Fill.HELD))
        ),
        Lane("An assistant with a very long title indeed, no. 2", True, (Bar(8 * 3600, 8 * 3600 + 60, Fill.HANDS),)),
    )
    svg = day_chart(lanes, 8 * 3600, 17 * 3600, NO_NIGHT, "A day <&>")
    root = ElementTree.fromstring(svg)
    assert len(root.findall("{http://www.w3.org/2000/svg}text")) == 10 + 2 + 4
    assert set(re.findall(r"#[0-9a-f]{3,6}\b", svg)) == {"#000", "#fff"}
    assert "…, no. 2</text>" in svg
    assert day_chart((), 0, 0, NO_NIGHT, "") == ""


def test_lanes_never_overlap(plan: DayPlan) -> None:
    for lane in plan.lanes:
        bars = sorted(lane.bars, key=lambda bar: bar.start)
        assert all(one.end <= two.start for one, two in pairwise(bars))


def test_every_row_of_the_terminal_chart_is_as_long_as_the_day(plan: DayPlan) -> None:
    rows = [line for line in in_words(plan).split("\n") if line.endswith("|")]
    assert len(rows) == len(plan.lanes)
    assert len({len(row) for row in rows}) == 1
