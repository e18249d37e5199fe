"""Whatever lies in the folder, reading it gives clear findings: no traceback, no hang, nothing from outside."""

from __future__ import annotations

import os
import time
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import sopc
from sopc.findings import Finding, Severity
from sopc.language.grammar import build, grammar_text
from sopc.language.parse import parse
from sopc.source import SourceFile

ROOT = Path(__file__).resolve().parents[2]
GOOD = 'office "Birch Lane Dental" {\n  open mon to thu 08:00 to 17:00\n}\nrole assistant "Dental assistant"\n'


def read(folder: Path) -> list[Finding]:
    return sopc.load(folder)[1]


def codes(findings: list[Finding], *severities: Severity) -> list[str]:
    wanted = severities or (Severity.ERROR,)
    return [finding.code for finding in findings if finding.severity in wanted]


def read_bytes(tmp_path: Path, data: bytes) -> list[Finding]:
    (tmp_path / "office.sop").write_bytes(data)
    return read(tmp_path)


def parsed(text: str) -> list[Finding]:
    return parse(SourceFile.from_text("t.sop", text))[1]


# ── Files ───────────────────────────────────────────────────────────────────────────────────────


def test_a_byte_order_mark_and_crlf_are_read_as_if_they_were_not_there(tmp_path: Path) -> None:
    assert read_bytes(tmp_path, b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode()) == []


def test_tabs_are_told_but_do_no_harm(tmp_path: Path) -> None:
    findings = read_bytes(tmp_path, GOOD.replace("  open", "\topen").encode())
    assert [(finding.code, finding.severity) for finding in findings] == [("R05", Severity.REMARK)]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (GOOD.encode("utf-16"), "R03"),
        ('office "Zürich" { }'.encode("latin-1"), "R03"),
        (b"\x7fELF\x00\x01" + bytes(range(256)), "R04"),
    ],
    ids=["utf-16", "latin-1", "binary"],
)
def test_what_is_not_utf_8_text_is_one_finding(tmp_path: Path, data: bytes, code: str) -> None:
    assert codes(read_bytes(tmp_path, data)) == [code]


def test_a_file_of_0_bytes_is_told(tmp_path: Path) -> None:
    assert "R08" in codes(read_bytes(tmp_path, b""), *Severity)


def test_a_file_of_50_mb_is_refused_without_being_read(tmp_path: Path) -> None:
    (tmp_path / "office.sop").write_text(GOOD)
    with (tmp_path / "big.sop").open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    read(tmp_path)  # what is kept from a first reading does not count
    tracemalloc.start()
    try:
        assert codes(read(tmp_path)) == ["R01"]
        assert tracemalloc.get_traced_memory()[1] < 10 * 1024 * 1024
    finally:
        tracemalloc.stop()


def test_a_pipe_named_like_a_text_does_not_hang(tmp_path: Path) -> None:
    (tmp_path / "office.sop").write_text(GOOD)
    os.mkfifo(tmp_path / "pipe.sop")
    assert codes(read(tmp_path)) == ["R02"]


def test_an_empty_folder_says_how_to_begin(tmp_path: Path) -> None:
    (finding,) = read(tmp_path)
    assert finding.code == "R09"
    assert "sopc init" in finding.fix


def test_files_that_use_each_other_in_a_circle_are_told_with_the_circle(tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    (tmp_path / "office.sop").write_text(GOOD + 'use "p/a.sop"\n')
    (tmp_path / "p" / "a.sop").write_text('use "p/b.sop"\n')
    (tmp_path / "p" / "b.sop").write_text('use "p/a.sop"\n')
    (finding,) = [each for each in read(tmp_path) if each.severity is Severity.ERROR]
    assert finding.code == "R13"
    assert "p/a.sop → p/b.sop → p/a.sop" in finding.sentence


@pytest.mark.parametrize(
    "name", ["../secret.sop", "/etc/passwd", "a/../../secret.sop", "C:\\secret.sop", "..\\secret.sop"]
)
def test_a_path_out_of_the_folder_is_refused(tmp_path: Path, name: str) -> None:
    home = tmp_path / "office"
    home.mkdir()
    (tmp_path / "secret.sop").write_text('role leaked "Leaked"\n')
    (home / "office.sop").write_text(f'{GOOD}use "{name}"\n')
    assert codes(read(home)) == ["R10"]


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    home = tmp_path / "office"
    home.mkdir()
    (tmp_path / "secret.sop").write_text('role leaked "Leaked"\n')
    (home / "office.sop").write_text(GOOD)
    (home / "linked.sop").symlink_to(tmp_path / "secret.sop")
    assert codes(read(home)) == ["R11"]


def test_a_misspelt_file_and_a_misspelt_pack_are_met_with_a_proposal(tmp_path: Path) -> None:
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "spill.sop").write_text('term "Spill" "What lies where it should not."\n')
    (tmp_path / "office.sop").write_text(GOOD + 'use "p/spil.sop"\nuse pack dental_reprocesing\n')
    fixes = {finding.code: finding.fix for finding in read(tmp_path)}
    assert "p/spill.sop" in fixes["R12"]
    assert "dental_reprocessing" in fixes["R15"]


