"""A side of the comparison is a folder, or a folder of a git revision; what cannot be opened is said, never thrown."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sopc.changes.history import CannotOpen, Side, open_side


def git(where: Path, *arguments: str) -> None:
    names = ("GIT_AUTHOR_NAME", "GIT_AUTHOR_EMAIL", "GIT_COMMITTER_NAME", "GIT_COMMITTER_EMAIL")
    identity = dict.fromkeys(names, "tester@example.org")
    command = ["git", "-C", str(where), "-c", "init.defaultBranch=main", *arguments]
    subprocess.run(command, check=True, capture_output=True, env=os.environ | identity)


@pytest.fixture
def repository(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two revisions of `office/a.sop`, the first tagged v1, the current directory at the top."""
    top = tmp_path / "repo"
    (top / "office" / "procedures").mkdir(parents=True)
    git(top, "init")
    for number in (1, 2):
        (top / "office" / "a.sop").write_text(f"# text {number}\n", encoding="utf-8")
        (top / "office" / "procedures" / "b.sop").write_text("# b\n", encoding="utf-8")
        git(top, "add", ".")
        git(top, "commit", "-m", f"text {number}")
        if number == 1:
            git(top, "tag", "v1")
    monkeypatch.chdir(top)
    return top


def refusal(spec: str) -> str:
    with open_side(spec) as side:
        assert isinstance(side, CannotOpen)
        return f"{side.sentence} {side.fix}"


@pytest.mark.parametrize(("spec", "text"), [("v1:office", "# text 1\n"), ("HEAD:office", "# text 2\n")])
def test_a_revision_is_laid_out_as_it_stood(repository: Path, spec: str, text: str) -> None:
    with open_side(spec) as side:
        assert isinstance(side, Side)
        assert (side.folder / "a.sop").read_text(encoding="utf-8") == text
        assert (side.folder / "procedures" / "b.sop").is_file()


def test_nothing_is_left_lying_about(repository: Path) -> None:
    with open_side("v1:office") as side:
        assert isinstance(side, Side)
        folder = side.folder
    assert not folder.exists()


def test_a_folder_is_read_where_it_lies(repository: Path) -> None:
    with open_side("office") as side:
        assert side == Side(Path("office"), "office")


def test_the_folder_counts_from_here(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(repository / "office")
    with open_side("v1:.") as side:
        assert isinstance(side, Side)
        assert (side.folder / "a.sop").is_file()


def test_a_folder_that_is_gone_today_can_still_be_read(repository: Path) -> None:
    git(repository, "mv", "office", "practice")
    with open_side("v1:office") as side:
        assert isinstance(side, Side)
        assert (side.folder / "a.sop").is_file()


def test_an_unknown_revision_is_said(repository: Path) -> None:
    assert "no revision “v9”" in refusal("v9:office")


def test_a_folder_missing_then_is_said(repository: Path) -> None:
    assert "There is no folder “clinic” in revision" in refusal("v1:clinic")


def test_a_file_is_no_folder(repository: Path) -> None:
    assert "There is no folder “office/a.sop”" in refusal("v1:office/a.sop")


def test_outside_a_repository_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path.parent))
    assert "not inside a git repository" in refusal("v1:office")


def test_git_not_there_is_said(repository: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    assert "git is not installed" in refusal("v1:office")


@pytest.mark.parametrize("spec", ["--output=x:office", "-h:office", "v1:", ":office", "v1;ls:office", "a b:office"])
def test_what_looks_like_an_option_or_a_command_never_reaches_git(repository: Path, spec: str) -> None:
    assert "not written as REVISION:folder" in refusal(spec)
    assert sorted(path.name for path in repository.iterdir()) == [".git", "office"]


def test_a_link_out_of_the_office_is_left_out(repository: Path) -> None:
    (repository / "office" / "link.sop").symlink_to("/etc/hostname")
    git(repository, "add", ".")
    git(repository, "commit", "-m", "link")
    with open_side("HEAD:office") as side:
        assert isinstance(side, Side)
        assert not (side.folder / "link.sop").exists()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=30))
def test_no_text_throws(repository: Path, spec: str) -> None:
    with open_side(spec) as side:
        assert isinstance(side, Side | CannotOpen)
