"""What a log sheet promises the person with the pen: the right days, room to write, and nothing left to guess."""

from __future__ import annotations

import calendar
import re
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import pypdfium2
import pytest
from dateutil.rrule import MO, WEEKLY, rrule
from hypothesis import given
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

import sopc
from sopc.documents.log_drawing import hatch_lines
from sopc.documents.log_grid import ROW_CLOSED, ROW_FLOOR, Cell, Lane, Room, head_lines, lane_floor, text_box
from sopc.documents.log_periods import period_from, periods, weeks_of
from sopc.documents.log_room import NoRoom, no_room
from sopc.documents.log_tables import tables_of
from sopc.documents.logs import LogDocument, log_documents
from sopc.model.nouns import Office
from sopc.render.pdf import pages, write_pdf

TODAY = date(2026, 12, 1)
DECEMBER = (date(2026, 12, 1), date(2026, 12, 31))
PAPERS = ("a4", "letter")


@lru_cache(maxsize=2)
def office_on(paper: str) -> Office:
    made, findings = sopc.load(Path(__file__).parent / "log_office")
    assert made is not None, findings
    return replace(made, premises=replace(made.premises, paper=paper))


@lru_cache(maxsize=4)
def december(paper: str) -> dict[str, LogDocument]:
    made = log_documents(office_on(paper), *DECEMBER, TODAY)
    return {document.name: document for document in made if isinstance(document, LogDocument)}


def labels(document: LogDocument) -> list[str]:
    return [line.label.replace("\u00a0", " ") for sheet in document.sheets for line in sheet.leaf.lines]


def test_a_month_by_rows_has_every_day_with_its_weekday() -> None:
    last = calendar.monthrange(2026, 12)[1]
    expected = [f"{date(2026, 12, day):%a} {day} Dec" for day in range(1, last + 1)]
    assert labels(december("letter")["bath_log"]) == expected


@pytest.mark.parametrize("paper", PAPERS)
def test_a_month_by_rows_fits_on_one_leaf(paper: str) -> None:
    assert len(december(paper)["bath_log"].sheets) == 1


def test_closed_days_say_why_and_take_no_entry() -> None:
    closed = {
        line.label.replace("\u00a0", " "): line.closed
        for line in december("letter")["bath_log"].sheets[0].leaf.lines
        if line.closed
    }
    assert closed["Thu 24 Dec"] == "winter break"
    assert closed["Sat 5 Dec"] == "not an office day"
    assert "Mon 7 Dec" not in closed


def test_a_task_moved_off_a_closed_day_says_where_it_comes_from() -> None:
    sheets = december("letter")["duties"].sheets
    marks = [
        (line.label, lane.date_label[1], mark)
        for sheet in sheets
        for line in sheet.leaf.lines
        for lane, mark in zip(sheet.leaf.lanes, line.marks, strict=True)
        if mark
    ]
    assert marks == [("Clean the suction traps and change the filters", "23", "from Thu\u00a024")]


def test_boxes_are_open_on_due_days_only() -> None:
    office = office_on("letter")
    table = tables_of(office, office.logs["duties"], None, period_from("monthly", TODAY))[0]
    line = next(line for line in table.lines if line.label == "Run the eyewash")
    due = [int(lane.date_label[1]) for lane, cell in zip(table.lanes, line.cells, strict=True) if cell is Cell.OPEN]
    mondays = rrule(WEEKLY, dtstart=TODAY, until=DECEMBER[1], byweekday=MO)
    assert due == [moment.day for moment in mondays if moment.day < 24]


def test_a_month_by_columns_is_cut_after_the_16th() -> None:
    first, second = december("a4")["duties"].sheets
    assert [lane.date_label[1] for lane in first.leaf.lanes] == [str(day) for day in range(1, 17)]
    assert [lane.date_label[1] for lane in second.leaf.lanes] == [str(day) for day in range(17, 32)]


def test_numbered_rows_run_on_over_the_leaves_of_each_device() -> None:
    sheets = december("letter")["loads"].sheets
    for device in ("Steam sterilizer A · serial number SN 4411", "Steam sterilizer B · serial number SN 4412"):
        rows = [line.label for sheet in sheets if sheet.device == device for line in sheet.leaf.lines]
        assert rows == [str(number) for number in range(1, 61)]


