"""Text measured by our own metrics is as wide as it is printed, and breaks where a reader expects it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sopc.render import fonts
from sopc.render.fonts import Weight


def test_width_is_the_sum_of_the_advances_in_the_font_file() -> None:
    from fontTools.ttLib import TTFont

    with TTFont(fonts.folder() / "SourceSansPro-Semibold.ttf") as font:
        names = font.getBestCmap()
        units = sum(font["hmtx"][names[ord(letter)]][0] for letter in "Lid on, 4 min")
        em = font["head"].unitsPerEm
    assert fonts.text_width("Lid on, 4 min", 26, Weight.SEMIBOLD) == pytest.approx(units / em * 26)


@pytest.mark.parametrize("weight", list(Weight))
def test_capitals_and_small_letters_have_the_heights_of_a_legible_sans(weight: Weight) -> None:
    assert 0.6 < fonts.cap_height_ratio(weight) < 0.75
    assert 0.45 < fonts.x_height_ratio(weight) < 0.56


def test_text_printed_in_a_pdf_is_no_wider_than_measured() -> None:
    from datetime import date

    import pypdfium2

    from sopc.render.pdf import write_pdf

    words = "AVATAR Wipe Tray To.y 1.45 ff"
    html = (
        f"<html lang=en><head><title>t</title><style>{fonts.font_face_css()} @page {{ size: 1000pt; margin: 0 }} "
        f"body {{ margin: 0; font: 40pt '{fonts.FAMILY}' }}</style></head><body><span>{words}</span></body></html>"
    )
    document = pypdfium2.PdfDocument(write_pdf(html, {}, date(2026, 12, 1)))
    page = document[0].get_textpage()
    right = max(page.get_charbox(index)[2] for index in range(page.count_chars()))
    assert right <= fonts.text_width(words, 40) + 1
    assert right > 0.93 * fonts.text_width(words, 40)


def test_a_number_is_never_parted_from_its_unit() -> None:
    lines = fonts.wrap("Hold at 134\u00a0\u00b0C for 4\u00a0min and wait", 26, Weight.REGULAR, 120)
    assert any("134\u00a0\u00b0C" in line for line in lines)
    assert any("4\u00a0min" in line for line in lines)


def test_a_word_broader_than_the_line_is_cut_only_as_a_last_resort() -> None:
    lines = fonts.wrap("in ultrasoniccleaningbath", 26, Weight.REGULAR, 120)
    assert lines[0] == "in"
    assert "".join(lines[1:]) == "ultrasoniccleaningbath"


def test_a_line_break_in_the_text_is_kept() -> None:
    assert fonts.wrap("one\ntwo", 10, Weight.REGULAR, 500) == ["one", "two"]


@given(st.text(alphabet="abc -/\u00a0\u4e2d", max_size=60), st.floats(20, 200))
def test_no_line_is_wider_than_asked_and_no_letter_is_lost(text: str, width: float) -> None:
    lines = fonts.wrap(text, 12, Weight.BOLD, width)
    assert all(fonts.text_width(line, 12, Weight.BOLD) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@given(st.lists(st.sampled_from(("dry", "the", "instruments", "on", "racks")), min_size=1, max_size=12))
def test_balanced_lines_are_as_few_as_greedy_ones(words: list[str]) -> None:
    text = " ".join(words)
    greedy = fonts.wrap(text, 12, Weight.BOLD, 150)
    even = fonts.balanced(text, 12, Weight.BOLD, 150)
    assert len(even) == len(greedy)
    assert " ".join(even) == text


def test_only_bundled_font_files_are_handed_out() -> None:
    with pytest.raises(KeyError):
        fonts.font_bytes("../LICENSE.txt")
