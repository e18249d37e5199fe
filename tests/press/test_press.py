"""Printing as a whole: all or nothing, the same bytes twice, and nothing done again that stands already."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2
import pytest

import sopc
from sopc.press import Order, PressError, press
from sopc.render.setters import setters
from tests.bench.offices import office_text

TODAY = date(2026, 12, 1)


@pytest.fixture(scope="module")
def order(tmp_path_factory: pytest.TempPathFactory) -> Order:
    base = tmp_path_factory.mktemp("press")
    office, findings = sopc.load_text(office_text(100))
    assert office is not None, findings
    return Order(office, base / "texts", base / "build", "bench", TODAY, TODAY, date(2026, 12, 31))


@pytest.fixture(scope="module")
def folder(order: Order) -> Path:
    return press(order).folder


def bytes_below(folder: Path) -> dict[str, bytes]:
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def text_of(pdf: Path) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


def test_binder_procedures_charts_and_logs_are_printed(folder: Path) -> None:
    names = set(bytes_below(folder))
    assert "binder.pdf" in names
    for kind in ("sops/SOP-001", "charts/SOP-001", "logs/F-01"):
        assert any(name.startswith(kind) for name in names), kind


def test_the_manifest_names_every_file_with_its_hash(folder: Path) -> None:
    manifest = json.loads((folder / "manifest.json").read_text())
    files = bytes_below(folder)
    del files["manifest.json"]
    assert {entry["path"]: entry["sha256"] for entry in manifest["files"]} == {
        name: hashlib.sha256(data).hexdigest() for name, data in files.items()
    }


def test_every_page_of_a_procedure_says_whose_it_is_and_which(folder: Path) -> None:
    pages = text_of(next((folder / "sops").glob("SOP-001*.pdf")))
    for number, page in enumerate(pages, 1):
        for wanted in ("Bench Street Dental", "SOP-001", "Revision 2", "EFFECTIVE", f"{number} of {len(pages)}"):
            assert wanted in page, f"page {number} lacks {wanted}"


def test_charts_are_printed_at_the_office_s_paper_size_and_one_size_up(folder: Path) -> None:
    sizes = {}
    for file in (folder / "charts").glob("*.pdf"):
        width, height = pypdfium2.PdfDocument(file)[0].get_size()
        sizes[file.stem.rsplit("-", 1)[1]] = (round(width), round(height))
    assert sizes == {"letter": (612, 792), "tabloid": (792, 1224)}


def test_the_binder_has_bookmarks_for_every_document(folder: Path) -> None:
    document = pypdfium2.PdfDocument(folder / "binder.pdf")
    titles = [entry.get_title() for entry in document.get_toc() if entry.level == 0]
    assert any("SOP-001" in title for title in titles)
    assert any("Index" in title for title in titles)


def test_an_unchanged_office_is_not_printed_again(order: Order, folder: Path) -> None:
    before = {file: file.stat().st_mtime_ns for file in folder.rglob("*")}
    assert press(order).fresh == 0
    assert {file: file.stat().st_mtime_ns for file in folder.rglob("*")} == before


def test_a_file_that_was_tampered_with_is_printed_again(order: Order, folder: Path) -> None:
    whole = bytes_below(folder)
    (folder / "binder.pdf").write_bytes(b"%PDF-1.7 not the binder")
    assert press(order).fresh
    assert bytes_below(folder) == whole


def test_the_same_text_gives_the_same_bytes_without_any_cache(order: Order, folder: Path, tmp_path: Path) -> None:
    again = press(replace(order, out=tmp_path, workers=1)).folder
    assert bytes_below(again) == bytes_below(folder)


@pytest.mark.parametrize("words", ["dry", "dry, " * 900])
def test_a_changed_step_printed_over_older_paper_gives_the_bytes_of_a_first_print(
    order: Order, folder: Path, tmp_path: Path, words: str
) -> None:
    """With a page more the index was set beside the others with a wrong guess, and must be set again."""
    text = office_text(100).replace("Keep the lid **closed** on the way.", f"Keep the lid closed and {words}.", 1)
    office, findings = sopc.load_text(text)
    assert office is not None, findings
    changed = replace(order, office=office, only=frozenset({"binder"}))
    with setters(2) as crew:  # which sets what was changed while the rest is composed
        over = bytes_below(press(replace(changed, out=order.out, name="over"), crew=crew).folder)
    press(replace(order, name="over", only=frozenset({"binder"})))
    over_again = bytes_below(press(replace(changed, name="over")).folder)
    assert over == over_again == bytes_below(press(replace(changed, out=tmp_path, name="over")).folder)


def test_what_others_put_among_the_paper_stays(order: Order, folder: Path) -> None:
    (folder / "notes.txt").write_text("ask about the tray")
    press(replace(order, last=date(2026, 12, 30), only=frozenset({"logs"})))
    assert (folder / "notes.txt").read_text() == "ask about the tray"
    (folder / "notes.txt").unlink()
    press(order)


def test_a_figure_outside_the_office_is_refused_and_nothing_is_written(order: Order, tmp_path: Path) -> None:
    text = office_text(50).replace('step carry "Carry', 'figure "../secret.png" "Secret"\n  step carry "Carry')
    office, findings = sopc.load_text(text)
    assert office is not None, findings
    with pytest.raises(PressError, match="outside the office folder"):
        press(replace(order, office=office, out=tmp_path))
    assert not (tmp_path / "bench").exists()


@pytest.mark.parametrize("name", ["", ".", "..", "a/b", "../elsewhere"])
def test_the_folder_s_name_cannot_lead_elsewhere(order: Order, name: str) -> None:
    with pytest.raises(PressError):
        press(replace(order, name=name))