@pytest.mark.parametrize("paper", PAPERS)
def test_every_sheet_has_an_id_of_its_own(paper: str) -> None:
    ids = [sheet.id for document in december(paper).values() for sheet in document.sheets]
    assert len(set(ids)) == len(ids)
    assert "F-03 · 2026-12 · sheet 1 of 2" in ids


LEAST = {"Initials": 12.0, "Start": 18.0, "Time": 16.0, "Temperature": 18.0, "Date": 25.0, "Remarks": 30.0}


@pytest.mark.parametrize("paper", PAPERS)
def test_there_is_room_for_the_pen(paper: str) -> None:
    for document in december(paper).values():
        for sheet in document.sheets:
            for lane, width in zip(sheet.leaf.lanes, sheet.leaf.widths, strict=True):
                least = 6.6 if lane.closed else LEAST.get(lane.title, 8.0)
                assert width >= least, (document.id, lane.title)
            for line, height in zip(sheet.leaf.lines, sheet.leaf.heights, strict=True):
                assert height >= (ROW_CLOSED if line.closed else ROW_FLOOR), (document.id, line.label)


@pytest.mark.parametrize("paper", PAPERS)
def test_no_grid_is_wider_or_higher_than_its_leaf(paper: str) -> None:
    for document in december(paper).values():
        for sheet in document.sheets:
            width, height = text_box(paper, sheet.leaf.portrait)
            assert sheet.leaf.width <= width + 0.01, document.id
            assert sheet.leaf.height <= height - 40, document.id


def test_a_log_too_wide_for_its_paper_is_told_so() -> None:
    office = office_on("letter")
    log = office.logs["loads"]
    many = tuple(replace(log.columns[0], name=f"day{number}") for number in range(12))
    wide = replace(office, logs={"loads": replace(log, columns=many)})
    (answer,) = log_documents(wide, *DECEMBER, TODAY)
    assert isinstance(answer, NoRoom)
    assert answer.wide.needed > answer.wide.available
    assert answer == no_room(wide, wide.logs["loads"], *DECEMBER)
    assert no_room(office, log, *DECEMBER) is None
    assert "make two logs" in answer.fix


def test_the_last_day_may_not_come_first() -> None:
    with pytest.raises(ValueError, match="before the first"):
        log_documents(office_on("letter"), DECEMBER[1], DECEMBER[0], TODAY)


def test_a_daily_sheet_is_printed_for_open_days_only() -> None:
    days = [sheet.period for sheet in december("letter")["opening"].sheets]
    assert len(days) == 14
    assert not any("24\u00a0Dec" in day for day in days)


def test_the_same_question_gives_the_same_sheets() -> None:
    first, second = (log_documents(office_on("a4"), *DECEMBER, TODAY) for _ in range(2))
    assert first == second


# ── Periods ─────────────────────────────────────────────────────────────────────────────────────

KINDS = ("daily", "weekly", "monthly", "quarterly", "yearly")
DAYS = st.dates(date(2000, 1, 1), date(2090, 1, 1))


@given(st.sampled_from(KINDS), DAYS, st.integers(0, 400))
def test_periods_follow_on_each_other_and_cover_the_days_asked_for(kind: str, first: date, length: int) -> None:
    last = first + timedelta(days=length)
    found = periods(kind, first, last)
    assert found[0].first <= first
    assert last <= found[-1].last
    for one, two in pairwise(found):
        assert one.last + timedelta(days=1) == two.first
    assert len({period.code for period in found}) == len(found)


@given(st.sampled_from(("monthly", "quarterly", "yearly")), DAYS)
def test_every_week_stands_on_exactly_one_sheet(kind: str, day: date) -> None:
    run = periods(kind, day, day + timedelta(days=400))
    weeks = [week for period in run for week in weeks_of(period)]
    assert len(set(weeks)) == len(weeks)
    assert all(monday.weekday() == 0 for monday, _ in weeks)
    for (one, _), (two, _) in pairwise(weeks):
        assert two - one == timedelta(days=7)


@given(DAYS)
def test_a_week_bears_its_iso_number(day: date) -> None:
    (week,) = periods("weekly", day, day)
    assert week.code == f"{day:%G-W%V}"


@given(DAYS)
def test_a_month_ends_where_the_calendar_says(day: date) -> None:
    (month,) = periods("monthly", day, day)
    assert month.last.day == calendar.monthrange(day.year, day.month)[1]


