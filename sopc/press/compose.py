"""Composes everything an order asks for into finished files, rendering only what is not in the cache."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from sopc.documents.binder import blank_backs, documents_but_days, with_day_plans, with_page_counts
from sopc.documents.binder_document import BinderDocument
from sopc.documents.chart_sheet import chart_sheet_html
from sopc.documents.day_plan import days_begun
from sopc.documents.log_room import NoRoom
from sopc.documents.logs import LogDocument, log_documents
from sopc.model.nouns import Procedure
from sopc.press.charting import WallChart, binder_flowcharts, wall_charts
from sopc.press.desk import Desk
from sopc.press.figures import figures_of
from sopc.press.order import Order, Paper, PressError, Progress
from sopc.render.cache import ResultCache, digest, pen
from sopc.render.job import Job, Rendered, RenderError
from sopc.render.join import Joined, Part, join, join_at_the_end
from sopc.render.pool import job_key, render_all
from sopc.render.setters import Setters
from sopc.render.standalone import standalone

CACHE_FOLDER = ".cache"
CACHE_BYTES = 500 * 1024 * 1024
INDEX_ROWS = 26  # on a page, more or less


@dataclass(slots=True)
class _Run:
    """One run: what it renders and with whom, what is finished, and which documents were not in the cache."""

    order: Order
    progress: Progress
    crew: Setters | None
    cache: ResultCache
    papers: list[Paper] = field(default_factory=list)
    fresh: set[str] = field(default_factory=set)
    known: dict[str, Rendered] = field(default_factory=dict)  # by the key of the job
    begun: dict[str, Callable[[], Rendered]] = field(default_factory=dict)  # set ahead, by the same key

    def render(self, jobs: Sequence[Job]) -> list[Rendered]:
        try:
            done = render_all(
                jobs, cache=self.cache, workers=self.order.workers, crew=self.crew, progress=self.progress,
                known=self.known, begun=self.begun,
            )  # fmt: skip
        except RenderError as error:
            raise PressError(f"a page could not be set: {error}") from error
        self.fresh.update(each.name for each in done if each.fresh)
        return done

    def join(self, parts: Sequence[Part], **how: Any) -> Joined:
        """Join the parts: by one of the crew if there is any, as it need not let go of what it read."""
        if self.crew is None or not self.crew.running:
            return join(parts, **how)
        whole: Joined = self.crew.ask(partial(join_at_the_end, parts, **how))()
        return whole

    def attend(self) -> None:
        """Let the crew go on while something else is done here."""
        if self.crew is not None:
            self.crew.attend()

    def begin(self, job: Job) -> None:
        """Have pages set while the next ones are composed, where a process is idle and they are not known."""
        self.attend()
        if self.crew is not None and self.crew.idle and self.cache.get(key := job_key(job)) is None:
            self.begun[key] = self.crew.begin(job)


def compose(order: Order, progress: Progress, crew: Setters | None) -> tuple[list[Paper], int]:
    """Return every file asked for and the number of documents that had to be set anew."""
    if crew is not None:
        crew.complete()
    run = _Run(order, progress, crew, ResultCache(order.out / CACHE_FOLDER))
    procedures = in_order(order.office.procedures.values())
    documents = _binder_pages(run, procedures) if order.wants("binder") else ()
    charts = list(wall_charts(order, procedures, run.cache)) if order.wants("charts") else []
    logs = _logs(order) if order.wants("logs") else []
    bound = [document for document in documents if document.kind != "index"]
    guess = [_job(order, document) for document in _guessed_index(run, documents)]
    jobs = [
        *(_job(order, document) for document in bound),
        *(Job(f"chart {each.procedure.id} {each.paper}", chart_sheet_html(order.office, each.procedure, order.today, [
            (sheet.svg, sheet.width, sheet.height) for sheet in each.sheets]), order.today) for each in charts),
        *(Job(f"log {log.id}", log.html, order.today, log.assets) for log in logs),
    ]  # fmt: skip
    done = run.render([*jobs, *guess])[: len(jobs)]
    count = len(bound)
    if documents:
        _binder(run, documents, done[:count])
    for chart, rendered in zip(charts, done[count : count + len(charts)], strict=True):
        _chart_papers(run, chart, rendered)
    for log, rendered in zip(logs, done[count + len(charts) :], strict=True):
        path = f"logs/{slug(log.id)}-{slug(log.name)}.pdf"
        run.papers.append(Paper(path, rendered.pdf, log.id, log.title, pages=rendered.pages))
    run.cache.prune(CACHE_BYTES)
    return run.papers, len(run.fresh)


def in_order(procedures: Iterable[Procedure]) -> list[Procedure]:
    """Procedures by document id, then by name."""
    return sorted(procedures, key=lambda each: (each.id == "", each.id, each.name))


def slug(text: str) -> str:
    """A file name of plain letters: whatever the text says, it names a file in this folder and no other."""
    return re.sub(r"[^A-Za-z0-9]+", "-", text).strip("-")[:60] or "document"


def _job(order: Order, document: BinderDocument) -> Job:
    return Job(f"{document.id} {document.title}", document.html, order.today, document.assets, prefix=f"{document.id}/")


def _binder_pages(run: _Run, procedures: Sequence[Procedure]) -> tuple[BinderDocument, ...]:
    """All documents of the binder; where days must be played for it, the others are composed while that is done."""
    order, desk = run.order, Desk(run.cache, run.crew)
    days = days_begun(order.office, desk.work)
    flowcharts = binder_flowcharts(order, procedures, run.cache, run.attend)
    figures = figures_of(order.office, order.folder)
    documents = documents_but_days(
        order.office, order.today, flowcharts, figures, lambda document: run.begin(_job(order, document))
    )
    return with_day_plans(order.office, documents, order.today, [each.finished() for each in days])


def _guessed_index(run: _Run, documents: tuple[BinderDocument, ...]) -> list[BinderDocument]:
    """The index and the blank backs, to be set beside the others, as if all kept their number of pages.

    Both need to know how many pages the others have, and so would be set when all else is finished. A wrong guess
    costs a little time only.
    """
    counts = _last_counts(run)
    if not documents or not counts:
        return []
    guessed = with_page_counts(run.order.office, documents, run.order.today, counts)
    index = next(document for document in guessed if document.kind == "index")
    return [index, blank_backs(run.order.office, guessed, run.order.today, counts)]


def _last_counts(run: _Run) -> dict[str, int]:
    """How many pages each document had when this paper was printed last; empty at the first time."""
    known = run.cache.get(_counts_key(run.order))
    return dict(json.loads(known)) if known is not None else {}


def _counts_key(order: Order) -> str:
    return digest("page counts of the last run", pen(), order.name)


def _binder(run: _Run, documents: tuple[BinderDocument, ...], done: Sequence[Rendered]) -> None:
    order = run.order
    others = [document for document in documents if document.kind != "index"]
    finished = {document.id: rendered for document, rendered in zip(others, done, strict=True)}
    counts = {id: rendered.pages for id, rendered in finished.items()}
    documents = with_page_counts(order.office, documents, order.today, counts)
    index = next(document for document in documents if document.kind == "index")
    # The backs need to know how long the index is: most often as long as last time, or as so many rows are.
    likely = {**counts, index.id: _last_counts(run).get(index.id, -(-len(documents) // INDEX_ROWS))}
    guess = blank_backs(order.office, documents, order.today, likely)
    finished[index.id] = run.render([_job(order, index), _job(order, guess)])[0]
    counts[index.id] = finished[index.id].pages
    run.cache.put(_counts_key(order), json.dumps(counts).encode())
    (backs,) = run.render([_job(order, blank_backs(order.office, documents, order.today, counts))])
    for document in documents:
        if document.kind == "procedure":
            run.papers.append(
                _paper(f"sops/{slug(document.id)}-{slug(document.title)}.pdf", finished[document.id], document)
            )
    parts = [
        Part(document.id, f"{document.id} {document.title}", finished[document.id].pdf, cells_named=True)
        for document in documents
    ]
    title = f"{order.office.premises.name}: infection-control binder"
    whole = run.join(
        parts, title=title, dated=order.today, language=order.office.premises.language, right_hand=True,
        blanks=backs.pdf,
    )  # fmt: skip
    run.papers.append(
        Paper("binder.pdf", whole.pdf, index.id, title, source=order.office.digest[:8], pages=whole.pages)
    )


def _paper(path: str, done: Rendered, document: BinderDocument) -> Paper:
    return Paper(path, done.pdf, document.id, document.title, document.revision, document.source, done.pages)


def _chart_papers(run: _Run, chart: WallChart, rendered: Rendered) -> None:
    procedure = chart.procedure
    base = f"charts/{slug(procedure.id or procedure.name)}-{slug(procedure.title)}-{chart.paper}"
    revision = "" if procedure.revision is None else f"Revision {procedure.revision}"
    run.papers.append(
        Paper(f"{base}.pdf", rendered.pdf, procedure.id, procedure.title, revision, pages=len(chart.sheets))
    )
    for number, sheet in enumerate(chart.sheets, 1):
        svg = standalone(sheet.svg).encode()
        run.papers.append(Paper(f"{base}-{number}.svg", svg, procedure.id, procedure.title, revision))


def _logs(order: Order) -> list[LogDocument]:
    found: list[LogDocument] = []
    for each in log_documents(order.office, order.first, order.last, order.today):
        if isinstance(each, NoRoom):
            raise PressError(f"{each.log.span}: {each.sentence} {each.fix}")
        found.append(each)
    return found
