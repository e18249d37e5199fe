"""`sopc plan` as an officer meets it: text, PDF, exit statuses."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands import Done, sopc

DEMO = Path(__file__).resolve().parents[2] / "protocols" / "larkspur_pass" / "2026-12"
TEXT = """
office "Birch Lane Dental" { open mon to thu 08:00 to 17:00 closed 2026-12-24 "holiday" }
role assistant "Dental assistant"
item cassette "Cassette" { count 4 }
procedure washing "Wash" { by assistant step scrub "Scrub" { takes 5 to 9 min } }
visit check_up "Check-up" { lasts 20 to 30 min by assistant needs 1 cassette }
circuit back "Back" { for cassette perform washing one by one }
caseload ordinary_day "An ordinary day" { on mon to wed visit check_up at 08:00, 09:00 }
"""


def plan(*arguments: str) -> Done:
    return sopc("plan", *arguments)


@pytest.fixture
def office(tmp_path: Path) -> Path:
    (tmp_path / "office.sop").write_text(TEXT, encoding="utf-8")
    return tmp_path


def test_a_plan_is_printed_with_its_seed_and_pdf(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "plan.pdf"
    done = plan(str(DEMO), "--today", "2026-12-07", "--runs", "20", "--seed", "5", "--pdf", str(target))
    assert done.returncode == 0, done.stderr
    assert "20 days played, seed 5" in done.stdout
    assert target.read_bytes().startswith(b"%PDF")


def test_the_same_seed_prints_the_same_text(office: Path) -> None:
    one, two = (plan(str(office), "--runs", "10") for _ in range(2))
    assert one.stdout == two.stdout
    assert "INSTRUMENT SETS TO OWN" in one.stdout


def test_a_day_picks_the_caseload_meant_for_it(office: Path) -> None:
    assert "Day plan: An ordinary day" in plan(str(office), "--day", "2026-12-08", "--runs", "5").stdout


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--caseload", "busy"), "there is no caseload busy"),
        (("--day", "2026-12-10"), "no caseload is meant for that day"),
        (("--day", "2026-12-13"), "no caseload is meant for that day"),
        (("--day", "2026-12-24", "--caseload", "ordinary_day"), "closed on 2026-12-24 (holiday)"),
        (("--runs", "0"), "--runs"),
        (("--day", "soon"), "no date"),
    ],
)
def test_what_cannot_be_planned_exits_with_2(office: Path, arguments: tuple[str, ...], words: str) -> None:
    done = plan(str(office), *arguments)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_an_office_without_a_caseload_is_told_how_to_write_one(office: Path) -> None:
    (office / "office.sop").write_text(TEXT[: TEXT.index("caseload")], encoding="utf-8")
    done = plan(str(office))
    assert done.returncode == 2
    assert "name no caseload" in done.stderr


def test_texts_that_cannot_be_read_exit_with_1(office: Path) -> None:
    (office / "office.sop").write_text(TEXT + "\nvisit {", encoding="utf-8")
    done = plan(str(office))
    assert done.returncode == 1
    assert "Nothing was planned" in done.stderr


def test_a_day_that_cannot_be_kept_is_planned_all_the_same_and_exits_with_1(office: Path) -> None:
    text = TEXT.replace("at 08:00, 09:00", "at 08:00, 16:50")
    (office / "office.sop").write_text(text.replace("5 to 9 min", "500 to 510 min"), encoding="utf-8")
    done = plan(str(office), "--runs", "5")
    assert done.returncode == 1
    assert "W04" in done.stderr
    assert "CONFLICT. No order of work can keep this day" in done.stdout