# ── Mistakes of form ────────────────────────────────────────────────────────────────────────────


def test_several_mistakes_are_told_in_one_run_each_at_its_line() -> None:
    text = (
        'procedure p "P" {\n  step a "A" {\n    byy assistant\n    takes 5 min\n    takes to 3\n  }\n'
        '  step b Wash it {\n    by assistant\n  }\n}\nrole x "X" { on duty }\n'
    )
    assert [finding.span.line for finding in parsed(text)] == [3, 5, 7, 11]


def test_a_misspelt_word_is_met_with_did_you_mean() -> None:
    (finding,) = parsed('procedure p "P" {\n  wearin mask\n}\n')
    assert "wearing" in finding.fix


def test_a_brace_missing_400_lines_up_is_found_where_it_is_missing() -> None:
    steps = "".join(f'  step s{n} "Step {n}" {{\n    takes 1 min\n  }}\n' for n in range(140))
    broken = steps.replace('  step s3 "Step 3" {\n    takes 1 min\n  }\n', '  step s3 "Step 3" {\n    takes 1 min\n')
    (finding,) = parsed('procedure p "P" {\n' + broken + "}\n")
    assert finding.code == "F02"
    assert finding.span.line == 11
    assert "s3" in finding.sentence


def test_a_brace_missing_at_the_end_of_a_procedure_is_found_there() -> None:
    (finding,) = parsed('procedure p "P" {\n  step a "A" { takes 1 min }\n\nrole x "X"\nrole y "Y"\n')
    assert (finding.code, finding.span.line) == ("F02", 1)


def test_curly_quotes_are_one_finding_and_the_rest_is_read() -> None:
    findings = parsed("role a “A”\nrole b “B”\nrole c { }\nrole 7\n")
    assert findings[0].code in {"F05", "F11", "F12"} or "quotation" in findings[0].sentence
    assert findings[-1].span.line == 4


@pytest.mark.parametrize("text", ['role a "A\n', 'term "T" """never ends\n', 'role a "A" { note "x\n}\n'])
def test_a_quotation_that_never_ends_is_told_where_it_begins(text: str) -> None:
    findings = parsed(text)
    assert findings
    assert findings[0].span.line == 1


def test_a_number_without_a_unit_is_told_at_the_number() -> None:
    (finding,) = parsed('office "X" {\n  altitude 2200\n  open mon 08:00 to 12:00\n}\n')
    assert finding.span.line == 2
    assert "unit" in finding.sentence


def test_one_to_ten_is_met_with_parts() -> None:
    findings = parsed('supply b "Bleach" {\n  dilute 1:10\n}\n')
    assert "parts" in findings[0].fix


def test_the_grammar_is_lalr_1_without_conflicts() -> None:
    build(grammar_text(), strict=True, _plugins={})  # lark's own lexer tells, too, of terminals that collide


# ── Any text at all ─────────────────────────────────────────────────────────────────────────────

TEXTS = [path.read_text(encoding="utf-8") for path in sorted((ROOT / "protocols" / "starter").rglob("*.sop"))]
PIECES = [
    "{",
    "}",
    '"',
    '"""',
    "step",
    "procedure",
    "takes 5",
    "min",
    "#",
    "\n",
    " ",
    "office",
    "1:10",
    "“",
    "\t",
    "é",
    "\x01",
]


def holds(text: str) -> None:
    begin = time.process_time()
    file = SourceFile.from_text("t.sop", text)
    _, findings = parse(file)
    assert time.process_time() - begin < 10
    for finding in findings:
        assert 1 <= finding.span.line <= len(file.lines)
        assert finding.span.column >= 1
        assert finding.sentence


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=8), max_size=60).map("".join))
def test_any_text_gives_findings_and_no_traceback(text: str) -> None:
    holds(text)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.sampled_from(TEXTS), st.data())
def test_any_damage_to_a_real_text_gives_findings_and_no_traceback(text: str, data: st.DataObject) -> None:
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 40)))
        text = text[:start] + data.draw(st.sampled_from(["", *PIECES])) + text[end:]
    holds(text)
    sopc.load_text(text)
