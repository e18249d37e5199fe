"""Renders many pages to PDF with several processes, and never the same page twice."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import tempfile
import traceback
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

from sopc.render.cache import ResultCache, digest, pen
from sopc.render.pdf import settled_garbage, write_pdf
from sopc.render.type_case import PREFIX, TypeCase, type_case

_MADE_BY = ("sopc", "weasyprint", "pydyf", "fonttools", "font-source-sans-pro")
_IDLE = -1


@dataclass(frozen=True, slots=True)
class Job:
    """One PDF to be made: a name for messages, the page, what the page may ask for, and its date."""

    name: str
    html: str
    dated: date
    assets: Mapping[str, bytes] = field(default_factory=dict)
    tagged: bool = True


@dataclass(frozen=True, slots=True)
class Rendered:
    """One finished PDF; `fresh` is false when it came from the cache, `complaints` are the engine's own."""

    name: str
    pdf: bytes
    fresh: bool
    complaints: tuple[str, ...] = ()


class RenderError(RuntimeError):
    """A job could not be rendered; the text names the job and the reason."""


Progress = Callable[[str, int, int], None]
"""Called with the job's name, the number of jobs done and the number of all jobs."""


def render_all(
    jobs: Sequence[Job],
    *,
    cache: ResultCache | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    seconds_per_job: float = 600,
) -> list[Rendered]:
    """Return the finished PDFs in the order of the jobs.

    Jobs found in the cache are not rendered. `workers` is the number of processes, by default one for each
    core at hand. Raises RenderError when a job cannot be rendered, its process dies or takes longer than
    `seconds_per_job`.
    """
    keys = [job_key(job) for job in jobs]
    done: dict[int, Rendered] = {}

    def finish(index: int, result: Rendered) -> None:
        done[index] = result
        if cache and result.fresh:
            cache.put(keys[index], result.pdf)
        if progress:
            progress(result.name, len(done), len(jobs))

    for index, key in enumerate(keys):
        found = cache.get(key) if cache else None
        if found is not None:
            finish(index, Rendered(jobs[index].name, found, fresh=False))
    missing = [index for index in range(len(jobs)) if index not in done]
    # The longest pages first, so that no process is left alone with a long one at the end.
    missing.sort(key=lambda index: (-len(jobs[index].html), index))
    count = min(workers or _cores(), len(missing))
    if count > 1:
        _render_in_processes(jobs, missing, count, finish, seconds_per_job)
    elif missing:
        _render_here(jobs, missing, finish)
    return [done[index] for index in range(len(jobs))]


def job_key(job: Job) -> str:
    """Return the hash of all that the bytes of a job's PDF depend on."""
    parts: list[bytes | str] = [*_makers(), pen(), job.html, job.dated.isoformat(), str(job.tagged)]
    for name in sorted(job.assets):
        parts += [name, job.assets[name]]
    return digest(*parts)


@lru_cache(maxsize=1)
def _makers() -> tuple[str, ...]:
    return tuple(f"{package} {_version(package)}" for package in _MADE_BY)


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "unknown"


def _cores() -> int:
    available = getattr(os, "sched_getaffinity", None)
    return len(available(0)) if available else os.cpu_count() or 1


def _render(job: Job, case: TypeCase) -> Rendered:
    complaints: list[str] = []
    data = write_pdf(job.html, job.assets, job.dated, tagged=job.tagged, warn=complaints.append, case=case)
    return Rendered(job.name, data, fresh=True, complaints=tuple(complaints))


def _render_here(jobs: Sequence[Job], order: Sequence[int], finish: Callable[[int, Rendered], None]) -> None:
    with settled_garbage(), type_case() as case:
        for index in order:
            try:
                result = _render(jobs[index], case)
            except Exception as fault:
                raise RenderError(f"{jobs[index].name}: {fault}") from fault
            finish(index, result)


@dataclass(slots=True)
class _Worker:
    process: Any
    pipe: Connection
    index: int = _IDLE


def _render_in_processes(
    jobs: Sequence[Job],
    order: Sequence[int],
    count: int,
    finish: Callable[[int, Rendered], None],
    seconds_per_job: float,
) -> None:
    import weasyprint  # noqa: F401  # loaded before the fork, so that each process has it for nothing

    waiting = list(reversed(order))
    workers: list[_Worker] = []
    shared = Path(tempfile.mkdtemp(prefix=PREFIX))
    try:
        with settled_garbage():
            workers.extend(_start(shared) for _ in range(count))
        busy = [worker for worker in workers if _hand_out(worker, jobs, waiting)]
        while busy:
            ready = wait([worker.pipe for worker in busy], timeout=seconds_per_job)
            if not ready:
                names = ", ".join(jobs[worker.index].name for worker in busy)
                raise RenderError(f"{names}: not finished after {seconds_per_job:g} seconds")
            for worker in [worker for worker in busy if worker.pipe in ready]:
                finish(worker.index, _collect(worker, jobs[worker.index].name))
                if not _hand_out(worker, jobs, waiting):
                    busy.remove(worker)
    finally:
        for worker in workers:
            _stop(worker)
        # A process that was killed could not tidy up after itself.
        shutil.rmtree(shared, ignore_errors=True)


def _start(shared: Path) -> _Worker:
    methods = multiprocessing.get_all_start_methods()
    context: Any = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_work, args=(theirs, ours, shared), daemon=True)
    process.start()
    theirs.close()
    return _Worker(process, ours)


def _hand_out(worker: _Worker, jobs: Sequence[Job], waiting: list[int]) -> bool:
    if not waiting:
        worker.index = _IDLE
        return False
    worker.index = waiting.pop()
    try:
        worker.pipe.send(jobs[worker.index])
    except OSError as fault:
        raise RenderError(f"{jobs[worker.index].name}: the rendering process is gone") from fault
    return True


def _collect(worker: _Worker, name: str) -> Rendered:
    try:
        answer = worker.pipe.recv()
    except (EOFError, OSError):
        worker.process.join(5)
        raise RenderError(f"{name}: the rendering process died (exit {worker.process.exitcode})") from None
    if isinstance(answer, Rendered):
        return answer
    reason, trace = answer
    failure = RenderError(f"{name}: {reason}")
    failure.add_note(trace)
    raise failure


def _stop(worker: _Worker) -> None:
    if worker.index == _IDLE:
        with suppress(OSError):
            worker.pipe.send(None)
        worker.process.join(5)
    worker.pipe.close()
    if worker.process.is_alive():
        worker.process.terminate()
        worker.process.join(5)


def _work(pipe: Connection, other_end: Connection, shared: Path) -> None:
    """Render jobs from the pipe until None comes or its other end is closed, as it is when the parent dies."""
    # An interrupt from the keyboard reaches all processes; the parent decides what becomes of them.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    # A forked process holds the parent's end too; while it does, it would never see it closed.
    other_end.close()
    with settled_garbage(), type_case(shared) as case, suppress(EOFError, OSError):
        while (job := pipe.recv()) is not None:
            pipe.send(_answer(job, case))


def _answer(job: Job, case: TypeCase) -> Rendered | tuple[str, str]:
    try:
        return _render(job, case)
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}", traceback.format_exc()
