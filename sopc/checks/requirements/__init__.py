"""Are requirements met: the office's texts held to the sentences that requirements consist of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date

from sopc.checks.report import asked_by, finding, shortened
from sopc.checks.requirements.sentences import misfits
from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import Candidate, Decided, Standing, State, Verdict
from sopc.findings import Finding, Note, Severity, code
from sopc.model.nouns import Office
from sopc.source import NOWHERE, Span

SHOWN = 5
UNMET = (State.OPEN, State.UNDECIDED)


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold the office to its requirements.

    1. What is said to meet a requirement meets it: each of its sentences holds (M01).
    2. No requirement stands open with nothing behind it (M02).
    3. What is said to meet a requirement is something that one of its sentences looks at (M03).
    4. Nothing is set aside beyond its date (M04), and no requirement has two answers (M05).
    5. Each requirement has a sentence, or `needs eyes` (M06); a sentence makes sense (M07).
    """
    found = list(standings(office, today).values())
    for standing in found:
        yield from _senseless(standing)
        yield from _said_to_be_met(office, standing)
        yield from _beside_the_point(standing)
        yield from _two_answers(standing)
        yield from _undecidable(standing)
    yield from _nothing_behind(office, [each for each in found if each.state in UNMET and not each.claims])
    yield from _too_long_aside(office, today)


def _called(standing: Standing) -> str:
    return f"{standing.requirement.name} “{standing.requirement.title}”"


def _senseless(standing: Standing) -> Iterator[Finding]:
    for sentence in standing.requirement.sentences:
        for misfit in misfits(sentence):
            yield finding(
                "M07",
                sentence.span,
                f"A sentence of {standing.requirement.name} makes no sense: {misfit}.",
                floor="It can never be decided, so the requirement never counts as met.",
                fix="Say it of the thing it belongs to; `grammar/REFERENCE.md` shows what can be said of what.",
            )


def _said_to_be_met(office: Office, standing: Standing) -> Iterator[Finding]:
    if standing.state not in UNMET or not standing.claims:
        return
    for each in standing.decided:
        if each.verdict is Verdict.MET or misfits(each.sentence):
            continue
        # What another check tells as a warning is none the worse for a requirement that follows from it.
        told = Severity.WARNING if each.cause else code("M01").severity
        cannot = "cannot be told to be met" if each.verdict is Verdict.UNDECIDED else "is not met"
        made = finding(
            "M01",
            _place(standing, each),
            f"{_called(standing)} {cannot}: {each.lacking}.",
            floor="An inspector who asks for it is shown a page that does not hold what it says.",
            fix=f"It asks for: {each.sentence.text}.",
            notes=[Note("asked for here", each.sentence.span), Note("said to be met here", _first(standing.claims))],
            asked_by=asked_by(office, standing.requirement),
            cause=each.cause,
        )
        yield replace(made, severity=told)


def _place(standing: Standing, decided: Decided) -> Span:
    return decided.where or _first(standing.claims)


def _first(claims: Sequence[Candidate]) -> Span:
    return next((each.span for each in claims if each.span is not None), NOWHERE)


def _nothing_behind(office: Office, open_ones: Sequence[Standing]) -> Iterator[Finding]:
    if not open_ones:
        return
    own = [each for each in open_ones if not each.requirement.pack]
    names, count = [_called(each) for each in open_ones], len(open_ones)
    lacking = [each.lacking for standing in open_ones[:1] for each in standing.decided if each.lacking][:1]
    yield finding(
        "M02",
        own[0].requirement.span if own else office.premises.span,
        f"{count} of {len(office.requirements)} requirements {'is' if count == 1 else 'are'} open, and nothing is said "
        f"to meet {'it' if count == 1 else 'them'}: {shortened(names, SHOWN)}.",
        floor="An inspector who asks for one of these finds no page that shows it.",
        fix=(f"{open_ones[0].requirement.name}: {lacking[0]}. " if lacking else "")
        + "Write what is asked for, or `set aside … until … by … because …`, or `not applicable … because …`; "
        "`sopc check --requirements` lists what each asks for.",
    )


def _beside_the_point(standing: Standing) -> Iterator[Finding]:
    for claim in standing.beside:
        yield finding(
            "M03",
            claim.span or NOWHERE,
            f"{claim.said[:1].upper()}{claim.said[1:]} says that it meets {_called(standing)}, but none of its "
            f"sentences looks at it.",
            floor="The page for the inspector names what shows that it is met; this is not among it.",
            fix=f"Take `{standing.requirement.name}` out of its `meets`. Asked for is: "
            f"{'; '.join(sentence.text for sentence in standing.requirement.sentences)}.",
        )


def _two_answers(standing: Standing) -> Iterator[Finding]:
    aside, not_applicable = standing.aside, standing.not_applicable
    said = not_applicable or aside
    if said is None:
        return
    proven = bool(standing.requirement.sentences) and standing.texts is Verdict.MET and bool(standing.shown)
    if not (standing.claims or proven or (aside and not_applicable)):
        return
    how = "said to be not applicable" if not_applicable else "set aside"
    what = "the texts meet it" if proven else "something is said to meet it"
    if not standing.claims and not proven:
        what = "it is set aside as well"
    yield finding(
        "M05",
        said.span,
        f"{_called(standing)} is {how} here, yet {what}.",
        floor="The page for the inspector says two things at once.",
        fix="Take out the one that is no longer true.",
    )


def _undecidable(standing: Standing) -> Iterator[Finding]:
    requirement = standing.requirement
    if requirement.sentences or requirement.needs_eyes:
        return
    yield finding(
        "M06",
        requirement.span,
        f"{_called(standing)} says neither what it `requires` nor that it `needs eyes`.",
        floor="Whatever says that it meets it counts, even when it does not hold what is asked for.",
        fix="Add a sentence, such as `requires a step that meets this, recorded`; or `needs eyes`.",
    )


def _too_long_aside(office: Office, today: date) -> Iterator[Finding]:
    for each in office.set_aside:
        if each.until < today:
            yield finding(
                "M04",
                each.span,
                f"{each.requirement} “{office.requirements[each.requirement].title}” was set aside until "
                f"{each.until.isoformat()}.",
                floor="What was to be put right by then is still not met, and no one has decided anew.",
                fix="Meet it, or have it set aside again with a new date and a reason that holds today.",
            )
