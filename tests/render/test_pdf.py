"""A PDF holds what was handed over and nothing else, and comes out the same each time."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from io import BytesIO

import pikepdf
import pytest

from sopc.render import fonts
from sopc.render.pdf import AssetError, pages, write_pdf

DAY = date(2026, 12, 1)
HTML = (
    f"<!DOCTYPE html><html lang=en><head><title>Sheet</title><style>{fonts.font_face_css()} "
    f"body {{ font-family: '{fonts.FAMILY}' }} h2 {{ break-before: page }}</style></head>"
    "<body><h1>One</h1><p>Text <b>bold</b></p><h2>Two</h2></body></html>"
)


def test_same_page_gives_same_bytes_in_another_process() -> None:
    script = (
        "import sys; from datetime import date; from sopc.render.pdf import write_pdf; "
        "sys.stdout.buffer.write(write_pdf(sys.stdin.read(), {}, date(2026, 12, 1)))"
    )
    other = subprocess.run([sys.executable, "-c", script], input=HTML.encode(), capture_output=True, check=True)
    assert other.stdout == write_pdf(HTML, {}, DAY)


@pytest.mark.parametrize(
    "address",
    [
        "http://127.0.0.1:9/x.png",
        "https://example.org/x.png",
        "file:///etc/hostname",
        "ftp://127.0.0.1/x.png",
        "data:image/png;base64,AAAA",
        "asset:absent.png",
        "font:../LICENSE.txt",
    ],
)
def test_nothing_is_fetched_that_was_not_handed_over(address: str) -> None:
    with pytest.raises(AssetError, match="not handed over"):
        write_pdf(HTML.replace("Text", f'<img alt="x" src="{address}">'), {}, DAY)


def test_style_sheets_cannot_reach_outside_either() -> None:
    with pytest.raises(AssetError):
        write_pdf(HTML.replace("h2 {", "p { background: url(file:///etc/hostname) } h2 {"), {}, DAY)


def test_assets_handed_over_are_used() -> None:
    picture = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'
    page = HTML.replace("Text", '<img alt="black square" src="asset:square.svg">')
    complaints: list[str] = []
    data = write_pdf(page, {"square.svg": picture}, DAY, warn=complaints.append)
    assert complaints == []
    assert data != write_pdf(HTML, {}, DAY)


def test_pages_are_counted() -> None:
    assert pages(write_pdf(HTML, {}, DAY)) == 2


def test_tagged_file_names_its_language_title_and_date() -> None:
    with pikepdf.open(BytesIO(write_pdf(HTML, {}, DAY))) as document:
        assert document.Root.MarkInfo.Marked
        assert str(document.Root.Lang) == "en"
        assert str(document.docinfo["/Title"]) == "Sheet"
        assert "20261201" in str(document.docinfo["/CreationDate"])


def test_only_the_bundled_face_is_embedded() -> None:
    with pikepdf.open(BytesIO(write_pdf(HTML, {}, DAY))) as document:
        used = {str(font.BaseFont) for page in document.pages for font in page.Resources.Font.values()}
    assert used
    assert all("SOPC-Sans" in name for name in used)


def test_environment_is_left_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    monkeypatch.setenv("SOURCE_DATE_EPOCH", "7")
    write_pdf(HTML, {}, DAY)
    assert os.environ["SOURCE_DATE_EPOCH"] == "7"


def test_complaints_of_the_layout_engine_are_passed_on() -> None:
    complaints: list[str] = []
    write_pdf(HTML.replace("h2 {", "h2 { colour: red;"), {}, DAY, warn=complaints.append)
    assert any("colour" in text for text in complaints)


@pytest.mark.parametrize("trouble", [KeyboardInterrupt(), ValueError("no such shape")])
def test_a_page_is_never_set_without_its_drawing(monkeypatch: pytest.MonkeyPatch, trouble: BaseException) -> None:
    """The layout engine would leave the drawing out and go on, also when it is asked to stop in the middle of one."""
    from weasyprint.svg import SVG

    def fail(*_: object) -> None:
        raise trouble

    monkeypatch.setattr(SVG, "draw", fail)
    picture = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'
    with pytest.raises(type(trouble)):
        write_pdf(HTML.replace("Text", '<img alt="square" src="asset:square.svg">'), {"square.svg": picture}, DAY)
