"""A build whose every text, picture and date is the same reads nothing and prints nothing; anything else is read."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from sopc import cli
from sopc.press import unchanged
from sopc.press.unchanged import Asked
from tests.bench.offices import office_text

DAY = date(2026, 12, 1)


@pytest.fixture
def asked(tmp_path: Path) -> Asked:
    home = tmp_path / "office"
    (home / "packs" / "own").mkdir(parents=True)
    (home / "office.sop").write_text(office_text(50))
    (home / "packs" / "own" / "more.sop").write_text("")
    (home / "picture.png").write_bytes(b"\x89PNG")
    return Asked(home, tmp_path / "build", "office", DAY, DAY, DAY, frozenset({"logs"}))


def _arguments(asked: Asked, *more: str) -> list[str]:
    days = ["--today", "2026-12-01", "--from", "2026-12-01", "--to", "2026-12-01"]
    return ["build", str(asked.folder), "--out", str(asked.out), *days, "--only", "logs", "--workers", "1", *more]


def _never(*arguments: object) -> object:
    raise AssertionError("it was read")


def test_second_build_reads_nothing(
    asked: Asked, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(_arguments(asked)) == 0
    monkeypatch.setattr(cli, "_checked", _never)
    assert cli.run(_arguments(asked)) == 0
    assert "Nothing had changed" in capsys.readouterr().err


def test_paper_that_was_altered_is_printed_again(asked: Asked) -> None:
    assert cli.run(_arguments(asked)) == 0
    sheet = next((asked.out / "office" / "logs").glob("*.pdf"))
    whole = sheet.read_bytes()
    sheet.write_bytes(b"%PDF-1.7 scribbled on")
    assert cli.run(_arguments(asked)) == 0
    assert sheet.read_bytes() == whole


def test_what_was_found_is_told_each_time(asked: Asked, capsys: pytest.CaptureFixture[str]) -> None:
    (asked.folder / "loose").mkdir()
    (asked.folder / "loose" / "left.sop").write_text("")
    for _ in range(2):
        assert cli.run(_arguments(asked)) == 0
        assert "R07" in capsys.readouterr().err


def test_error_that_a_new_file_brings_is_found(asked: Asked) -> None:
    assert cli.run(_arguments(asked)) == 0
    (asked.folder / "second.sop").write_text("procedure wrong {")
    assert cli.run(_arguments(asked)) == 1


def test_another_day_is_read_anew(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    assert cli.run(_arguments(asked)) == 0
    monkeypatch.setattr(cli, "_checked", _never)
    assert cli.run(_arguments(asked, "--to", "2026-12-02")) == 3


CHANGES: dict[str, Callable[[Path], object]] = {
    "a text": lambda home: (home / "office.sop").write_text(office_text(300)),
    "a text of a pack": lambda home: (home / "packs" / "own" / "more.sop").write_text("# more"),
    "a picture": lambda home: (home / "picture.png").write_bytes(b"\x89PNG2"),
    "a new file": lambda home: (home / "new.txt").write_text("x"),
    "a new folder": lambda home: (home / "packs" / "empty").mkdir(),
    "a file less": lambda home: (home / "picture.png").unlink(),
    "another name": lambda home: (home / "picture.png").rename(home / "other.png"),
    "a link": lambda home: (home / "linked").symlink_to(home / "packs"),
    "a hidden text": lambda home: (home / ".hidden.sop").write_text(""),
}


@pytest.mark.parametrize("what", CHANGES)
def test_any_change_in_the_folder_is_seen(asked: Asked, what: str) -> None:
    before = asked.material()
    assert before == asked.material() != ""
    CHANGES[what](asked.folder)
    assert asked.material() != before


def test_paper_inside_the_office_folder_is_no_text(asked: Asked) -> None:
    inside = Asked(asked.folder, asked.folder / "build", "office", DAY, DAY, DAY, asked.only)
    before = inside.material()
    (asked.folder / "build" / "office").mkdir(parents=True)
    (asked.folder / "build" / "office" / "binder.pdf").write_bytes(b"%PDF")
    assert inside.material() == before != ""


def test_new_program_is_seen(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    before = asked.material()
    monkeypatch.setattr(unchanged, "program", lambda: "another")
    assert asked.material() != before


def test_folder_with_too_much_in_it_is_always_read(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unchanged, "MOST_FILES", 2)
    assert asked.material() == ""
    assert asked.standing("") is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes in the file system")
def test_folder_with_something_that_cannot_be_read_is_always_read(asked: Asked) -> None:
    os.mkfifo(asked.folder / "pipe")
    assert asked.material() == ""
