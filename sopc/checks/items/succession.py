"""Do actions keep the order that the conditions themselves state: what comes only after, and again after, another?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sopc.checks.items.effects import Vocabulary
from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Action, Condition, Office


def succession(office: Office, words: Vocabulary) -> Iterator[Finding]:
    """Hold every action, the pack's and the office's own, against what the conditions say of themselves.

    1. What brings a condition needs all that it may come only after, or brings it at the same stroke (O20).
    2. What brings anew a condition after which another must be brought again, ends that other (O21).

    Since no step does an action without what it needs (O01), the order then holds on every path.
    """
    for action in office.actions.values():
        for name in action.brings:
            condition = office.conditions.get(name)
            if condition is not None:
                yield from _before(office, action, condition)
        yield from _again(office, words, action)


def _before(office: Office, action: Action, condition: Condition) -> Iterator[Finding]:
    lacking = [name for name in condition.only_after if name not in action.needs and name not in action.brings]
    if not lacking:
        return
    before, made = _named(office, lacking), condition.title.lower()
    yield finding(
        "O20",
        action.needs_span or action.span,
        f"“{action.title}” makes an item {made} without needing it {before}.",
        floor=f"An item that never became {before} could be made {made}, and no page would stop it.",
        fix=f"Write here: `needs {', '.join((*action.needs, *lacking))}`.",
        notes=[Note(f"{made} comes only after {before}, it says here", condition.span)],
        asked_by=asked_by(office, condition),
        cause=f"succession {action.name}",
    )


def _again(office: Office, words: Vocabulary, action: Action) -> Iterator[Finding]:
    anew = [name for name in action.brings if name not in action.needs]
    ended = {*action.undoes, *action.brings}
    driven_out = words.driven_out(action.brings)
    left = [
        condition
        for condition in office.conditions.values()
        if set(condition.again_after) & set(anew)
        and condition.name not in ended
        and not words.bit.get(condition.name, 0) & driven_out
    ]
    if not left:
        return
    done = _named(office, [name for name in anew if any(name in each.again_after for each in left)])
    still = _named(office, [condition.name for condition in left])
    undone = ", ".join((*action.undoes, *(condition.name for condition in left)))
    yield finding(
        "O21",
        action.span,
        f"“{action.title}” makes an item {done} anew, and it would still count as {still} from before.",
        floor=f"What was {still} before is taken for {still} now, and nobody does it again.",
        fix=f"Write here: `undoes {undone}`.",
        notes=[Note(f"{each.title.lower()} must be brought about again, it says here", each.span) for each in left],
        asked_by=tuple(dict.fromkeys(source for each in left for source in asked_by(office, each))),
        cause=f"succession again {action.name}",
    )


def _named(office: Office, names: Iterable[str]) -> str:
    return listed([title(office.conditions, name).lower() for name in names])
