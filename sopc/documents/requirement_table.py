"""The register of requirements: what binds the office, where it comes from, and which paper meets it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import Standing, State
from sopc.documents import wording
from sopc.documents.markdown import plain
from sopc.documents.register import Cell, Plan, Section, plain_table
from sopc.documents.requirement_places import Place, places
from sopc.documents.sources import cited, numbered, source_list
from sopc.model.nouns import Office

HEADS = (("Requirement", "12%"), ("What it asks", "33%"), ("Source", "12%"), ("Met by", "24%"), ("State", "19%"))
MOST_PLACES = 8
"""Places named in one cell; the rest is counted."""

UNMET = (State.OPEN, State.UNDECIDED)
COUNTED = {
    State.MET: "met by what is written",
    State.CLAIMED: "claimed to be met",
    State.EYES: "to be seen with own eyes",
    State.ASIDE: "set aside",
    State.NOT_APPLICABLE: "not applicable",
    State.UNDECIDED: "not decided",
    State.OPEN: "open",
}


def requirement_plan(office: Office, today: date) -> Plan:
    """Return the register, one section for each group of requirements."""
    found = standings(office, today)
    numbers = numbered(citation for each in office.requirements.values() for citation in each.citations)
    sections = [
        Section(group, tables=(plain_table(HEADS, [_row(office, each, numbers) for each in members]),))
        for group, members in by_group(found.values()).items()
    ]
    sections += source_list(office, numbers)
    return Plan("requirements", "Requirements and where they are met", lead(found.values()), tuple(sections))


def by_group(found: Iterable[Standing]) -> dict[str, list[Standing]]:
    """Requirements by their groups: those of packs first, what the office asks of itself behind them, else as written.

    A group that both have comes once, where the pack has it.
    """
    grouped: dict[str, list[Standing]] = defaultdict(list)
    for standing in sorted(found, key=lambda each: not each.requirement.pack):
        grouped[standing.requirement.group or "Other requirements"].append(standing)
    return grouped


def lead(found: Iterable[Standing]) -> str:
    """How many requirements there are and how they stand, in a sentence or two."""
    states = [each.state for each in found]
    counted = [f"{states.count(state)} {said}" for state, said in COUNTED.items() if state in states]
    return (
        f"{len(states)} requirements: {', '.join(counted)}. Whether what is written is done is seen at work, not here."
    )


def _row(office: Office, standing: Standing, numbers: dict[str, int]) -> tuple[Cell, ...]:
    requirement = standing.requirement
    met = [] if standing.state in UNMET else places(standing.shown)
    shown = met[:MOST_PLACES] + ([Place(f"and {len(met) - MOST_PLACES} more")] if len(met) > MOST_PLACES else [])
    links = tuple(f"doc:{each.document}" if each.document else "" for each in shown)
    sources = [cited((citation,), numbers) for citation in requirement.citations]
    state, under = _state(office, standing)
    return (
        Cell(requirement.name),
        Cell(requirement.title, under=tuple(plain(note) for note in requirement.notes)),
        Cell("", under=tuple(sources)),
        Cell("", under=tuple(each.text for each in shown) or ("–",), links=links),
        Cell(state, under=under, strong=True),
    )


def _state(office: Office, standing: Standing) -> tuple[str, tuple[str, ...]]:
    if standing.not_applicable is not None:
        return "Not applicable", (wording.sentence(standing.not_applicable.because),)
    if standing.aside is not None:
        who = wording.title_of(office.roles, standing.aside.role)
        return "Set aside", (
            f"until {wording.day(standing.aside.until)}, by {wording.small(who)}.",
            wording.sentence(standing.aside.because),
        )
    if standing.state is State.EYES:
        return "Needs eyes", ("Seen by, on:", "_________")
    if standing.state in UNMET:
        lacking = tuple(wording.sentence(each.lacking) for each in standing.decided if each.lacking)
        return "OPEN" if standing.state is State.OPEN else "NOT DECIDED", lacking
    return ("Met", ()) if standing.state is State.MET else ("Claimed", ("by those who wrote it",))
