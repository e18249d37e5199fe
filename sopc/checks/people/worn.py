"""Is enough worn: what actions, supplies and zones ask for, against what each step says is worn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from sopc.checks.report import asked_by, finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Action, Office, Piece, Procedure, Step, Supply, Zone


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what protective equipment promises.

    Whoever does an action, uses a supply, or handles in a zone an item that goes from place to place wears at least
    what these ask for; of alternatives one is enough (P15). A step that says nothing of what is worn wears nothing.
    """
    for procedure in office.procedures.values():
        for step in procedure.steps():
            lacking = [
                each for each in demands(office, procedure, step) if not set(each.piece.any_of) & set(step.wearing)
            ]
            if lacking:
                yield _too_little(office, procedure, step, lacking)


@dataclass(frozen=True, slots=True)
class Demand:
    """A piece of protective equipment, and what asks for it."""

    piece: Piece
    asks: Action | Supply | Zone


def demands(office: Office, procedure: Procedure, step: Step) -> Iterator[Demand]:
    """Everything that a step's actions, supplies and zone ask to be worn, in the order of the text."""
    asking: list[Action | Supply | Zone] = []
    asking += [office.actions[each.action] for each in step.does if each.action in office.actions]
    asking += [office.supplies[name] for name in step.using if name in office.supplies]
    area = office.areas.get(step.area) if step.area else None
    if area is not None and area.zone is not None and _handles(office, procedure, step):
        asking.append(office.zones[area.zone])
    for each in asking:
        yield from (Demand(piece, each) for piece in each.protects)


def _handles(office: Office, procedure: Procedure, step: Step) -> bool:
    """Whether a step does something to an item that is not part of a place.

    What is done once a piece is off is done to one's own hands.
    """
    own = {action for piece in office.ppe.values() for action in piece.once_off}
    named = [name for doing in step.does if doing.action not in own for name in doing.items or procedure.handles]
    return any(not office.items[name].fixed for name in named if name in office.items)


def _pieces(office: Office, lacking: list[Demand]) -> str:
    words = [listed([title(office.ppe, name).lower() for name in each.piece.any_of], "or") for each in lacking]
    return listed(list(dict.fromkeys(words)))


def _worn(office: Office, step: Step) -> str:
    if step.wearing:
        return f"only {listed([title(office.ppe, name).lower() for name in step.wearing])} is worn"
    return "nothing is worn" if step.says_wearing else "it is not said what is worn"


def _too_little(office: Office, procedure: Procedure, step: Step, lacking: list[Demand]) -> Finding:
    asking = list(dict.fromkeys(each.asks for each in lacking))
    missing = _pieces(office, lacking)
    names = dict.fromkeys(each.piece.any_of[0] for each in lacking)
    worn = [*step.wearing, *(name for name in names if name not in step.wearing)]
    inherited = step.wearing == procedure.wearing
    return finding(
        "P15",
        step.span,
        f"“{step.title}” asks for {missing}, but {_worn(office, step)}.",
        floor="Splashes, sharps or chemicals reach eyes, mouth, skin or clothes.",
        fix=f"Say `wearing {', '.join(worn)}` in the {'procedure or the step' if inherited else 'step'}.",
        notes=[Note(f"“{each.title}” asks for it", each.span) for each in asking],
        asked_by=asked_by(office, *asking),
        cause=f"worn in {procedure.name}: {missing}" if inherited else "",
    )
