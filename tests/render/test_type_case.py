"""What pages share while they are set changes none of them, and leaves nothing behind in the temporary folder."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from sopc.render import fonts, setters
from sopc.render.drawings import drawings_apart
from sopc.render.job import Job, RenderError
from sopc.render.pdf import write_pdf
from sopc.render.pool import render_all
from sopc.render.type_case import TypeCase, style_apart, type_case

ROOT = Path(__file__).resolve().parent.parent.parent
DAY = date(2026, 12, 1)


def _line(number: int) -> str:
    place = f'x="{20 + number}" y="{20 * number + 20}"' + (' text-anchor="middle"' if number % 2 else "")
    weight = 700 if number % 2 else 400
    return (
        f'<text {place} font-size="{9 + number % 3}" font-weight="{weight}">Rinse, dry &amp; look: {number} × AVAWATo'
        f'</text><path d="M0 {20 * number + 24}H180" stroke="#000"/>'
    )


SVG = (
    f'<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="90mm" viewBox="0 0 198 255" '
    f'font-family="{fonts.FAMILY}" role="img"><title>Drawn lines</title>{"".join(map(_line, range(12)))}</svg>'
)


def _page(inside: str, italic: bool = False, style: str = "") -> str:
    return (
        f"<!DOCTYPE html><html lang=en><head><title>Sheet</title><style>{fonts.font_face_css(italic)} "
        f"body {{ font-family: '{fonts.FAMILY}' }} svg {{ display: block; margin-left: 5mm }} {style}</style></head>"
        f"<body><h1>One</h1>{inside}</body></html>"
    )


PAGES = [_page(SVG), _page("<p>Text <i>slanted</i></p>"), _page("<p>Text <i>slanted</i></p>", italic=True),
         _page(SVG + SVG, style="h1 { font-size: 30pt }")]  # fmt: skip


def _pixels(pdf: bytes) -> np.ndarray:
    return np.array(pypdfium2.PdfDocument(pdf)[0].render(scale=2, grayscale=True).to_numpy())


def test_page_is_the_same_whatever_was_set_before_it() -> None:
    alone = [write_pdf(page, {}, DAY) for page in PAGES]
    with type_case() as case:
        there = [write_pdf(page, {}, DAY, case=case) for page in PAGES]
        back = [write_pdf(page, {}, DAY, case=case) for page in reversed(PAGES)]
    assert alone == there == back[::-1]


def test_letters_kept_are_drawn_as_letters_shaped_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = write_pdf(PAGES[3], {}, DAY)

    @contextmanager
    def without(case: TypeCase, faces: object) -> Iterator[None]:
        yield

    monkeypatch.setattr(TypeCase, "letters", without)
    assert write_pdf(PAGES[3], {}, DAY) == kept


def test_each_letter_is_shaped_once(monkeypatch: pytest.MonkeyPatch) -> None:
    from weasyprint.text import line_break

    shaped: list[str] = []
    usual = line_break.split_first_line

    def counted(text: str, *more: object) -> object:
        shaped.append(text)
        return usual(text, *more)

    monkeypatch.setattr(line_break, "split_first_line", counted)
    with type_case() as case:
        write_pdf(PAGES[0], {}, DAY, case=case)
        first = [text for text in shaped if len(text) == 1]
        write_pdf(PAGES[3], {}, DAY, case=case)
    assert first
    assert [text for text in shaped if len(text) == 1] == first
    assert line_break.split_first_line is counted


def test_layout_engine_is_given_back_as_it_was() -> None:
    from weasyprint.text import line_break

    before = line_break.split_first_line
    write_pdf(PAGES[0], {}, DAY)
    assert line_break.split_first_line is before


def test_drawing_beside_the_page_looks_as_it_does_within() -> None:
    import weasyprint

    text, drawings = drawings_apart(PAGES[0])
    assert len(drawings) == 1
    assert "AVAWA" not in text
    usual = PAGES[0].replace("font:", f"file://{fonts.folder()}/")
    within = weasyprint.HTML(string=usual).write_pdf(pdf_variant="pdf/ua-1")
    assert np.abs(_pixels(write_pdf(PAGES[0], {}, DAY)).astype(int) - _pixels(within)).max() <= 2


def test_drawing_keeps_its_words_for_those_who_hear_it() -> None:
    import pikepdf

    pdf = write_pdf(PAGES[0], {}, DAY)
    with pikepdf.open(BytesIO(pdf)) as document:
        told = [str(each.Alt) for each in document.objects if isinstance(each, pikepdf.Dictionary) and "/Alt" in each]
    assert told == ["Drawn lines"]
    assert "Rinse, dry & look: 7" in pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range()


@pytest.mark.parametrize(
    "svg",
    [
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>Small</title><path d="M0 0H9"/></svg>',
        SVG.replace("&amp;", "&nbsp;"),
        SVG.replace(' xmlns="http://www.w3.org/2000/svg"', ""),
        SVG.replace(' viewBox="0 0 198 255"', ""),
    ],
)
def test_small_or_odd_drawings_stay_in_the_page(svg: str) -> None:
    assert drawings_apart(_page(svg)) == (_page(svg), {})


def test_style_is_taken_from_the_page_whole() -> None:
    text, style = style_apart("<head><style>a { b: c }</style><style>d { e: f }</style></head><p style='g: h'>x</p>")
    assert (text, style) == ("<head></head><p style='g: h'>x</p>", "a { b: c }\nd { e: f }")


def test_complaints_about_a_style_sheet_are_told_for_each_page_that_has_it() -> None:
    odd = _page("<p>x</p>", style="p { colour: red }")
    told: list[list[str]] = [[], []]
    with type_case() as case:
        for complaints in told:
            write_pdf(odd, {}, DAY, warn=complaints.append, case=case)
    assert told[0] == told[1]
    assert sum("colour" in text for text in told[0]) == 1


# ── Nothing is left behind ──────────────────────────────────────────────────────────────────────

JOBS = [Job(f"SOP-{number:02d}", _page(f"<p>{number}</p>{SVG}"), DAY) for number in range(4)]


@pytest.fixture
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize("workers", [1, 2])
def test_no_folder_is_left_after_the_pages(temporary: Path, workers: int) -> None:
    render_all(JOBS, workers=workers)
    assert list(temporary.iterdir()) == []


def test_no_folder_is_left_after_one_page(temporary: Path) -> None:
    write_pdf(PAGES[0], {}, DAY)
    assert list(temporary.iterdir()) == []


@pytest.mark.parametrize("workers", [1, 2])
def test_no_folder_is_left_after_a_page_that_fails(temporary: Path, workers: int) -> None:
    bad = Job("SOP-66", _page('<img alt="x" src="http://127.0.0.1:9/">'), DAY)
    with pytest.raises(RenderError, match="SOP-66"):
        render_all([*JOBS, bad], workers=workers)
    assert list(temporary.iterdir()) == []


def test_no_folder_is_left_when_a_process_is_killed(temporary: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def killed(job: Job, case: TypeCase) -> object:
        case.sheet(style_apart(job.html)[1], None)
        os.kill(os.getpid(), signal.SIGKILL)
        return None

    monkeypatch.setattr(setters, "_answer", killed)
    with pytest.raises(RenderError, match="died"):
        render_all(JOBS, workers=2)
    assert list(temporary.iterdir()) == []


@pytest.mark.parametrize(
    ("how", "workers"),
    [
        (signal.SIGINT, "2"),
        (signal.SIGTERM, "1"),
        (signal.SIGKILL, "2"),  # with one process nothing is left that could tidy up
        pytest.param(signal.SIGINT, "1", marks=pytest.mark.long),
        pytest.param(signal.SIGTERM, "2", marks=pytest.mark.long),
    ],
)
def test_no_folder_is_left_when_a_build_is_stopped(tmp_path: Path, how: signal.Signals, workers: str) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    command = [sys.executable, "-m", "sopc", "build", str(ROOT / "protocols" / "starter"), "--only", "binder",
               "--out", str(tmp_path / "out"), "--workers", workers]  # fmt: skip
    build = subprocess.Popen(command, env={**os.environ, "TMPDIR": str(temporary)}, stderr=subprocess.DEVNULL)
    _wait_until(lambda: any(each.is_file() for each in temporary.glob("sopc-type-*/**/*")) or build.poll() is not None)
    build.send_signal(how)
    status = build.wait()
    assert status == (-how if how == signal.SIGKILL else 2)
    _wait_until(lambda: not list(temporary.iterdir()), lambda: sorted(map(str, temporary.rglob("*"))))
    assert sorted(each.name for each in (tmp_path / "out").glob("[!.]*")) == []


def _wait_until(condition: Callable[[], bool], seen: Callable[[], object] = lambda: None) -> None:
    """Look again and again; a condition that never comes true fails the test after two minutes."""
    for _ in range(2400):
        if condition():
            return
        time.sleep(0.05)
    raise AssertionError(f"never came true: {seen()}")
