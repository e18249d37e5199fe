"""Requests to stop: never lost, never in the middle of what must not be broken off, always told by one status."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path

import pytest

from sopc.render import setters
from sopc.render.job import Job, Rendered
from sopc.render.stopping import stopping_later

ROOT = Path(__file__).resolve().parents[2]
HOW = (signal.SIGINT, signal.SIGTERM)


class Asked(KeyboardInterrupt):
    """What the handlers of these tests raise."""


@contextmanager
def handled() -> Iterator[None]:
    def raise_it(*_: object) -> None:
        raise Asked

    before = {number: signal.signal(number, raise_it) for number in HOW}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@pytest.mark.parametrize("how", HOW)
def test_a_request_waits_until_it_is_asked_for(how: signal.Signals) -> None:
    with handled(), stopping_later() as stop_if_asked:
        stop_if_asked()
        signal.raise_signal(how)
        with pytest.raises(Asked):
            stop_if_asked()
        stop_if_asked()


def failing(how: signal.Signals) -> None:
    with stopping_later():
        signal.raise_signal(how)
        raise ValueError("failed")


@pytest.mark.parametrize("how", HOW)
def test_a_request_waits_for_the_end_of_the_block_and_comes_before_its_failure(how: signal.Signals) -> None:
    with handled(), pytest.raises(Asked):
        failing(how)


def test_handlers_are_as_they_were_and_what_is_ignored_stays_so() -> None:
    with handled():
        before = [signal.getsignal(number) for number in HOW]
        with stopping_later():
            assert [signal.getsignal(number) for number in HOW] != before
        assert [signal.getsignal(number) for number in HOW] == before
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
        with stopping_later() as stop_if_asked:
            signal.raise_signal(signal.SIGTERM)
            stop_if_asked()


def test_no_further_page_is_set_once_a_stop_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []

    def swallowing(job: Job, _: object) -> Rendered:
        with suppress(BaseException):
            signal.raise_signal(signal.SIGINT)
        return Rendered(job.name, b"", 1, fresh=True)

    monkeypatch.setattr(setters, "set_page", swallowing)
    jobs = [Job(name, "", date(2026, 12, 1)) for name in "ab"]
    with handled(), setters.setters(1) as crew, pytest.raises(Asked):
        crew.set_pages(jobs, [0, 1], lambda _, rendered: done.append(rendered.name), 60)
    assert done == ["a"]


PROGRAM = """
import signal, sys
from sopc import cli
cli.commands.main = lambda **_: exec("signal.raise_signal(int(sys.argv[1]))")
sys.exit(cli.run([]))
"""


@pytest.mark.parametrize("how", HOW)
def test_the_status_is_the_same_wherever_the_request_arrives(tmp_path: Path, how: signal.Signals) -> None:
    """In code made from a text, as dataclasses are, Python would end `-m` by SIGINT however it is caught."""
    (tmp_path / "program.py").write_text(PROGRAM)
    command = [sys.executable, "-m", "program", str(int(how))]
    here = {**os.environ, "PYTHONPATH": str(ROOT)}
    ended = subprocess.run(command, cwd=tmp_path, env=here, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stderr) == (2, "sopc: stopped; nothing is left half done.\n")
