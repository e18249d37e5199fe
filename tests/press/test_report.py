"""A change report plays each day once, and says the same as if both sides were played for themselves."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import wraps
from pathlib import Path
from typing import Any

import pytest

from sopc.documents import day_plan
from sopc.press import report as press_report
from sopc.press.report import report
from tests.checks.test_capacity import HEAD, QUIET

TODAY = date(2026, 12, 7)
REWORDED = ('step empty "Empty"', 'step empty "Take all out"')
LONGER = ("lasts 30 to 40 min", "lasts 30 to 45 min")


@pytest.fixture
def played(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[int]:
    """How often each of the days that were played was played."""
    found: list[int] = []
    figures = day_plan.figures

    @wraps(figures)
    def counted(*arguments: Any) -> Any:
        found.append(arguments[2])
        return figures(*arguments)

    monkeypatch.setattr(day_plan, "figures", counted)
    monkeypatch.setattr(day_plan, "RUNS", 60)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return found


@pytest.fixture
def told(tmp_path: Path) -> Callable[..., str]:
    """The report from the small office to one with a change in it."""

    def told(change: tuple[str, str]) -> str:
        text = HEAD + QUIET
        assert change[0] in text
        for name, content in (("old", text), ("new", text.replace(*change))):
            (tmp_path / name).mkdir(exist_ok=True)
            (tmp_path / name / "office.sop").write_text(content, encoding="utf-8")
        made = report(str(tmp_path / "old"), str(tmp_path / "new"), TODAY, None, False)
        return made.text

    return told


def test_a_day_that_both_sides_have_is_played_once(played: list[int], told: Callable[..., str]) -> None:
    told(REWORDED)
    assert played == [60]
    told(REWORDED)
    assert played == [60]


@pytest.mark.parametrize(("change", "named"), [(REWORDED, False), (LONGER, True)])
def test_the_report_is_the_same_when_nothing_is_kept(
    played: list[int], told: Callable[..., str], monkeypatch: pytest.MonkeyPatch, change: tuple[str, str], named: bool
) -> None:
    first = told(change)
    assert len(played) == 1 + named
    monkeypatch.setattr(press_report, "cache_folder", lambda: None)
    assert told(change) == first
    assert len(played) == 3 + named
    assert ("Day plan: A quiet day" in first) is named