# ── Drawing ─────────────────────────────────────────────────────────────────────────────────────

LENGTHS = st.floats(1, 200)


@given(LENGTHS, LENGTHS, LENGTHS, LENGTHS)
def test_hatching_stays_inside_its_box(x: float, y: float, width: float, height: float) -> None:
    for line in hatch_lines(x, y, width, height):
        ends = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", line)]
        assert all(x - 0.02 <= value <= x + width + 0.02 for value in ends[0::2])
        assert all(y - 0.02 <= value <= y + height + 0.02 for value in ends[1::2])
        assert abs((ends[2] - ends[0]) + (ends[3] - ends[1])) < 0.03  # 45 degrees


# ── On paper ────────────────────────────────────────────────────────────────────────────────────


def text_of(document: LogDocument) -> list[str]:
    data = write_pdf(document.html, document.assets, TODAY)
    assert pages(data) == len(document.sheets)
    pdf = pypdfium2.PdfDocument(data)
    return [" ".join(pdf[number].get_textpage().get_text_range().split()) for number in range(len(pdf))]


@pytest.mark.parametrize("name", ["loads", "duties", "spore"])
@pytest.mark.parametrize("paper", PAPERS)
def test_each_page_can_be_told_from_every_other(paper: str, name: str) -> None:
    document = december(paper)[name]
    for sheet, text in zip(document.sheets, text_of(document), strict=True):
        assert sheet.id in text
        assert f"Page {sheet.page} of {sheet.pages}" in text
        assert "Revision" in text
        assert "effective 1 Dec 2026" in text
        assert "Owner: Infection-control coordinator" in text
        assert "check the edition before use." in text


def test_the_sheet_says_what_is_accepted_and_what_to_do_if_not() -> None:
    text = text_of(december("letter")["loads"])[0]
    assert "132–137 °C" in text
    assert "Within limits?" in text
    assert "Put it aside with the tag HOLD" in text
    assert "One line through it" in text
    assert "Keep the filled sheet 3 years." in text
    assert "Reviewed by" in text


@pytest.mark.parametrize("name", ["bath_log", "week", "year"])
def test_a_page_model_is_as_read(name: str, snapshot: SnapshotAssertion) -> None:
    document = december("letter")[name]
    told = [
        {
            "id": sheet.id,
            "device": sheet.device,
            "period": sheet.period,
            "legend": sheet.legend,
            "columns": [f"{lane.title or lane.date_label} {lane.details}" for lane in sheet.leaf.lanes],
            "rows": [
                " | ".join((line.label, "; ".join(line.under), line.closed, " ".join(line.cells), "".join(line.marks)))
                for line in sheet.leaf.lines
            ],
        }
        for sheet in document.sheets[:2]
    ]
    assert told == snapshot


def test_no_word_of_a_head_is_cut_where_the_column_is_as_wide_as_it() -> None:
    for title in ("Walls, dates (monthly)", "Sterilizer", "Temperature"):
        lane = Lane(title, want=8.0, floor=8.0)
        shown = " ".join(text for text, _ in head_lines(lane, lane_floor(lane, Room.LEAST)))
        assert shown == title


def test_a_row_of_a_week_says_which_of_several_tasks_is_due() -> None:
    office = office_on("letter")
    log = replace(office.logs["spore"], period="quarterly", row="week")
    spore = office.tasks["spore_a"]
    recorded = replace(spore.records[0], log="spore")
    office = replace(office, tasks={
        "one": replace(spore, name="one", title="Spore test"),
        "two": replace(office.tasks["gasket"], name="two", title="Clean the gaskets", records=(recorded,)),
    })  # fmt: skip
    (table,) = tables_of(office, log, None, period_from("quarterly", date(2026, 10, 1)))
    due = [text.replace("\u00a0", " ") for line in table.lines for text in line.under]
    assert "due Mon 7 Dec: Clean the gaskets" in due
    assert "due Mon 14 Dec: Spore test" in due
    alone = replace(office, tasks={"one": office.tasks["one"]})
    (table,) = tables_of(alone, log, None, period_from("quarterly", date(2026, 10, 1)))
    assert "due Mon 14 Dec" in [text.replace("\u00a0", " ") for line in table.lines for text in line.under]
