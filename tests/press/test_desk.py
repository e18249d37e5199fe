"""What a day plan has worked out is kept for the same values and the same program, and for nothing else."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from sopc.checks.days.day import office_day
from sopc.checks.days.proof import Safe, prove
from sopc.checks.days.turns import DayTurns
from sopc.documents.day_order import turns_begun
from sopc.documents.day_plan import day_plan_document, days_begun
from sopc.press import desk
from sopc.press.desk import Desk
from sopc.render import setters
from sopc.render.cache import ResultCache
from tests.checks.test_capacity import QUIET
from tests.checks.test_capacity import office as small_office

TODAY = date(2026, 12, 7)


def pages(cache: ResultCache, *changes: tuple[str, str]) -> tuple[list[str], list[str]]:
    """The day plans of a small office, and what had to be worked out for them."""
    own = Desk(cache, None)
    plans = [each.finished() for each in days_begun(small_office(QUIET, *changes), own.work)]
    return [day_plan_document(plan, "REG-20", TODAY).html for plan in plans], own.begun


def test_a_day_that_did_not_change_is_not_played_again(tmp_path: Path) -> None:
    cache = ResultCache(tmp_path)
    first, played = pages(cache)
    assert played
    assert pages(cache) == (first, [])


def test_a_reworded_step_changes_the_words_and_plays_nothing(tmp_path: Path) -> None:
    cache = ResultCache(tmp_path)
    first, _ = pages(cache)
    again, played = pages(cache, ('visit check_up "', 'visit check_up "A '))
    assert played == []
    assert again != first


WAITS = "sopc.checks.days.turn_figures.turn_figures"


def test_reworded_work_of_the_day_leaves_its_waits_as_they_are(tmp_path: Path) -> None:
    reworded = ('step empty "Empty"', 'step empty "Take all out"'), ('steam "Sterilize"', 'steam "Load and run"')
    cache = ResultCache(tmp_path)
    first, played = pages(cache)
    assert WAITS in played
    again, played = pages(cache, *reworded)
    assert played == []
    assert again != first
    assert again == pages(ResultCache(tmp_path / "new"), *reworded)[0]


def waits(cache: ResultCache, *changes: tuple[str, str]) -> tuple[DayTurns, list[str]]:
    """The lines of the day's order of work, and what had to be worked out for them."""
    office = small_office(QUIET, *changes)
    made = office_day(office, office.caseloads["day"])
    assert made is not None
    safe = prove(made)
    assert isinstance(safe, Safe)
    own = Desk(cache, None)
    return turns_begun(made, safe, own.work)(), own.begun


@pytest.mark.parametrize(
    "change",
    [
        ("takes 2 to 4 min", "takes 3 to 4 min"),
        ("lasts 30 to 40 min", "lasts 30 to 41 min"),
        ("at 08:00, 08:40", "at 08:00, 08:41"),
        ("lasts 20 to 30 min chair", "lasts 20 to 31 min chair"),
        ("on duty 2", "on duty 1"),
        ("holds 2 cassette", "holds 1 cassette"),
        ("loads wait at most 20 min", "loads wait at most 5 min"),
        ("08:00 to 12:00", "08:00 to 08:50 open mon to thu 09:00 to 12:00"),
        ("08:00 to 12:00", "08:00 to 11:59"),
        ("loads wait at most 20 min", "loads wait at most 20 min limit steam starts within 2 h after wrap ends"),
    ],
)
def test_a_change_of_the_day_s_work_is_never_answered_with_the_waits_of_another(
    tmp_path: Path, change: tuple[str, str]
) -> None:
    cache = ResultCache(tmp_path)
    before, _ = waits(cache)
    again, worked_out = waits(cache, change)
    anew, _ = waits(ResultCache(tmp_path / "new"), change)
    assert again == anew
    assert worked_out or again == before
    assert waits(cache, change) == (again, [])


@pytest.mark.parametrize("change", [("takes 1 to 2 min", "takes 1 to 3 min"), ("at 08:00", "at 08:05")])
def test_another_time_plays_the_day_again(tmp_path: Path, change: tuple[str, str]) -> None:
    cache = ResultCache(tmp_path)
    pages(cache)
    assert pages(cache, change)[1]


def test_another_program_trusts_nothing_that_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache = ResultCache(tmp_path)
    pages(cache)
    monkeypatch.setattr(desk, "program", lambda: "another")
    assert pages(cache)[1]


@pytest.mark.parametrize("spoil", [lambda data: data[:-3], lambda data: data[:-1] + b"9", lambda data: b""])
def test_what_is_damaged_is_worked_out_again(tmp_path: Path, spoil: Callable[[bytes], bytes]) -> None:
    cache = ResultCache(tmp_path)
    first, played = pages(cache)
    for entry in tmp_path.glob("??/*"):
        entry.write_bytes(spoil(entry.read_bytes()))
    assert pages(cache) == (first, played)


def test_another_process_gives_the_same_page(tmp_path: Path) -> None:
    with setters.setters(2) as crew:
        own = Desk(ResultCache(tmp_path / "beside"), crew)
        plans = [each.finished() for each in days_begun(small_office(QUIET), own.work)]
    assert [day_plan_document(plan, "REG-20", TODAY).html for plan in plans] == pages(ResultCache(tmp_path))[0]


def test_a_process_that_dies_is_done_without(tmp_path: Path) -> None:
    with setters.setters(2) as crew:
        answer = Desk(ResultCache(tmp_path), crew).work(_dead_elsewhere, os.getpid())
        assert answer() == ["answered"]


def _dead_elsewhere(here: int) -> list[Any]:
    if os.getpid() != here:
        os._exit(9)
    return ["answered"]
