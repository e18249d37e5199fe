"""The change report: old beside new, for the approver, the binder and the people, on paper and in a terminal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from sopc.changes.report import change_report
from sopc.documents.change_report import ChangeReport, pieces, report_html, terminal_text
from sopc.model.nouns import Office
from sopc.render.pdf import write_pdf

TODAY = date(2026, 12, 1)


@pytest.fixture(scope="module")
def report(office: Office, edited: Callable[..., Office]) -> ChangeReport:
    """One of each sort: loosened, tightened, reworded, moved, added, removed, a supply, a log, a revision."""
    changed = edited(
        ("revision 3 effective 2026-12-01", "revision 4 effective 2027-01-04"),
        ("starts within 60 min after", "starts within 90 min after"),
        ("takes at least 20 s", "takes at least 30 s"),
        ('"Pack the cassette in a pouch"', '"Put the cassette in a pouch"'),
        ('  step cool "Let', '  step wait "Wait for the signal" { in ster takes 1 to 2 min }\n  step cool "Let'),
        ("use within 8 h", "use within 6 h"),
        ('  column who "Initials" initials\n', ""),
    )
    return change_report(office, changed, "September", "December", TODAY)


def test_the_terminal_text_is_as_read(report: ChangeReport, snapshot: SnapshotAssertion) -> None:
    assert terminal_text(report, 88) == snapshot


@pytest.mark.parametrize("width", [80, 88, 100])
def test_the_terminal_text_keeps_to_its_width(report: ChangeReport, width: int) -> None:
    assert max(map(len, terminal_text(report, width).splitlines())) <= width


def test_emphasis_only_where_asked_for(report: ChangeReport) -> None:
    assert "\x1b" not in terminal_text(report)
    assert "\x1b[1m" in terminal_text(report, color=True)


def test_the_paper_says_what_the_terminal_says(report: ChangeReport) -> None:
    pdf = pypdfium2.PdfDocument(write_pdf(report_html(report), {}, TODAY))
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in pdf).split())
    assert "From September to December." in text
    assert "Loosened: the approver must look at these" in text
    assert "60 min" in text
    assert "90 min" in text
    assert "Papers to swap" in text
    assert "Approved by (Dentist)" in text
    assert "read and sign: " in text
    assert "office.sop, line" in text
    assert "procedures.sop, line" in text
    assert "FOR APPROVAL" in text
    assert "END OF CHG" in text


def test_no_difference_makes_a_report_that_says_so(office: Office) -> None:
    empty = change_report(office, office, "one", "the other", TODAY)
    assert empty.counts == "No change."
    assert "No change." in terminal_text(empty)
    assert "No change." in report_html(empty)


def test_marked_words_are_those_the_other_side_lacks() -> None:
    old, new = pieces("Start within 60 min", "Start within 90 min")
    assert [piece.text for piece in old if piece.other] == ["60"]
    assert [piece.text for piece in new if piece.other] == ["90"]


WORDS = st.lists(st.sampled_from(["put", "the", "lid", "on", "bath", "not", "5", "min", "gloves"]), max_size=30).map(
    " ".join
)


@given(WORDS, WORDS)
def test_each_side_keeps_all_its_words(old: str, new: str) -> None:
    left, right = pieces(old, new)
    assert " ".join(piece.text for piece in left) == old
    assert " ".join(piece.text for piece in right) == new
