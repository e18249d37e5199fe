"""What paper cannot hold is told when the text is checked; no text is taken for narrower than it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sopc.documents import fitting
from sopc.documents.fitting import unprintable
from sopc.documents.log_grid import HEAD_POINTS, MM_PER_POINT, PADDING, mm
from sopc.library import check
from sopc.model.nouns import Office
from sopc.render.fonts import Weight, text_width
from tests.checks.small_offices import TODAY

LETTERS = st.characters(min_codepoint=32, max_codepoint=0x2265)


@given(st.text(LETTERS, max_size=12))
def test_the_estimate_is_never_too_small(text: str) -> None:
    for weight in (Weight.REGULAR, Weight.SEMIBOLD):
        width = text_width(text, HEAD_POINTS, weight) * MM_PER_POINT + 2 * PADDING
        assert fitting._at_most(text) >= width - 1e-9


@pytest.mark.parametrize("letter", [chr(number) for number in range(32, 0x180)])
def test_no_letter_is_wider_than_its_kind(letter: str) -> None:
    for weight in (Weight.REGULAR, Weight.SEMIBOLD):
        assert fitting._at_most(letter) >= mm(letter, HEAD_POINTS, weight) + 2 * PADDING - 1e-9


def readings(office: Office, count: int, title: str = "Reading") -> Office:
    log = office.logs["loads"]
    column = replace(log.columns[0], type="number", title=title, limit=None)
    many = tuple(replace(column, name=f"reading{number}") for number in range(count))
    return replace(office, logs={"loads": replace(log, columns=many)})


def told(office: Office) -> list[str]:
    return [finding.code for finding in unprintable(office, TODAY)]


def test_a_log_is_told_of_from_the_first_column_that_finds_no_room(office: Office) -> None:
    fits = max(count for count in range(1, 30) if not told(readings(office, count)))
    assert 9 <= fits <= 14, "a landscape leaf is some 255 mm wide, a reading takes 18 and more"
    assert told(readings(office, fits + 1)) == ["S27"]


def test_long_words_take_room_too(office: Office) -> None:
    assert told(readings(office, 6, "Zweikammerdruckdifferenzmessung")) == ["S27"]


def test_without_logs_there_is_nothing_to_tell(office: Office) -> None:
    assert told(replace(office, logs={})) == []


def test_whoever_calls_the_library_is_told_as_at_the_command(office: Office) -> None:
    assert "S27" in {finding.code for finding in check(readings(office, 29), TODAY)}
    assert "S27" not in {finding.code for finding in check(office, TODAY)}
