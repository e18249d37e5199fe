"""Is it the right kind of item: what actions are limited to, what may not be used again, what contradicts itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sopc.checks.items.effects import Vocabulary, with_performed
from sopc.checks.items.strangers import strangers, unknown_in_task
from sopc.checks.items.succession import succession
from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Action, Item, Office, Performing, Procedure, Property
from sopc.source import Span

CATEGORIES = frozenset({Property.CRITICAL, Property.SEMICRITICAL, Property.NONCRITICAL})
HEAT = frozenset({Property.HEAT_STABLE, Property.HEAT_SENSITIVE})


def check(office: Office) -> Iterator[Finding]:
    """Hold what the kinds of item promise.

    1. An action is done only on items it is for, and never on those it is barred from (O06), also when a
       procedure made for one item is performed on another.
    2. A single-use item is not brought back into the state it was in before use (O07), neither by a procedure that
       handles it nor by one that is performed on it.
    3. No list of conditions contradicts itself (O08).
    4. It is known on what is worked (`strangers`, O09).
    5. Actions keep the order that the conditions themselves state (`succession`, O20, O21).
    """
    words = Vocabulary(office)
    yield from succession(office, words)
    yield from _contradictions(office, words)
    for procedure in office.procedures.values():
        yield from _procedure(office, words, procedure)
    for task in office.tasks.values():
        yield from unknown_in_task(office, task, words)
        for doing in task.does:
            action = office.actions.get(doing.action)
            if action is not None:
                yield from _fit(office, action, doing.items, doing.span)
        for performing in task.performs:
            yield from _performed(office, words, performing)


def _procedure(office: Office, words: Vocabulary, procedure: Procedure) -> Iterator[Finding]:
    yield from strangers(office, procedure)
    for step in procedure.steps():
        for doing in step.does:
            action = office.actions.get(doing.action)
            if action is not None:
                yield from _fit(office, action, doing.items or procedure.handles, doing.span)
        for performing in step.performs:
            yield from _performed(office, words, performing)
    yield from _single_use(office, words, procedure, procedure.handles, procedure.handles_span or procedure.span)


def _performed(office: Office, words: Vocabulary, performing: Performing) -> Iterator[Finding]:
    """Procedures, also those performed within, that come to be done on items they do not name themselves."""
    for inner in with_performed(office, (performing.procedure,)):
        others = tuple(item for item in performing.items if item not in inner.handles)
        for step in inner.steps():
            for doing in step.does:
                action = office.actions.get(doing.action)
                if action is not None and not doing.items:
                    yield from _fit(office, action, others, performing.span)
        yield from _single_use(office, words, inner, others, performing.span)


def _fit(office: Office, action: Action, items: Iterable[str], span: Span) -> Iterator[Finding]:
    for name in items:
        item = office.items.get(name)
        if item is None:
            continue
        barred = [each for each in action.never_for if each in item.properties]
        if barred:
            yield _barred(office, action, item, barred[0], span)
        elif action.only_for and not item.properties.intersection(action.only_for):
            yield _not_for(office, action, item, span)


def _barred(office: Office, action: Action, item: Item, barred: Property, span: Span) -> Finding:
    return finding(
        "O06",
        span,
        f"“{action.title}” is never for items that are {barred}, and {item.title} is.",
        floor=f"Staff would do it to {item.title} all the same: the page says so.",
        fix=f"Give {item.title} a way of its own (`choose` with one `way` for it), or leave it out of `handles`.",
        notes=[Note(f"{item.title} is declared here", item.span), Note("the bar stands here", action.span)],
        cause=f"fit {action.name} {item.name} {span}",
        asked_by=asked_by(office, action, item),
    )


def _not_for(office: Office, action: Action, item: Item, span: Span) -> Finding:
    wanted = listed([str(each) for each in action.only_for], "or")
    silent = any(
        group.intersection(action.only_for) and not group.intersection(item.properties) for group in (CATEGORIES, HEAT)
    )
    if silent:
        sentence = f"“{action.title}” is only for items that are {wanted}; {item.title} does not say what it is."
        fix = f"If it is, say so: `item {item.name} … {{ {action.only_for[0]} }}`. If not, use another action."
    else:
        sentence = f"“{action.title}” is only for items that are {wanted}, and {item.title} is not."
        fix = f"Use another action for {item.title}, or leave it out of `handles`."
    return finding(
        "O06",
        span,
        sentence,
        floor=f"Staff would treat {item.title} in a way that was not made for it.",
        fix=fix,
        notes=[Note(f"{item.title} is declared here", item.span), Note("the limit stands here", action.span)],
        cause=f"fit {action.name} {item.name} {span}",
        asked_by=asked_by(office, action, item),
    )


def _single_use(
    office: Office, words: Vocabulary, procedure: Procedure, items: tuple[str, ...], span: Span
) -> Iterator[Finding]:
    """A start condition that an end condition drives out is a use undone."""
    undone = words.mask(procedure.from_conditions) & words.driven_out(procedure.to_conditions)
    if not undone:
        return
    told = {
        item
        for step in procedure.steps()
        for doing in step.does
        if (action := office.actions.get(doing.action)) and Property.SINGLE_USE in action.never_for
        for item in doing.items or items
    }
    for name in items:
        item = office.items.get(name)
        # An action that is never for single use says it already, at the very step.
        if item is None or Property.SINGLE_USE not in item.properties or name in told:
            continue
        yield finding(
            "O07",
            span,
            f"{item.title} is single use, but “{procedure.title}” makes it fit to be used again.",
            floor=f"A used {item.title} would come back to a second patient.",
            fix=f"Take {item.name} out here and discard it; or drop `single use` if its maker allows reuse.",
            notes=[Note("declared single use here", item.span)],
            asked_by=asked_by(office, item),
        )


def _contradictions(office: Office, words: Vocabulary) -> Iterator[Finding]:
    for condition in office.conditions.values():
        if condition.name in condition.excludes:
            yield _contradiction(condition.span, f"“{condition.title}” excludes itself.", "")
    for action in office.actions.values():
        for verb, names in (("needs", action.needs), ("brings", action.brings)):
            pair = _clashing(words, names)
            if pair:
                both = _both(office, pair)
                span = action.needs_span if verb == "needs" and action.needs_span else action.span
                yield _contradiction(span, f"“{action.title}” {verb} {both}, which exclude each other.", both)
        undone = [name for name in action.brings if name in action.undoes]
        if undone:
            both = title(office.conditions, undone[0]).lower()
            yield _contradiction(action.span, f"“{action.title}” brings and undoes {both}.", f"{both} and not {both}")
    for procedure in office.procedures.values():
        for verb, names in (("starts", procedure.from_conditions), ("ends", procedure.to_conditions)):
            pair = _clashing(words, names)
            if pair:
                both = _both(office, pair)
                place = procedure.handles_span or procedure.span
                sentence = f"“{procedure.title}” {verb} with items {both}, which exclude each other."
                yield _contradiction(place, sentence, both)


def _clashing(words: Vocabulary, names: tuple[str, ...]) -> tuple[str, str] | None:
    for place, one in enumerate(names):
        for other in names[place + 1 :]:
            if words.excluded.get(one, 0) & words.bit.get(other, 0):
                return one, other
    return None


def _both(office: Office, pair: tuple[str, str]) -> str:
    return listed([title(office.conditions, name).lower() for name in pair])


def _contradiction(span: Span, sentence: str, both: str) -> Finding:
    return finding(
        "O08",
        span,
        sentence,
        floor=f"No item can ever be {both} at once." if both else "No item can ever be in that condition.",
        fix="Strike one of them here, or the `excludes` between them.",
    )
