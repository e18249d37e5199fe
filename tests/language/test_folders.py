"""Folders as they come: many files, long chains, texts nobody uses, texts used twice."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

import sopc
from sopc.findings import Finding

GOOD = 'office "Birch Lane Dental" {\n  open mon to thu 08:00 to 17:00\n}\n'


def read(texts: dict[str, str]) -> list[Finding]:
    return sopc.load_text({"office.sop": GOOD, **texts})[1]


def test_more_than_2000_files_are_refused() -> None:
    texts = {f"f{number:04}.sop": f'term "T{number}" "Text."' for number in range(2010)}
    assert {finding.code for finding in read(texts)} == {"R14"}


def test_a_chain_of_files_is_followed_so_deep_and_no_deeper() -> None:
    texts = {f"p/{number}.sop": f'use "p/{number + 1}.sop"' for number in range(3000)}
    assert [finding.code for finding in read({**texts, "z.sop": 'use "p/0.sop"'})] == ["R16"]


def test_a_text_that_nothing_uses_is_told() -> None:
    (finding,) = read({"procedures/spill.sop": 'term "Spill" "What lies where it should not."'})
    assert (finding.code, finding.span.file) == ("R07", "procedures/spill.sop")


def test_a_text_used_twice_is_told_at_the_second_place() -> None:
    texts = {"p/a.sop": 'term "A" "Text."', "z.sop": 'use "p/a.sop"\nuse "p/a.sop"\n'}
    (finding,) = read(texts)
    assert (finding.code, finding.span.line) == ("R06", 2)


def test_using_a_text_of_the_top_level_adds_nothing() -> None:
    (finding,) = read({"a.sop": 'term "A" "Text."', "z.sop": 'use "a.sop"\n'})
    assert (finding.code, finding.span.file) == ("R06", "z.sop")


def test_a_pack_that_uses_itself_is_a_circle() -> None:
    texts = {"packs/own/pack.sop": 'use pack own\nterm "A" "Text."', "z.sop": "use pack own"}
    assert [finding.code for finding in read(texts)] == ["R13"]


def test_a_folder_in_place_of_a_file_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "procedures").mkdir()
    (tmp_path / "office.sop").write_text(GOOD + 'use "procedures"\n')
    assert [finding.code for finding in sopc.load(tmp_path)[1]] == ["R02"]


def test_a_text_that_may_not_be_opened_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "office.sop").write_text(GOOD)

    def refuse(path: Path) -> bytes:
        raise PermissionError(13, "Permission denied", os.fspath(path))

    monkeypatch.setattr(Path, "read_bytes", refuse)
    (finding,) = sopc.load(tmp_path)[1]
    assert finding.code == "R02"
    assert "Permission denied" in finding.sentence


def test_texts_in_memory_use_the_shipped_packs_as_folders_do() -> None:
    office, findings = sopc.load_text({"office.sop": GOOD + "use pack dental_reprocessing\n"})
    assert findings == []
    assert office is not None
    assert office.conditions["sterile"].span.file.startswith("sopc:packs/dental_reprocessing/")


def test_a_file_whose_name_is_no_text_is_told_with_a_mark_in_its_name(tmp_path: Path) -> None:
    (tmp_path / "office.sop").write_text(GOOD)
    (tmp_path / os.fsdecode(b"gr\xf6sse.sop")).write_text('term "A" "Text."')
    (finding,) = sopc.load(tmp_path)[1]
    assert (finding.code, finding.span.file) == ("R02", "gr\ufffdsse.sop")


def test_such_a_file_in_a_subfolder_is_one_that_nothing_uses(tmp_path: Path) -> None:
    (tmp_path / "office.sop").write_text(GOOD)
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / os.fsdecode(b"gr\xf6sse.sop")).write_text('term "A" "Text."')
    (finding,) = sopc.load(tmp_path)[1]
    assert (finding.code, finding.span.file) == ("R07", "more/gr\ufffdsse.sop")


def test_a_link_to_itself_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "office.sop").write_text(GOOD)
    (tmp_path / "loop.sop").symlink_to("loop.sop")
    assert [(each.code, each.span.file) for each in sopc.load(tmp_path)[1]] == [("R02", "loop.sop")]


def test_a_text_of_a_pack_whose_link_leads_nowhere_is_missed_aloud(tmp_path: Path) -> None:
    (tmp_path / "packs" / "own").mkdir(parents=True)
    (tmp_path / "packs" / "own" / "rules.sop").symlink_to("gone.sop")
    (tmp_path / "office.sop").write_text(GOOD + "use pack own\n")
    assert [finding.code for finding in sopc.load(tmp_path)[1]] == ["R12"]


def test_a_pack_that_may_not_be_looked_into_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "packs" / "own").mkdir(parents=True)
    (tmp_path / "office.sop").write_text(GOOD + "use pack own\n")
    listed = os.listdir

    def refuse(path: Path) -> list[str]:
        if Path(path).name == "own":
            raise PermissionError(13, "Permission denied", os.fspath(path))
        return listed(path)

    monkeypatch.setattr(os, "listdir", refuse)
    (finding,) = sopc.load(tmp_path)[1]
    assert (finding.code, finding.span.file) == ("R02", "packs/own")
