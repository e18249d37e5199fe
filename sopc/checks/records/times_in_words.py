"""Does a step last as long as its words say: “for two minutes” in its title, “At least thirty seconds” in a note?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from sopc.checks.report import finding
from sopc.findings import Finding, Note
from sopc.model.nouns import Decider, Duration, Office, Procedure, Step, Task
from sopc.trade.figures import Figure, figures_in
from sopc.trade.quantities import DAY, Dimension

_CLAUSES = re.compile(r"[;:?!\n]+|\.(?!\d)|,(?!\d)")
_LASTING = frozenset({"for", "at least", "not less than", "no less than"})


@dataclass(frozen=True, slots=True)
class _Said:
    """At least or at most so long, in seconds, by words of the text."""

    text: str
    least: Fraction | None
    most: Fraction | None


def times(office: Office) -> Iterator[Finding]:
    """What a title or a note says of how long it lasts is what the clause `takes`, or the program, says (X01)."""
    for procedure in office.procedures.values():
        for step in procedure.steps():
            if not step.performs:
                for said in _said(step):
                    yield from _held(step, step.takes, said, _rests(procedure, step, said))
    for task in office.tasks.values():
        if not task.performs:
            for said in _said(task):
                yield from _held(task, task.takes, said, False)


def _said(work: Step | Task) -> Iterator[_Said]:
    title = work.title
    for figure in _times(title):
        last = figure.end >= len(title.rstrip(" .")) and title[: figure.start].rstrip().endswith(",")
        if figure.lead in _LASTING or last or (figure.least is None and figure.most is not None):
            yield _as_said(figure)
    for note in work.notes:
        for clause in _CLAUSES.split(note):
            yield from _in_clause(clause.strip())


def _in_clause(clause: str) -> Iterator[_Said]:
    """What a clause of a note says when it says nothing else: “At least thirty seconds”, “Never longer than 15 min”."""
    for figure in _times(clause)[:1]:
        before, behind = clause[: figure.start].strip().casefold(), clause[figure.end :].strip().casefold()
        upper = figure.least is None and (not behind or behind.startswith("for "))
        if before == figure.lead and before != "for" and (upper or (not behind and _bounds(figure))):
            yield _as_said(figure)


def _bounds(figure: Figure) -> bool:
    return figure.lead in ("", *_LASTING)


def _times(text: str) -> list[Figure]:
    return [figure for figure in figures_in(text) if figure.dimension is Dimension.TIME]


def _as_said(figure: Figure) -> _Said:
    """The least of a range is what counts; its longer end is what somebody may need for several of a kind."""
    bound = figure.lead in ("", "for")
    said = figure.text if bound or figure.text.casefold().startswith(figure.lead) else f"{figure.lead} {figure.text}"
    return _Said(said, figure.least, figure.most if figure.least is None else None)


def _rests(procedure: Procedure, step: Step, said: _Said) -> bool:
    """Whether a limit sees to it that so much time goes by after the step."""
    return any(
        limit.earlier.step == step.name
        and limit.least is not None
        and said.least is not None
        and limit.least.base >= said.least
        for limit in procedure.limits
    )


def _not_the_work(takes: Duration | None, said: _Said) -> bool:
    """Nobody is at work for a day and longer: then the words speak of what is kept or waited for."""
    by_staff = takes is None or takes.decider is Decider.STAFF
    return by_staff and said.least is not None and said.least >= DAY


def _held(work: Step | Task, takes: Duration | None, said: _Said, rests: bool) -> Iterator[Finding]:
    if rests or _not_the_work(takes, said) or (takes is None and said.text not in work.title):
        return
    least = takes.least.base if takes is not None else Fraction(0)
    most = takes.most.base if takes is not None and takes.most is not None else None
    short = said.least is not None and least < said.least
    long = said.most is not None and takes is not None and (most is None or most > said.most)
    if not short and not long:
        return
    does = _in_figures(takes, short) if takes is not None else "no clause says how long it takes"
    where = takes.span if takes is not None else work.span
    yield finding(
        "X01",
        where,
        f"“{work.title}” is said to last {said.text}, but {does}.",
        floor="Two times stand on one page; people go by the words, and the plan of the day by the clause.",
        fix="Look up which is right. Let the clause say what the words say: `takes …`.",
        notes=[Note("the words stand here", work.span)],
    )


def _in_figures(takes: Duration, short: bool) -> str:
    if short:
        return f"may take as little as {takes.least}" if takes.least.value else "may be over at once"
    return f"may take {takes.most}" if takes.most is not None else "no longest time is set"
