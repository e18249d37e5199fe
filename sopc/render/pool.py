"""Renders many pages to PDF, side by side, and never the same page twice."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from types import MappingProxyType

from sopc.render.cache import ResultCache, digest, pen
from sopc.render.job import Job, Rendered, RenderError
from sopc.render.setters import Setters, cores, setters

__all__ = ["Job", "RenderError", "Rendered", "job_key", "render_all"]

_MADE_BY = ("sopc", "weasyprint", "pydyf", "fonttools", "font-source-sans-pro")
_COUNT_BYTES = 4

Progress = Callable[[str, int, int], None]
"""Called with the job's name, the number of jobs done and the number of all jobs."""


def render_all(
    jobs: Sequence[Job],
    *,
    cache: ResultCache | None = None,
    workers: int | None = None,
    crew: Setters | None = None,
    progress: Progress | None = None,
    seconds_per_job: float = 600,
    known: dict[str, Rendered] | None = None,
    begun: Mapping[str, Callable[[], Rendered]] = MappingProxyType({}),
) -> list[Rendered]:
    """Return the finished PDFs in the order of the jobs.

    Jobs found in the cache are not rendered. `crew` are processes that run already; without it some are started,
    at most `workers`, by default one for each core at hand. `known` holds what was rendered in the same run, by key,
    and takes up what comes to it; `begun` has calls that wait for what is being rendered already. Raises RenderError
    when a job cannot be rendered, its process dies or takes longer than `seconds_per_job`.
    """
    keys = [job_key(job) for job in jobs]
    done: dict[int, Rendered] = {}

    def finish(index: int, result: Rendered) -> None:
        done[index] = result
        if known is not None:
            known[keys[index]] = result
        if cache and result.fresh:
            cache.put(keys[index], result.pages.to_bytes(_COUNT_BYTES, "big") + result.pdf)
        if progress:
            progress(result.name, len(done), len(jobs))

    for index, key in enumerate(keys):
        if known is not None and key in known:
            finish(index, replace(known[key], fresh=False))
            continue
        found = cache.get(key) if cache else None
        if found is not None:
            count = int.from_bytes(found[:_COUNT_BYTES], "big")
            finish(index, Rendered(jobs[index].name, found[_COUNT_BYTES:], count, fresh=False))
    ahead = [index for index in range(len(jobs)) if index not in done and keys[index] in begun]
    missing = [index for index in range(len(jobs)) if index not in done and index not in ahead]
    # The longest pages first, so that no process is left alone with a long one at the end.
    missing.sort(key=lambda index: (-len(jobs[index].html), index))
    if missing and crew:
        crew.set_pages(jobs, missing, finish, seconds_per_job)
    elif missing:
        with setters(min(workers or cores(), len(missing))) as own:
            own.set_pages(jobs, missing, finish, seconds_per_job)
    for index in ahead:
        finish(index, begun[keys[index]]())
    return [done[index] for index in range(len(jobs))]


def job_key(job: Job) -> str:
    """Return the hash of all that the bytes of a job's PDF depend on."""
    parts: list[bytes | str] = [*_makers(), pen(), job.html, job.dated.isoformat(), str(job.tagged), job.prefix]
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
