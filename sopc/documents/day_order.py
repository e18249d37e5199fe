"""The order of work that a day is proven with, on paper: a table for each person and machine, one line a turn."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from sopc.checks.days.day import OfficeDay
from sopc.checks.days.proof import Safe
from sopc.checks.days.turn_figures import turn_figures, turns_from
from sopc.checks.days.turns import DayTurns, Moment, Queue, Turn, Wait, in_clauses, proven
from sopc.checks.days.work import Spacing
from sopc.documents import wording
from sopc.documents.day_steps import last_step, steps_between
from sopc.documents.register import Cell, Column, Section, Table
from sopc.documents.working_out import Work, here
from sopc.model.nouns import WayLimit
from sopc.trade.quantities import NBSP
from sopc.trade.simulation import Job, Visit

DAY = 24 * 3600
MINUTE = 60


@dataclass(frozen=True, slots=True)
class Line:
    """One turn in words. `begins`: seconds after midnight on a day on which everything takes its longest."""

    begins: int
    what: str
    sets: tuple[str, ...]
    waits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """The turns of one machine or of one person, and the titles of the procedures that they name by their numbers."""

    title: str
    person: bool
    lines: tuple[Line, ...]
    key: tuple[str, ...] = ()


def turns_begun(made: OfficeDay, proof: Safe, work: Work = here) -> Callable[[], DayTurns]:
    """The turns of every person, chair and machine, when they are asked for; begun at once, as they take long."""
    figures = work(turn_figures, proven(made, proof))
    return lambda: in_clauses(turns_from(figures()), proof)


def orders_of(made: OfficeDay, proof: Safe, turns: DayTurns) -> tuple[Order, ...]:
    """The turns of every person, chair and machine in words, people first."""
    words = _Words(made, proof.run.jobs)
    orders = [
        words.order(made.unit_title(each.pool, each.number), each.person, each.turns)
        for each in sorted(turns.queues, key=_people_first)
    ]
    if turns.loose:
        orders.append(words.order("By itself", False, turns.loose))
    return tuple(orders)


def _people_first(queue: Queue) -> bool:
    return not queue.person


def order_sections(orders: Sequence[Order], turns: DayTurns) -> Iterator[Section]:
    """What the order is good for, and a table for each."""
    if turns.missed:
        text = (
            "This order is proven to be possible, but not every limit is kept by it alone: keep an eye on "
            f"{wording.in_series(_limits(turns))}. "
        )
    else:
        text = (
            "Whoever begins each line as soon as the line above it is over and what it waits for has come, keeps every "
            "limit, whatever machines and patients take. Hands are reckoned as quick as their steps allow: where work "
            "takes longer, heed the limits on the procedure’s page. "
        )
    text += (
        "Begin nothing sooner. The hours are those of a day on which everything takes its longest: on a quicker day "
        "each line comes sooner, in the same order. No visit begins before its hour. Each person’s table begins a "
        "page of its own, to be taken along."
    )
    yield Section("The order of work", text)
    for order in orders:
        yield Section(order.title, " · ".join(order.key), (_table(order),), fresh=order.person, large=True)


def _limits(turns: DayTurns) -> list[str]:
    return list(dict.fromkeys(_limit(bound.clause) for bound in turns.missed))


def _limit(clause: object) -> str:
    if isinstance(clause, WayLimit):
        return "the limits along circuits"
    return "the limits inside procedures" if isinstance(clause, Spacing) else "the hours of visits, breaks and the end"


def _table(order: Order) -> Table:
    rows: list[tuple[Cell, ...]] = []
    days = 0
    for line in order.lines:
        if line.begins // DAY > days:
            days = line.begins // DAY
            rows.append((Cell(""), Cell("Next day", strong=True), Cell()))
        hour = f"{line.begins // 3600 % 24:02d}:{line.begins // MINUTE % 60:02d}"
        what = " · ".join(part for part in (line.what, ", ".join(line.sets)) if part)
        waits = Cell(line.waits[0] if line.waits else "–", lines=line.waits[1:])
        rows.append((Cell(hour, strong=True), Cell(what), waits))
    return Table((Column("Begins", "9%"), Column(order.title, "54%"), Column("Wait until", "")), tuple(rows))


class _Words:
    """Says turns and waits by the names that the pages give to loads and visits."""

    def __init__(self, made: OfficeDay, jobs: Sequence[Job]) -> None:
        self._made, self._jobs = made, jobs
        self._booked = Counter(job.ready for job in jobs if isinstance(job.work, Visit))
        self._names = self._named(jobs)

    def order(self, title: str, person: bool, turns: Sequence[Turn]) -> Order:
        """Return the lines of one machine or person with their key."""
        lines = tuple(map(self.line, turns))
        named = " ".join(part for line in lines for part in (line.what, *line.waits))
        office = self._made.office
        found = (
            each for each in office.procedures.values() if each.id and re.search(rf"{re.escape(each.id)}\b", named)
        )
        key = sorted(found, key=lambda each: wording.natural(each.id))
        return Order(title, person, lines, tuple(f"{each.id} {each.title}" for each in key))

    def line(self, turn: Turn) -> Line:
        """Return one line."""
        job = self._jobs[turn.job]
        what, sets = self._head(job, turn)
        waits = [self._wait(wait, turn) for wait in turn.waits if not self._is_its_hour(wait, job)]
        following = steps_between(self._made, job, turn.last + 1, turn.last + 1) if turn.then else ""
        waits += [f"before {following or 'what follows'} begins: {self._wait(wait, turn)}" for wait in turn.then]
        return Line(turn.begins, what, sets, tuple(waits))

    def _head(self, job: Job, turn: Turn) -> tuple[str, tuple[str, ...]]:
        """What is done, and the sets; these stand with a visit, not with what follows it."""
        name, steps = self._names[job.number], steps_between(self._made, job, turn.first, turn.last)
        if not isinstance(job.work, Visit):
            return f"{name}, {steps}", self._sets(job)
        if turn.first:
            return f"After {name}: {steps}", ()
        visit = f"{self._made.office.visits[job.work.name].title} of {self._hour(job.ready)}"
        return visit + (f", then {steps}" if steps else ""), self._sets(job)

    def _named(self, jobs: Sequence[Job]) -> dict[int, str]:
        """Loads are counted within their procedure, in the order in which they begin; visits go by their hour.

        A visit is called by what it is for only where another begins at the same hour.
        """
        counts: Counter[str] = Counter()
        names: dict[int, str] = {}
        for job in sorted(jobs, key=lambda each: (each.start, each.number)):
            if isinstance(job.work, Visit):
                title = wording.small(self._made.office.visits[job.work.name].title)
                alone = self._booked[job.ready] == 1
                names[job.number] = f"the {self._hour(job.ready)} {'visit' if alone else title}"
            else:
                counts[job.work.name] += 1
                procedure = self._made.office.procedures[job.work.name]
                names[job.number] = f"{procedure.id or procedure.title} load {counts[job.work.name]}"
        return names

    def _hour(self, seconds: int) -> str:
        later = "next day’s " if seconds >= DAY else ""
        return f"{later}{seconds // 3600 % 24:02d}:{seconds // MINUTE % 60:02d}"

    def _sets(self, job: Job) -> tuple[str, ...]:
        items = self._made.office.items
        counts = Counter(job.units)
        return tuple(f"{number}{NBSP}×{NBSP}{wording.small(items[name].title)}" for name, number in counts.items())

    @staticmethod
    def _is_its_hour(wait: Wait, job: Job) -> bool:
        return wait.moment is None and isinstance(job.work, Visit) and wait.seconds <= job.ready

    def _wait(self, wait: Wait, turn: Turn) -> str:
        if wait.moment is None:
            return f"it is {self._hour(-(-wait.seconds // MINUTE) * MINUTE)}"
        what = self._moment(wait.moment, turn)
        if not wait.seconds:
            return what
        return f"{-(-wait.seconds // MINUTE)} min after {what}"

    def _moment(self, moment: Moment, turn: Turn) -> str:
        job, name = self._jobs[moment.job], self._names[moment.job]
        visit = isinstance(job.work, Visit)
        come = "is over" if moment.ends else "has begun"
        if visit and moment.activity == 0:
            return f"{name} {come}"
        if moment.job == turn.job:
            return f"its {last_step(self._made, job, moment.activity, ends=moment.ends)} {come}"
        if moment.ends and moment.activity == len(job.work.activities) - 1:
            return f"all work after {name} is done" if visit else f"{name} is done"
        step = last_step(self._made, job, moment.activity, ends=moment.ends)
        return f"{step} {'after' if visit else 'of'} {name} {come}"
