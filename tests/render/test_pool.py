"""Many pages are rendered side by side, kept, and given back in order; a failure names its page."""

from __future__ import annotations

import os
import tempfile
from datetime import date
from pathlib import Path

import pytest

from sopc.render import setters
from sopc.render.cache import ResultCache, digest
from sopc.render.job import Job, Rendered, RenderError
from sopc.render.pool import job_key, render_all

DAY = date(2026, 12, 1)


def _job(name: str, body: str = "") -> Job:
    return Job(name, f"<html lang=en><head><title>{name}</title></head><body>{name}{body}</body></html>", DAY)


JOBS = [_job(f"SOP-{number:02d}", "<p>more</p>" * number) for number in range(4)]


def test_results_come_in_the_order_of_the_jobs_whatever_the_number_of_workers() -> None:
    one = render_all(JOBS, workers=1)
    two = render_all(JOBS, workers=2)
    assert [result.name for result in two] == [job.name for job in JOBS]
    assert [result.pdf for result in one] == [result.pdf for result in two]


def test_nothing_is_rendered_twice(tmp_path: Path) -> None:
    cache = ResultCache(tmp_path)
    first = render_all(JOBS[:2], cache=cache, workers=1)
    second = render_all(JOBS[:3], cache=cache, workers=1)
    assert [result.fresh for result in second] == [False, False, True]
    assert [result.pdf for result in first] == [result.pdf for result in second][:2]


def test_progress_is_told_for_each_job() -> None:
    told: list[tuple[str, int, int]] = []
    render_all(JOBS[:2], workers=1, progress=lambda *step: told.append(step))
    assert sorted(name for name, _, _ in told) == ["SOP-00", "SOP-01"]
    assert [(done, total) for _, done, total in told] == [(1, 2), (2, 2)]


@pytest.mark.parametrize("workers", [1, 2])
def test_failure_names_its_job(workers: int) -> None:
    bad = _job("SOP-66", '<img alt="x" src="http://127.0.0.1:9/">')
    with pytest.raises(RenderError, match="SOP-66"):
        render_all([*JOBS[:2], bad], workers=workers)


def test_dead_worker_is_reported_with_the_job_it_had(monkeypatch: pytest.MonkeyPatch) -> None:
    def die(job: Job, case: object) -> object:
        if job.name == "SOP-02":
            os._exit(9)
        return Rendered(job.name, b"%PDF", 1, fresh=True)

    monkeypatch.setattr(setters, "_answer", die)
    with pytest.raises(RenderError, match=r"SOP-02: the rendering process died \(exit 9\)"):
        render_all(JOBS, workers=2)


def test_job_that_does_not_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    import time

    monkeypatch.setattr(setters, "_answer", lambda job, case: time.sleep(60))
    with pytest.raises(RenderError, match="not finished"):
        render_all(JOBS[:2], workers=2, seconds_per_job=0.3)


@pytest.mark.parametrize("change", ["html", "date", "asset", "tags", "prefix"])
def test_key_changes_with_all_that_the_bytes_depend_on(change: str) -> None:
    base = Job("a", "<p>", DAY, {"x": b"1"})
    other = {
        "html": Job("a", "<p> ", DAY, {"x": b"1"}),
        "date": Job("a", "<p>", date(2026, 12, 2), {"x": b"1"}),
        "asset": Job("a", "<p>", DAY, {"x": b"2"}),
        "tags": Job("a", "<p>", DAY, {"x": b"1"}, tagged=False),
        "prefix": Job("a", "<p>", DAY, {"x": b"1"}, prefix="A/"),
    }[change]
    assert job_key(base) != job_key(other)


def test_key_does_not_depend_on_the_name_for_messages() -> None:
    assert job_key(Job("a", "<p>", DAY)) == job_key(Job("b", "<p>", DAY))


@pytest.mark.parametrize("damage", [b"", b"short", b"x" * 500])
def test_damaged_entry_counts_as_absent(tmp_path: Path, damage: bytes) -> None:
    cache = ResultCache(tmp_path)
    key = digest("page")
    cache.put(key, b"result")
    (entry,) = tmp_path.glob("??/*")
    entry.write_bytes(damage)
    assert cache.get(key) is None
    cache.put(key, b"result")
    assert cache.get(key) == b"result"


def test_entry_under_another_key_is_not_taken_for_it(tmp_path: Path) -> None:
    cache = ResultCache(tmp_path)
    one, other = digest("one"), digest("other")
    cache.put(one, b"result")
    (entry,) = tmp_path.glob("??/*")
    place = tmp_path / other[:2] / other[2:]
    place.parent.mkdir(exist_ok=True)
    entry.rename(place)
    assert cache.get(other) is None


