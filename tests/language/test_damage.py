"""Damage to real texts by characters, words and lines: findings with places inside the file, never a traceback."""

from __future__ import annotations

import re
import time
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sopc.findings import Finding
from sopc.language.folder import TextFolder
from sopc.language.grammar import parser
from sopc.library import load_from
from sopc.source import SourceFile

PROTOCOLS = Path(__file__).resolve().parents[2] / "protocols"
TEXTS = [path.read_text(encoding="utf-8") for path in sorted(PROTOCOLS.rglob("*.sop"))]
WORDS = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|[\w.-]+|\s+|.')
LONGEST = 2.0  # seconds of work for one text; waiting for a busy machine is none


def lines_of(text: str) -> list[str]:
    return re.split(r"(?<=\n)", text)


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """A text of the protocols with up to three pieces deleted, doubled or changed for one another."""
    text = draw(st.sampled_from(TEXTS))
    for _ in range(draw(st.integers(1, 3))):
        pieces = draw(st.sampled_from([WORDS.findall, lines_of, list]))(text)
        here, there = (draw(st.integers(0, len(pieces) - 1)) for _ in range(2))
        kind = draw(st.sampled_from(["delete", "double", "swap"]))
        if kind == "delete":
            del pieces[here]
        elif kind == "double":
            pieces.insert(here, pieces[there])
        else:
            pieces[here], pieces[there] = pieces[there], pieces[here]
        text = "".join(pieces) or " "
    return text


def lies_inside(finding: Finding, files: dict[str, SourceFile]) -> bool:
    span = finding.span
    if not span.file:
        return True
    lines = files[span.file].lines
    begin, end = (span.line, span.column), (span.end_line, span.end_column)
    return (
        (1, 1) <= begin <= end
        and span.end_line <= len(lines)
        and span.column <= len(lines[span.line - 1]) + 1
        and span.end_column <= len(lines[span.end_line - 1]) + 1
    )


@settings(max_examples=150, suppress_health_check=list(HealthCheck))
@given(damaged())
def test_damage_gives_findings_with_places_inside_the_file_within_two_seconds_of_work(text: str) -> None:
    parser()
    begin = time.process_time()
    _, findings, reading = load_from(TextFolder({"office.sop": text}))
    assert time.process_time() - begin < LONGEST
    assert [finding for finding in findings if not lies_inside(finding, reading.files)] == []


@settings(max_examples=150, suppress_health_check=list(HealthCheck))
@given(st.text(max_size=300))
def test_text_at_random_gives_findings_with_places_inside_the_file(text: str) -> None:
    _, findings, reading = load_from(TextFolder({"office.sop": text}))
    assert [finding for finding in findings if not lies_inside(finding, reading.files)] == []
