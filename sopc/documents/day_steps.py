"""Which steps of which procedure an activity of a day is, as the pages number them."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.checks.days.day import OfficeDay
from sopc.checks.days.work import Edge
from sopc.model.nouns import Procedure, Step
from sopc.trade.simulation import Job, Visit

Span = tuple[Procedure, Step, Edge, Edge]


def steps_between(made: OfficeDay, job: Job, first: int, last: int) -> str:
    """The steps of the job's own procedures that lie in these activities: “steps 4 to 9”; empty for all of them."""
    found: dict[str, list[Step]] = {}
    whole = 0
    for procedure, step, one, other in _own(made, job):
        whole += 1
        if one.activity <= last and other.activity >= first:
            found.setdefault(procedure.id or procedure.title, []).append(step)
    if sum(map(len, found.values())) == whole and not isinstance(job.work, Visit):
        return "all steps"
    named = [_series(name, steps, isinstance(job.work, Visit)) for name, steps in found.items()]
    return "; ".join(named)


def last_step(made: OfficeDay, job: Job, activity: int, *, ends: bool) -> str:
    """The step that begins or ends with an activity; what it is called where no step does."""
    for own in (True, False):
        for procedure, step, one, other in _own(made, job) if own else _all(made, job):
            edge = other if ends else one
            if edge.activity == activity and (edge.at_end if ends else edge.at_start):
                alone = own and not isinstance(job.work, Visit)
                return f"step {step.number}" if alone else f"{procedure.id or procedure.title} step {step.number}"
    return f"“{job.work.activities[activity].title}”"


def _series(name: str, steps: list[Step], named: bool) -> str:
    first, last = steps[0].number, steps[-1].number
    words = f"step {first}" if first == last else f"steps {first} to {last}"
    return f"{name} {words}" if named else words


def _own(made: OfficeDay, job: Job) -> Iterator[Span]:
    """The steps of the load's procedure, or of those done after the visit, in their order."""
    names = set(made.office.visits[job.work.name].afterwards) if isinstance(job.work, Visit) else {job.work.name}
    return (span for span in _all(made, job) if span[0].name in names)


def _all(made: OfficeDay, job: Job) -> Iterator[Span]:
    place = 0
    names: tuple[str, ...] = (job.work.name,)
    if isinstance(job.work, Visit):
        names, place = made.office.visits[job.work.name].afterwards, 1
    for name in names:
        work = made.works[name]
        for (inner, step), spans in work.marks.items():
            procedure = made.office.procedures[inner]
            known = {each.name: each for each in procedure.steps()} if step is not None else {}
            for one, other in spans:
                if step is not None and step in known:
                    yield procedure, known[step], one.shifted(place), other.shifted(place)
        place += len(work.activities)
