"""What is wrong with a step by itself when someone stands there and does it: people, place, means, contact time."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.model.nouns import Office, Procedure, Step


def amiss(office: Office, procedure: Procedure, step: Step, items: frozenset[str]) -> Iterator[str]:
    """Everything that stops or endangers whoever does this step on these items."""
    yield from _people(office, step)
    yield from _means(office, step)
    yield from _mixing(office, step)
    yield from _contact(office, step)
    yield from _fitting(office, step, items)
    if office.areas and step.area is None:
        yield "nobody knows where"
    for run in step.runs:
        stands = office.devices[run.device].area
        if stands is not None and step.area is not None and stands != step.area:
            yield f"{run.device} is not in {step.area}"


def _people(office: Office, step: Step) -> Iterator[str]:
    if step.by is None:
        yield "nobody does it"
        return
    asked = step.by.roles if step.by.joined else (max(step.by.roles),)
    for number, role in asked:
        if number > office.roles[role].on_duty[1]:
            yield f"{number} of {role} are not on duty"
    others = sum(office.roles[role].on_duty[1] for role in office.roles if role == step.second_person)
    busy = sum(
        number for number, role in asked if role == step.second_person and (step.by.joined or len(step.by.roles) == 1)
    )
    if step.second_person and others - busy < 1:
        yield f"no second {step.second_person}"


def _means(office: Office, step: Step) -> Iterator[str]:
    at_hand = {*step.using, *(run.device for run in step.runs)}
    at_hand |= {office.devices[name].kind or "" for name in at_hand if name in office.devices}
    for doing in step.does:
        with_any = office.actions[doing.action].with_any
        if with_any and not at_hand.intersection(with_any):
            yield f"nothing to {doing.action} with"


def _mixing(office: Office, step: Step) -> Iterator[str]:
    poured = [name for name in step.using if name in office.supplies]
    for name in poured:
        for other in office.supplies[name].not_with:
            if other in poured:
                yield f"{name} meets {other}"


def _contact(office: Office, step: Step) -> Iterator[str]:
    if not any(office.actions[doing.action].holds_contact_time for doing in step.does):
        return
    contacts = [(office.supplies[name].contact, name) for name in step.using if name in office.supplies]
    known = [(contact[0].base, name) for contact, name in contacts if contact is not None]
    if not known:
        yield "no contact time is known"
        return
    longest, name = max(known)
    if step.takes is None or step.takes.least.base < longest:
        yield f"{name} does not stay wet for {longest} s"


def _fitting(office: Office, step: Step, items: frozenset[str]) -> Iterator[str]:
    for doing in step.does:
        action = office.actions[doing.action]
        for name in doing.items or sorted(items):
            has = office.items[name].properties
            if has.intersection(action.never_for):
                yield f"{doing.action} is never for {name}"
            if action.only_for and not has.intersection(action.only_for):
                yield f"{doing.action} is not for {name}"
