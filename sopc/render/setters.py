"""Processes that set pages, and work out sums before there are any: started early, gone with all they kept."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import signal
import tempfile
import traceback
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import partial
from multiprocessing.connection import Connection, wait
from pathlib import Path
from typing import Any

from sopc.render.job import Job, Rendered, RenderError
from sopc.render.pdf import pages, settled_garbage, write_pdf
from sopc.render.stopping import stopping_later
from sopc.render.type_case import PREFIX, TypeCase, type_case

_IDLE = -1
Finish = Callable[[int, Rendered], None]
"""Called with the number of a job and what came of it."""


@contextmanager
def setters(count: int | None = None) -> Iterator[Setters]:
    """Processes for the time of the block: `count`, by default one for each core. With one, this process sets."""
    number = count or cores()
    crew = Setters(number, Path(tempfile.mkdtemp(prefix=PREFIX)))
    try:
        if number > 1:
            crew.start()
        yield crew
    finally:
        crew.stop()


def cores() -> int:
    """The number of cores at hand."""
    available = getattr(os, "sched_getaffinity", None)
    return len(available(0)) if available else os.cpu_count() or 1


def set_page(job: Job, case: TypeCase) -> Rendered:
    """Set one job's pages in this process."""
    complaints: list[str] = []
    data = write_pdf(
        job.html, job.assets, job.dated, tagged=job.tagged, warn=complaints.append, case=case, prefix=job.prefix
    )
    return Rendered(job.name, data, pages(data), fresh=True, complaints=tuple(complaints))


@dataclass(slots=True, eq=False)
class _Question:
    """Something to work out, or pages to set ahead; `found` holds what came of it, nothing where that failed."""

    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    found: list[Any] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Answer:
    value: Any


@dataclass(slots=True)
class _Worker:
    process: Any
    pipe: Connection
    index: int = _IDLE
    question: _Question | None = None  # what it works out meanwhile


