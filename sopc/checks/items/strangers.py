"""Is it known on what is worked: items that a procedure handles, and procedures made for the items they get."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sopc.checks.items.effects import Vocabulary, acts_of
from sopc.checks.paths import outcomes_of, performed_in
from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Action, Office, Performing, PerformThen, Procedure, Step, Task
from sopc.source import Span


def strangers(office: Office, procedure: Procedure) -> Iterator[Finding]:
    """Hold that the condition of whatever is worked on is known (O09).

    1. A step works only on items its procedure handles.
    2. An act that needs a condition is done in a procedure that handles items at all.
    3. A procedure is performed on items it handles; on others only when nothing in it speaks of its own by name.
    """
    for step in procedure.steps():
        for doing in step.does:
            yield from _named(office, procedure, doing.items, doing.span)
            action = office.actions.get(doing.action)
            if action is not None and action.needs and not doing.items and not procedure.handles:
                yield _on_nothing(office, procedure, f"“{action.title}” needs", action.needs, doing.span)
        for performing in step.performs:
            yield from _named(office, procedure, performing.items, performing.span)
            yield from _performed(office, procedure, performing.procedure, performing.items, performing.span)
        for _, outcome in outcomes_of(step):
            if isinstance(outcome, PerformThen):
                yield from _performed(office, procedure, outcome.procedure, (), outcome.span)


def unknown_in_task(office: Office, task: Task, words: Vocabulary) -> Iterator[Finding]:
    """Hold that a task does to nothing what needs a condition, unless it brings that itself beforehand (O09)."""
    held: dict[str, int] = {}  # what is known of each item so far, as bits; "" for what is not named
    for act in acts_of(task):
        if isinstance(act, Performing):
            inner = office.procedures.get(act.procedure)
            if inner is None:
                continue
            items = tuple(item for item in act.items if item in office.items)
            yield from _made_for(office, inner, items, items, act.span)
            on, (_, takes, brings) = act.items or inner.handles, words.procedure(inner)
        else:
            action = office.actions.get(act.action)
            if action is None:
                continue
            on, (_, takes, brings) = act.items or ("",), words.action(action)
            lacking = [name for name in action.needs if any(not held.get(item, 0) & words.mask((name,)) for item in on)]
            if lacking:
                yield _in_task(office, task, action, lacking, act.span)
        for item in on:
            held[item] = (held.get(item, 0) & ~takes) | brings


def _in_task(office: Office, task: Task, action: Action, lacking: list[str], span: Span) -> Finding:
    held = listed([title(office.conditions, name).lower() for name in lacking])
    return finding(
        "O09",
        span,
        f"“{action.title}” needs what is {held}, and in the task “{task.title}” nothing makes it so.",
        floor="It is done to whatever is there, in whatever condition.",
        fix="Do first what brings it, in the same task; or let the task `perform` a procedure that handles the items.",
        notes=[Note("the action says so here", action.needs_span or action.span)],
        asked_by=asked_by(office, action),
    )


def _named(office: Office, procedure: Procedure, items: Iterable[str], span: Span) -> Iterator[Finding]:
    """Items worked on that the procedure does not handle, so that nothing is known of their condition."""
    strange = [item for item in items if item in office.items and item not in procedure.handles]
    if not strange:
        return
    names = listed([title(office.items, item) for item in strange])
    yield finding(
        "O09",
        span,
        f"This is done on {names}, which “{procedure.title}” does not handle.",
        floor=f"No one can tell in which condition {names} comes here, so the order of work cannot be checked.",
        fix=f"Add it to the items handled: `handles {', '.join((*procedure.handles, *strange))} from … to …`.",
        cause=f"strange {procedure.name} {' '.join(strange)}",
    )


def _on_nothing(office: Office, procedure: Procedure, act: str, needs: tuple[str, ...], span: Span) -> Finding:
    held = listed([title(office.conditions, name).lower() for name in needs])
    return finding(
        "O09",
        span,
        f"{act} items that are {held}, and “{procedure.title}” does not say which items it handles.",
        floor="No one can tell in which condition they come here, so the order of work cannot be checked.",
        fix="Say it in the head of the procedure: `handles … from … to …`.",
        cause=f"handles nothing {procedure.name}",
    )


def _performed(
    office: Office, procedure: Procedure, name: str, named: tuple[str, ...], span: Span
) -> Iterator[Finding]:
    inner = office.procedures.get(name)
    if inner is None or not inner.handles:
        return
    if not procedure.handles:
        if inner.from_conditions and not named:
            yield _on_nothing(office, procedure, f"“{inner.title}” starts from", inner.from_conditions, span)
        return
    done_on = tuple(item for item in named or procedure.handles if item in procedure.handles)
    yield from _made_for(office, inner, named, done_on, span)


def _made_for(
    office: Office, inner: Procedure, named: tuple[str, ...], done_on: tuple[str, ...], span: Span
) -> Iterator[Finding]:
    """Whether a procedure speaks of the items it is performed on; only of those it handles when none are named."""
    if not inner.handles:
        return
    others = [item for item in done_on if item not in inner.handles]
    if not others or (not named and len(others) < len(done_on)):
        return
    speaks = _speaks_of_items(office, inner)
    if named and speaks is None:
        return
    for_whom = listed([title(office.items, item) for item in inner.handles])
    got = listed([title(office.items, item) for item in others])
    yield finding(
        "O09",
        span,
        f"“{inner.title}” is made for {for_whom}, and is performed on {got}.",
        floor=f"Whoever turns to “{inner.title}” finds nothing there about {got}.",
        fix="Add it to what that procedure handles; or say on which items it is performed: "
        f"`perform {inner.name} on …`.",
        notes=[Note("it speaks of its own items here", speaks.span)] if speaks is not None else (),
        cause=f"made for others {inner.name} {' '.join(others)}",
    )


def _speaks_of_items(office: Office, procedure: Procedure) -> Step | None:
    """The first step, also in what is performed on the way, that is done on items by their names."""
    queue, seen = [procedure], {procedure.name}
    while queue:
        for step in queue.pop().steps():
            if any(doing.items for doing in step.does) or any(work.items for work in step.performs):
                return step
            inside = [office.procedures[name] for name in performed_in(step) if name in office.procedures]
            queue += [each for each in inside if each.name not in seen]
            seen.update(each.name for each in inside)
    return None