def test_folder_that_cannot_be_written_costs_speed_only(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    cache = ResultCache(tmp_path / "file")
    cache.put(digest("a"), b"result")
    assert cache.get(digest("a")) is None


def test_pruning_drops_what_was_used_longest_ago(tmp_path: Path) -> None:
    cache = ResultCache(tmp_path)
    for age, name in enumerate(("new", "old")):
        cache.put(digest(name), b"x" * 100)
        place = tmp_path / digest(name)[:2] / digest(name)[2:]
        os.utime(place, (1_000_000 - age * 1000, 1_000_000 - age * 1000))
    cache.prune(150)
    assert cache.get(digest("new")) is not None
    assert cache.get(digest("old")) is None


def test_process_works_out_something_else_before_and_beside_pages() -> None:
    with setters.setters(2) as crew:
        answers = [crew.ask(divmod, 17, 5), crew.ask(sorted, "cab"), crew.ask(divmod, 9, 4)]
        assert answers[1]() == ["a", "b", "c"]
        assert [each.name for each in render_all(JOBS, crew=crew)] == [job.name for job in JOBS]
        assert [answers[0](), answers[2]()] == [(3, 2), (2, 1)]
        assert crew.ask(divmod, 5, 2)() == (2, 1)


def test_question_that_fails_elsewhere_fails_here() -> None:
    with setters.setters(2) as crew, pytest.raises(ZeroDivisionError):
        crew.ask(divmod, 1, 0)()


def test_what_a_process_sets_aside_is_gone_when_it_ends() -> None:
    with setters.setters(2) as crew:
        aside = Path(crew.ask(tempfile.mkdtemp)())
        compiled = Path(crew.ask(os.getenv, "TMPDIR")())
        assert aside.is_dir()
        assert aside.parent == compiled != Path(tempfile.gettempdir())
    assert not compiled.exists()


@pytest.mark.parametrize("dead", [1, 2])
def test_pages_are_set_though_processes_died_of_a_question(dead: int) -> None:
    here = os.getpid()
    with setters.setters(2) as crew:
        answers = [crew.ask(_dead_elsewhere, here) for _ in range(dead)]
        assert [each.name for each in render_all(JOBS, crew=crew)] == [job.name for job in JOBS]
        assert [answer() for answer in answers] == ["answered"] * dead


def _dead_elsewhere(here: int) -> str:
    if os.getpid() != here:
        os._exit(9)
    return "answered"


def test_what_was_set_in_the_same_run_is_not_set_again_without_a_cache() -> None:
    known: dict[str, Rendered] = {}
    render_all(JOBS[:2], workers=1, known=known)
    again = render_all(JOBS[:3], workers=1, known=known)
    assert [result.fresh for result in again] == [False, False, True]


def test_the_last_process_is_started_when_there_is_something_for_it() -> None:
    with setters.setters(3) as crew:
        assert crew.running == 2
        crew.complete()
        crew.complete()
        assert crew.running == 3
    with setters.setters(2) as crew:
        assert crew.running == 1
        assert render_all(JOBS[:1], crew=crew)[0].name == JOBS[0].name
        assert crew.running == 2


def test_pages_begun_ahead_are_those_that_are_set(tmp_path: Path) -> None:
    alone = render_all(JOBS, workers=1)
    with setters.setters(2) as crew:
        crew.complete()
        begun = {}
        for job in JOBS:
            if crew.idle:
                begun[job_key(job)] = crew.begin(job)
        assert len(begun) == min(2, len(JOBS))
        assert not crew.idle
        assert render_all(JOBS, crew=crew, cache=ResultCache(tmp_path), begun=begun) == alone
        assert crew.idle
    assert all(not each.fresh for each in render_all(JOBS, cache=ResultCache(tmp_path)))


def test_pages_begun_ahead_that_cannot_be_set_are_told_of() -> None:
    hopeless = _job("SOP-66", '<img alt="x" src="http://127.0.0.1:9/">')
    with setters.setters(2) as crew:
        begun = {job_key(hopeless): crew.begin(hopeless)}
        with pytest.raises(RenderError, match=hopeless.name):
            render_all([hopeless, *JOBS], crew=crew, begun=begun)
        assert [each.name for each in render_all(JOBS, crew=crew)] == [job.name for job in JOBS]


def test_pages_begun_in_a_process_that_dies_are_set_here() -> None:
    with setters.setters(2) as crew:
        begun = crew.begin(JOBS[0])
        for worker in crew._workers:
            worker.process.kill()
        assert begun() == render_all(JOBS[:1], workers=1)[0]
