"""No page is left to a single row, to a list of changes or to an end mark; people carry pages of their own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

import sopc
from sopc.documents.flow_room import changes_find_room
from sopc.documents.register import Cell, Plan, Section, plain_table, register_document
from sopc.documents.sop import sop_document
from sopc.documents.sop_model import ChangeRow
from sopc.model.nouns import Office
from sopc.press.compose import compose
from sopc.press.order import Order
from sopc.render.pdf import write_pdf

TODAY = date(2026, 12, 2)
DEMO = Path(sopc.__file__).resolve().parents[1] / "protocols" / "larkspur_pass" / "2026-12"
HEAD_MM, FOOT_MM = 27, 23


def _texts(html: str) -> list[str]:
    pdf = pypdfium2.PdfDocument(write_pdf(html, {}, TODAY, tagged=False))
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf]


def _filled(page: pypdfium2.PdfPage) -> float:
    """How far down the ink between head and foot reaches, as a share of the height there."""
    image = page.render(scale=0.5).to_pil().convert("L")
    mm = image.height / (page.get_height() / 72 * 25.4)
    body = image.crop((0, int(HEAD_MM * mm), image.width, image.height - int(FOOT_MM * mm)))
    ink = body.point(lambda grey: 255 if grey < 160 else 0).getbbox()
    return ink[3] / body.height if ink else 0.0


def _rows_on_pages(office: Office, count: int) -> list[int]:
    rows = [(Cell(f"Row{number}"), Cell("words")) for number in range(count)]
    plan = Plan("x", "Rows", "", (Section("", tables=(plain_table((("A", "30%"), ("B", "")), rows),)),))
    return [
        text.count("Row") - text.count("Rows") for text in _texts(register_document(office, plan, "R-1", TODAY).html)
    ]


def test_no_row_of_a_table_is_left_alone_on_the_last_page(office: Office) -> None:
    full = _rows_on_pages(office, 60)[0]
    assert _rows_on_pages(office, full + 1) == [full - 3, 4]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_changes_and_end_mark_stand_under_the_flowchart_when_there_is_room(office: Office, paper: str) -> None:
    sized = replace(office, premises=replace(office.premises, paper=paper))
    procedure = office.procedures["reprocess"]
    rows = [ChangeRow("1", "1 Dec 2026", past.what) for past in procedure.history]

    def chart(height: int) -> str:
        return f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="{height}mm"><title>x</title></svg>'

    tallest = max(height for height in range(60, 250) if changes_find_room([chart(height)], rows, paper))
    assert tallest > 120
    last = _texts(sop_document(sized, procedure, TODAY, (chart(tallest),)).html)[-1]
    for part in ("Flowchart", "Changes", "END OF"):
        assert part in last
    taller = _texts(sop_document(sized, procedure, TODAY, (chart(tallest + 1),)).html)
    assert "Changes" not in taller[-1]


@pytest.mark.long
def test_no_page_of_the_demo_binder_is_nearly_empty(tmp_path: Path) -> None:
    office, _ = sopc.load(DEMO)
    assert office is not None
    order = Order(office, DEMO, tmp_path, "x", TODAY, TODAY, TODAY, frozenset({"binder"}))
    papers, _ = compose(order, None, None)
    pdf = pypdfium2.PdfDocument(next(paper.data for paper in papers if paper.path == "binder.pdf"))
    low = [number for number, page in enumerate(pdf, 1) if _filled(page) < 0.15]
    assert low == []
