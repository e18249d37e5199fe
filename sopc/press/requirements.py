"""The list of requirements as text and as data: how each stands, what shows it, what is lacking."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date
from textwrap import fill

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import Standing, State, Verdict
from sopc.documents.requirement_places import places
from sopc.documents.requirement_table import MOST_PLACES, UNMET, by_group, lead
from sopc.findings.text import UNSEEN
from sopc.model.nouns import Office
from sopc.trade.quantities import NBSP

WIDTH = 100
SHOWN = {State.OPEN: "OPEN", State.UNDECIDED: "NOT DECIDED"}


def requirement_list(office: Office, today: date) -> str:
    """Return all requirements by their groups, one paragraph each, for reading."""
    found = standings(office, today)
    lines = [fill(f"{office.premises.name}, {today.isoformat()}: {lead(found.values())}", WIDTH)]
    for group, members in by_group(found.values()).items():
        lines += ["", group]
        for standing in members:
            lines += _paragraph(standing)
    return "\n".join(line.replace(NBSP, " ").translate(UNSEEN) for text in lines for line in text.split("\n")) + "\n"


def _paragraph(standing: Standing) -> Iterator[str]:
    state = SHOWN.get(standing.state, standing.state.value)
    yield _filled(f"{standing.requirement.name}  {state}.  {standing.requirement.title}", 2)
    for line in _under(standing):
        yield _filled(line, 6)


def _under(standing: Standing) -> Iterator[str]:
    if standing.not_applicable is not None:
        yield standing.not_applicable.because
    elif standing.aside is not None:
        yield f"Until {standing.aside.until.isoformat()}, by {standing.aside.role}: {standing.aside.because}"
    elif standing.state in UNMET:
        for each in standing.decided:
            if each.verdict is not Verdict.MET:
                yield f"Lacking: {each.lacking}."
                yield f"Asked for: {each.sentence.text}."
        if not any(each.lacking for each in standing.decided):
            yield "Nothing is said to meet it."
    else:
        shown = [place.text for place in places(standing.shown)]
        if len(shown) > MOST_PLACES:
            shown = [*shown[:MOST_PLACES], f"{len(shown) - MOST_PLACES} more"]
        if shown:
            yield f"{'Said' if standing.state is State.CLAIMED else 'Shown'} by: {'; '.join(shown)}."


def _filled(text: str, indent: int) -> str:
    return fill(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * (indent + 2))


def requirement_data(office: Office, today: date) -> str:
    """Return the same as JSON: a list of requirements, each with its state, sentences, places and reasons."""
    rows = [_row(standing) for standing in standings(office, today).values()]
    whole = {"office": office.premises.name, "today": today.isoformat(), "requirements": rows}
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"


def _row(standing: Standing) -> Mapping[str, object]:
    requirement, aside, none = standing.requirement, standing.aside, standing.not_applicable
    return {
        "name": requirement.name,
        "title": requirement.title,
        "group": requirement.group,
        "state": standing.state.value,
        "shown": [place.text.replace(NBSP, " ") for place in places(standing.shown)],
        "sentences": [
            {
                "text": each.sentence.text,
                "verdict": each.verdict.value,
                "lacking": each.lacking,
                "line": each.sentence.span.line,
                "file": each.sentence.span.file,
            }
            for each in standing.decided
        ],
        "needs_eyes": requirement.needs_eyes,
        "set_aside": {"until": aside.until.isoformat(), "by": aside.role, "because": aside.because} if aside else None,
        "not_applicable": none.because if none else None,
    }
