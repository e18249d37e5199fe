"""The register of requirements: what binds the office, where it comes from, and which paper meets it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from sopc.documents import wording
from sopc.documents.markdown import plain
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.documents.sources import cited, numbered, source_list
from sopc.model.nouns import Declared, Document, Office, Requirement
from sopc.trade.quantities import NBSP

HEADS = (("Requirement", "12%"), ("What it asks", "35%"), ("Source", "14%"), ("Met by", "20%"), ("State", "19%"))
MOST_PLACES = 8
"""Places named in one cell; the rest is counted."""


def requirement_plan(office: Office) -> Plan:
    """Return the register, one section for each group of requirements."""
    places = places_meeting(office)
    grouped: dict[str, list[Requirement]] = defaultdict(list)
    for requirement in office.requirements.values():
        grouped[requirement.group or "Other requirements"].append(requirement)
    states = [state_of(office, requirement, places) for requirement in office.requirements.values()]
    lead = (
        f"{len(states)} requirements: {states.count('met')} met by a document, "
        f"{states.count('eyes')} to be seen with own eyes, "
        f"{states.count('aside')} set aside, {states.count('none')} not applicable, {states.count('open')} open. "
        "Whether a text truly meets a requirement is the judgement of the person who approves it."
    )
    numbers = numbered(citation for each in office.requirements.values() for citation in each.citations)
    sections = [
        Section(group, tables=(plain_table(HEADS, [_row(office, each, places, numbers) for each in members]),))
        for group, members in grouped.items()
    ]
    sections += source_list(office, numbers)
    return Plan("requirements", "Requirements and where they are met", lead, tuple(sections))


def state_of(office: Office, requirement: Requirement, places: dict[str, list[str]]) -> str:
    """Return met, eyes, aside, none (not applicable) or open."""
    name = requirement.name
    if any(each.requirement == name for each in office.not_applicable):
        return "none"
    if any(each.requirement == name for each in office.set_aside):
        return "aside"
    if name in places:
        return "met"
    return "eyes" if requirement.needs_eyes else "open"


def _row(
    office: Office, requirement: Requirement, places: dict[str, list[str]], numbers: dict[str, int]
) -> tuple[Cell, ...]:
    met = places.get(requirement.name, [])
    shown = met[:MOST_PLACES] + ([f"and {len(met) - MOST_PLACES} more"] if len(met) > MOST_PLACES else [])
    sources = [cited((citation,), numbers) for citation in requirement.citations]
    state, under = _state(office, requirement, places)
    return (
        Cell(requirement.name),
        Cell(requirement.title, under=tuple(plain(note) for note in requirement.notes)),
        Cell("", under=tuple(sources)),
        Cell("", under=tuple(shown) or ("–",)),
        Cell(state, under=under, strong=True),
    )


def _state(office: Office, requirement: Requirement, places: dict[str, list[str]]) -> tuple[str, tuple[str, ...]]:
    state = state_of(office, requirement, places)
    if state == "none":
        reason = next(each.because for each in office.not_applicable if each.requirement == requirement.name)
        return "Not applicable", (wording.sentence(reason),)
    if state == "aside":
        aside = next(each for each in office.set_aside if each.requirement == requirement.name)
        who = wording.title_of(office.roles, aside.role)
        return "Set aside", (
            f"until {wording.day(aside.until)}, by {wording.small(who)}.",
            wording.sentence(aside.because),
        )
    if state == "eyes":
        return "Needs eyes", ("Seen by, on:", "_________")
    return ("Met", ()) if state == "met" else ("OPEN", ())


def places_meeting(office: Office) -> dict[str, list[str]]:
    """Return for each requirement the places that say they meet it, as a reader finds them on paper."""
    found: dict[str, list[str]] = defaultdict(list)
    for names, place in _claims(office):
        for name in names:
            if place not in found[name]:
                found[name].append(place)
    return dict(found)


def _claims(office: Office) -> Iterator[tuple[tuple[str, ...], str]]:
    for procedure in office.procedures.values():
        document = _document(procedure)
        yield procedure.meets, document
        for step in procedure.steps():
            yield step.meets, f"{document}, step{NBSP}{step.number}"
    for log in office.logs.values():
        yield log.meets, _document(log)
    for task in office.tasks.values():
        yield task.meets, f"Task: {task.title}"
    for training in office.training.values():
        yield training.meets, f"Training: {training.title}"
    things: list[tuple[str, Iterator[Declared]]] = [
        ("Device", iter(office.devices.values())),
        ("Supply", iter(office.supplies.values())),
        ("Item", iter(office.items.values())),
        ("Role", iter(office.roles.values())),
        ("Area", iter(office.areas.values())),
        ("Protective equipment", iter(office.ppe.values())),
        ("Action", iter(office.actions.values())),
    ]
    for label, members in things:
        for thing in members:
            yield thing.meets, f"{label}: {thing.title}"
    for device in office.devices.values():
        for program in device.programs.values():
            yield program.meets, f"Device: {device.title}, program {program.title or program.name}"


def _document(document: Document) -> str:
    revision = "" if document.revision is None else f" rev{NBSP}{document.revision}"
    return f"{document.id or document.title}{revision}"