@dataclass(slots=True)
class Setters:
    """The processes of one run and the folder that holds all their temporary files."""

    count: int
    _shared: Path
    _workers: list[_Worker] = field(default_factory=list)
    _asked: list[_Question] = field(default_factory=list)  # handed to nobody yet
    _lacking: bool = False  # whether one is still to be started

    def start(self) -> None:
        """Start all processes but one; each loads the layout engine at once, while this one does something else."""
        with settled_garbage():
            self._workers.extend(_start(self._shared) for _ in range(self.count - 1))
            self._lacking = True

    @property
    def running(self) -> int:
        """How many processes there are."""
        return len(self._workers)

    def complete(self) -> None:
        """Start the last one too, now that this process has little else to do than to wait for pages."""
        if self._lacking:
            self._lacking = False
            with settled_garbage():
                self._workers.append(_start(self._shared))

    def set_pages(self, jobs: Sequence[Job], order: Sequence[int], finish: Finish, seconds_per_job: float) -> None:
        """Set the jobs in this order. Raises RenderError when one fails or its process dies or takes too long."""
        self.complete()
        waiting = list(reversed(order))
        left = len(waiting)
        while left:
            if not self._workers:
                _set_here(jobs, waiting[::-1], finish)
                return
            self._hand_out_questions()
            for worker in self._workers:
                if worker.index == _IDLE and worker.question is None and waiting:
                    _hand_out(worker, jobs, waiting.pop())
            busy = [worker for worker in self._workers if worker.index != _IDLE or worker.question is not None]
            ready = wait([worker.pipe for worker in busy], timeout=seconds_per_job)
            if not ready:
                names = ", ".join(jobs[worker.index].name for worker in busy if worker.index != _IDLE)
                raise RenderError(f"{names or 'a sum'}: not finished after {seconds_per_job:g} seconds")
            for worker in [worker for worker in busy if worker.pipe in ready]:
                if worker.question is not None:
                    self._take_answer(worker)
                    continue
                index, worker.index = worker.index, _IDLE
                finish(index, _collect(worker, jobs[index].name))
                left -= 1

    def ask(self, function: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
        """Let a process that would be idle work something out; the call that is returned waits for the result.

        It is worked out in this process when it is called for before another could begin, and where another failed.
        """
        self.complete()
        question = _Question(function, arguments)
        self._asked.append(question)
        self._hand_out_questions()
        return partial(self._result, question)

    def attend(self) -> None:
        """Take what was worked out or set ahead meanwhile, and hand out what waits; to be called now and then."""
        for worker in [each for each in self._workers if each.question is not None and each.pipe.poll()]:
            self._take_answer(worker)
        self._hand_out_questions()

    @property
    def idle(self) -> bool:
        """Whether a process has nothing to do and nothing is waiting for one."""
        return not self._asked and any(each.index == _IDLE and each.question is None for each in self._workers)

    def begin(self, job: Job) -> Callable[[], Rendered]:
        """Let a process that is idle set pages ahead; the call that is returned waits for them.

        Raises RenderError when they cannot be set.
        """
        return self.ask(_set_alone, job)

    def _result(self, question: _Question) -> Any:
        while not question.found and any(each.question is question for each in self._workers):
            asked = [each for each in self._workers if each.question is not None]
            ready = wait([each.pipe for each in asked])
            for worker in [each for each in asked if each.pipe in ready]:
                self._take_answer(worker)
            self._hand_out_questions()
        if question in self._asked:
            self._asked.remove(question)
        return question.found[0] if question.found else question.function(*question.arguments)

    def _hand_out_questions(self) -> None:
        for worker in list(self._workers):
            if not self._asked:
                return
            if worker.index == _IDLE and worker.question is None:
                worker.question = self._asked.pop(0)
                try:
                    worker.pipe.send(worker.question)
                except OSError:
                    self._dismiss(worker)

    def _take_answer(self, worker: _Worker) -> None:
        """Wait for what a process works out; one that died is let go."""
        question, worker.question = worker.question, None
        assert question is not None
        try:
            answer = worker.pipe.recv()
        except (EOFError, OSError):
            self._dismiss(worker)
            return
        if isinstance(answer, _Answer):
            question.found.append(answer.value)

    def _dismiss(self, worker: _Worker) -> None:
        self._workers.remove(worker)
        _stop(worker)

    def stop(self) -> None:
        """End the processes and remove their folder; a process that was killed could not tidy up after itself."""
        for worker in self._workers:
            _stop(worker)
        shutil.rmtree(self._shared, ignore_errors=True)


def _set_here(jobs: Sequence[Job], order: Sequence[int], finish: Finish) -> None:
    with stopping_later() as stop_if_asked:
        import weasyprint  # noqa: F401  # loaded before the garbage is settled

        with settled_garbage(), type_case() as case:
            for index in order:
                try:
                    result = set_page(jobs[index], case)
                except Exception as fault:
                    raise RenderError(f"{jobs[index].name}: {fault}") from fault
                finish(index, result)
                stop_if_asked()


def _start(shared: Path) -> _Worker:
    methods = multiprocessing.get_all_start_methods()
    context: Any = multiprocessing.get_context("fork" if "fork" in methods else "spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_work, args=(theirs, ours, shared), daemon=True)
    process.start()
    theirs.close()
    return _Worker(process, ours)


def _hand_out(worker: _Worker, jobs: Sequence[Job], index: int) -> None:
    worker.index = index
    try:
        worker.pipe.send(jobs[index])
    except OSError as fault:
        raise RenderError(f"{jobs[index].name}: the rendering process is gone") from fault


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
    """End a process at once: what it keeps is of no use to anyone, and its files are removed by this one."""
    worker.pipe.close()
    worker.process.terminate()
    worker.process.join(5)


def _work(pipe: Connection, other_end: Connection, shared: Path) -> None:
    """Set jobs from the pipe until None comes or its other end is closed, as it is when the parent dies."""
    # An interrupt from the keyboard reaches all processes; the parent decides what becomes of them.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    # A forked process holds the parent's end too; while it does, it would never see it closed.
    other_end.close()
    # What libraries put aside, even while they look for each other, goes with the folder.
    os.environ["TMPDIR"] = tempfile.tempdir = str(shared)
    import pikepdf  # noqa: F401
    import weasyprint  # noqa: F401

    with settled_garbage(), type_case(shared) as case, suppress(EOFError, OSError):
        while (job := pipe.recv()) is not None:
            pipe.send(_answer(job, case))


def _set_alone(job: Job) -> Rendered:
    """Set pages here, for a process that could not."""
    try:
        with type_case() as case:
            return set_page(job, case)
    except Exception as fault:
        raise RenderError(f"{job.name}: {fault}") from fault


def _answer(job: Job | _Question, case: TypeCase) -> Rendered | _Answer | tuple[str, str]:
    try:
        if isinstance(job, _Question) and job.function is _set_alone:
            return _Answer(set_page(job.arguments[0], case))
        if isinstance(job, _Question):
            return _Answer(job.function(*job.arguments))
        return set_page(job, case)
    except Exception as fault:
        return f"{type(fault).__name__}: {fault}", traceback.format_exc()
