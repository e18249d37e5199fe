"""The commands as an officer meets them: exit statuses, streams, help, and no traceback whatever is typed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands import sopc

DEMO = Path(__file__).resolve().parent.parent / "protocols" / "larkspur_pass" / "2026-12"

GOOD = """
office "Birch Lane Dental" { open mon to thu 08:00 to 17:00 }
role assistant "Dental assistant"
"""


def apart(*arguments: str, **env: str) -> subprocess.CompletedProcess[bytes]:
    """Run a command in a process of its own."""
    words = [sys.executable, "-m", "sopc", *arguments]
    return subprocess.run(words, capture_output=True, env={**os.environ, **env}, check=False, timeout=120)


@pytest.fixture
def office(tmp_path: Path) -> Path:
    folder = tmp_path / "birch_lane"
    folder.mkdir()
    (folder / "office.sop").write_text(GOOD, encoding="utf-8")
    return folder


def test_a_clean_office_exits_with_0(office: Path) -> None:
    done = sopc("check", str(office), "--today", "2026-12-02")
    assert (done.returncode, done.stderr) == (0, "")
    assert "error" not in done.stdout


def test_an_error_exits_with_1_and_stands_on_standard_output(office: Path) -> None:
    (office / "office.sop").write_text(GOOD + 'procedure p "P" { by assistent }\n', encoding="utf-8")
    done = sopc("check", str(office))
    assert done.returncode == 1
    assert "office.sop:4:22" in done.stdout
    assert "Did you mean “assistant”?" in done.stdout


def test_sarif_tells_the_exit_status_it_ends_with(office: Path) -> None:
    (office / "office.sop").write_text(GOOD + 'procedure p "P" { by assistent }\n', encoding="utf-8")
    done = sopc("check", str(office), "--format", "sarif")
    run = json.loads(done.stdout)["runs"][0]
    assert run["invocations"][0]["exitCode"] == done.returncode == 1
    assert str(office) not in done.stdout


def test_a_folder_that_does_not_exist_exits_with_2() -> None:
    done = sopc("check", "no/such/folder")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "arguments", [["chek"], ["check"], ["check", ".", "--today", "tomorrow"], ["build", ".", "--from"]]
)
def test_wrong_use_exits_with_2_and_one_sentence(arguments: list[str]) -> None:
    done = sopc(*arguments)
    assert done.returncode == 2
    assert done.stderr
    assert "Traceback" not in done.stderr


def test_json_is_one_object_with_stable_keys(office: Path) -> None:
    (office / "office.sop").write_text(GOOD + 'procedure p "P" { by assistent }\n', encoding="utf-8")
    found = json.loads(sopc("check", str(office), "--format", "json").stdout)
    assert found["tool"] == "sopc"
    keys = {"code", "severity", "span", "sentence", "floor", "walk", "fix", "notes", "cause", "asked_by", "rule"}
    assert set(found["findings"][0]) == keys


def test_findings_reach_a_terminal_that_lacks_their_letters(office: Path) -> None:
    (office / "more.sop").write_text("nonsense {}\n", encoding="utf-8")
    told = apart("check", str(office), PYTHONIOENCODING="latin-1")
    assert (told.returncode, told.stderr) == (1, b"")
    assert "?nonsense? is no declaration." in told.stdout.decode("latin-1")


@pytest.mark.parametrize("form", ["json", "sarif"])
def test_findings_for_programs_are_utf_8_whatever_the_terminal(office: Path, form: str) -> None:
    (office / "more.sop").write_text('nonsense "Größe" {}\n', encoding="utf-8")
    told = apart("check", str(office), "--format", form, PYTHONIOENCODING="ascii")
    assert told.returncode == 1
    assert "“nonsense” is no declaration" in told.stdout.decode("utf-8")


def test_no_letter_of_a_text_steers_the_terminal(office: Path) -> None:
    (office / "more.sop").write_text('nonsense "\x1b[2J\u202e" {}\n', encoding="utf-8")
    told = sopc("check", str(office)).stdout
    assert not {"\x1b", "\u202e"} & set(told)
    assert 'nonsense "\ufffd[2J\ufffd" {}' in told


def test_colour_never_reaches_a_pipe(office: Path) -> None:
    (office / "office.sop").write_text(GOOD + 'procedure p "P" { by assistent }\n', encoding="utf-8")
    assert b"\x1b[" not in apart("check", str(office)).stdout


def test_a_build_with_errors_prints_nothing_and_leaves_the_last_paper(office: Path, tmp_path: Path) -> None:
    (office / "office.sop").write_text(GOOD + 'procedure p "P" { by assistent }\n', encoding="utf-8")
    kept = tmp_path / "build" / "birch_lane" / "binder.pdf"
    kept.parent.mkdir(parents=True)
    kept.write_text("last good paper")
    done = sopc("build", str(office), "--out", str(tmp_path / "build"))
    assert done.returncode == 1
    assert kept.read_text() == "last good paper"
    assert done.stdout == ""


def test_init_makes_an_office_that_checks_clean(tmp_path: Path) -> None:
    assert sopc("init", "my_office", cwd=tmp_path).returncode == 0
    done = sopc("check", "my_office", "--today", "2026-12-01", cwd=tmp_path)
    assert done.returncode == 0, done.stdout


def test_init_never_overwrites(tmp_path: Path) -> None:
    (tmp_path / "my_office").mkdir()
    (tmp_path / "my_office" / "office.sop").write_text("mine")
    done = sopc("init", "my_office", cwd=tmp_path)
    assert done.returncode == 2
    assert (tmp_path / "my_office" / "office.sop").read_text() == "mine"


def test_explain_tells_the_long_form_and_suggests_near_codes() -> None:
    assert "Source of the rule" in sopc("explain", "N01").stdout
    assert sopc("explain", "nO1").stdout == sopc("explain", "N01").stdout
    lost = sopc("explain", "N011")
    assert lost.returncode == 2
    assert "N01" in lost.stderr


@pytest.mark.parametrize("command", ["check", "build", "diff", "explain", "init"])
def test_help_teaches_with_examples(command: str) -> None:
    done = sopc(command, "--help")
    assert done.returncode == 0
    assert f"sopc {command} " in done.stdout.split("Examples:")[1]


def test_a_fault_of_the_program_is_told_as_one(office: Path) -> None:
    code = (
        "import sys, sopc.library; from sopc.__main__ import main\n"
        "def broken(*a, **k): raise RuntimeError('spring broke')\n"
        "sopc.library.load_from = broken\n"
        f"sys.exit(main(['check', {str(office)!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 3
    assert "not of your text" in done.stderr
    assert "Traceback" not in done.stderr


def test_the_demo_office_is_clean() -> None:
    done = apart("check", str(DEMO), "--today", "2026-12-02")
    assert done.returncode == 0, done.stdout
    assert b" error" not in done.stdout
