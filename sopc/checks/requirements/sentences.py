"""Decides a sentence: which things it speaks of, which of them are as it says, and what is lacking where none is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sopc.checks.report import listed, shortened, title
from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.passing import steps_in_order
from sopc.checks.requirements.ties import TIES
from sopc.checks.requirements.traits import decide, fits
from sopc.checks.requirements.verdicts import Answer, Candidate, Decided, Verdict, all_of, any_of
from sopc.model.sentences import Sentence, Thing, Trait

SHOWN = 3
BY_CALENDAR = ("apart", "in_every")
"""What takes long to decide, and is therefore looked at last."""


def misfits(sentence: Sentence) -> list[str]:
    """What in a sentence can be said of no such thing, in words; none when the sentence makes sense."""
    found = [each for other in sentence.otherwise for each in misfits(other)]
    subject = sentence.other or sentence.subject
    if sentence.other is not None and sentence.subject is not None:
        found += [f"nothing ties a {sentence.other.kind} to a {sentence.subject.kind}"] * (
            (sentence.subject.kind, sentence.other.kind) not in TIES
        )
        found += _misfits(sentence.subject.kind, sentence.subject.which)
    if subject is not None:
        found += _misfits(subject.kind, (*subject.which, *sentence.traits))
    return found


def _misfits(kind: str, traits: Iterable[Trait]) -> list[str]:
    return [f"“{trait.text}” cannot be said of a {kind}" for trait in traits if not fits(trait, kind)]


def decided(ground: Ground, sentence: Sentence) -> Decided:
    """Decide one sentence; one that makes no sense stays undecided."""
    if misfits(sentence):
        return Decided(sentence, Verdict.UNDECIDED, lacking="the sentence itself is not right")
    if sentence.otherwise:
        return _one_of(ground, sentence)
    if sentence.kind == "along":
        return _along(ground, sentence)
    if sentence.order:
        return _in_order(ground, sentence)
    assert sentence.subject is not None
    chosen, doubtful = _chosen(ground, sentence.subject)
    if sentence.kind == "there_is":
        return _there_is(ground, sentence, sentence.subject, chosen)
    if sentence.kind == "none_such":
        return _none_such(ground, sentence, chosen)
    if not chosen:
        verdict = Verdict.OPEN if sentence.must_exist else Verdict.MET
        return Decided(sentence, verdict, lacking=f"there is no {sentence.subject.text}")
    made = [_each(ground, sentence, each) for each in chosen]
    return _together(sentence, made, doubtful)


def _one_of(ground: Ground, sentence: Sentence) -> Decided:
    made = [decided(ground, each) for each in sentence.otherwise]
    verdict = any_of(each.verdict for each in made)
    met = next((each for each in made if each.verdict is verdict), made[0])
    lacking = listed([each.lacking for each in made], "and")
    return Decided(sentence, verdict, met.shown, "" if verdict is Verdict.MET else lacking, met.where)


def _together(sentence: Sentence, made: Sequence[Decided], doubtful: bool) -> Decided:
    verdict = all_of(each.verdict for each in made)
    if verdict is Verdict.MET and doubtful:
        return Decided(sentence, Verdict.UNDECIDED, lacking="the texts leave open to what it applies")
    bad = [each for each in made if each.verdict is verdict and verdict is not Verdict.MET]
    shown = tuple({thing.key: thing for each in made for thing in each.shown}.values())
    lacking = shortened([each.lacking for each in bad], SHOWN)
    causes = {each.cause for each in bad}
    cause = causes.pop() if len(causes) == 1 else ""
    return Decided(sentence, verdict, shown, lacking, bad[0].where if bad else None, cause)


def _chosen(ground: Ground, thing: Thing) -> tuple[list[Candidate], bool]:
    """The things that are meant, and whether others may be meant as well."""
    chosen, doubtful = [], False
    which = _quick_first(thing.which)
    for candidate in _possible(ground, thing):
        verdict = _verdict(ground, candidate, which)
        if verdict is Verdict.MET:
            chosen.append(candidate)
        doubtful = doubtful or verdict is Verdict.UNDECIDED
    return chosen, doubtful


def _possible(ground: Ground, thing: Thing) -> Sequence[Candidate]:
    """Those that can be meant at all: only steps that do it, or things that say that they meet it, where it says so."""
    for trait in thing.which:
        if trait.kind == "acting" and thing.kind == "step":
            return ground.steps_doing(trait.groups[0])
    for trait in thing.which:
        if trait.kind == "meeting":
            return ground.meeting(thing.kind, trait.requirement)
    return ground.things(thing.kind)


def _quick_first(traits: Iterable[Trait]) -> list[Trait]:
    return sorted(traits, key=lambda trait: trait.kind in BY_CALENDAR)


def _verdict(ground: Ground, candidate: Candidate, traits: Iterable[Trait]) -> Verdict:
    """What all traits come to together, looking no further than the first that does not hold."""
    found = Verdict.MET
    for trait in traits:
        verdict = decide(ground, candidate, trait).verdict
        if verdict is Verdict.OPEN:
            return verdict
        found = verdict if verdict is Verdict.UNDECIDED else found
    return found


def _answers(ground: Ground, candidate: Candidate, traits: Iterable[Trait]) -> list[Answer]:
    return [decide(ground, candidate, trait) for trait in traits]


def _shown(candidate: Candidate, answers: Iterable[Answer]) -> tuple[Candidate, ...]:
    return (candidate, *(each for answer in answers for each in answer.beside))


def _lacking(candidate: Candidate, answers: Iterable[Answer]) -> str:
    said = listed([answer.lacking for answer in answers if answer.verdict is not Verdict.MET])
    return f"{candidate.said}: {said}"


def _there_is(ground: Ground, sentence: Sentence, thing: Thing, chosen: Sequence[Candidate]) -> Decided:
    if not chosen:
        return Decided(sentence, Verdict.OPEN, lacking=f"there is no {thing.text}")
    traits = _quick_first(sentence.traits)
    verdicts = [_verdict(ground, candidate, traits) for candidate in chosen]
    verdict = any_of(verdicts)
    right = [
        (candidate, _answers(ground, candidate, sentence.traits))
        for candidate, own in zip(chosen, verdicts, strict=True)
        if own is verdict
    ]
    if verdict is Verdict.MET:
        shown = tuple(one for candidate, answers in right for one in _shown(candidate, answers))
        return Decided(sentence, verdict, shown)
    candidate, answers = min(right, key=lambda each: sum(one.verdict is not Verdict.MET for one in each[1]))
    return Decided(sentence, verdict, lacking=_lacking(candidate, answers), where=candidate.span)


def _none_such(ground: Ground, sentence: Sentence, chosen: Sequence[Candidate]) -> Decided:
    verdicts = [
        (candidate, all_of(answer.verdict for answer in _answers(ground, candidate, sentence.traits)))
        for candidate in chosen
    ]
    for verdict, against in ((Verdict.MET, Verdict.OPEN), (Verdict.UNDECIDED, Verdict.UNDECIDED)):
        bad = [candidate for candidate, own in verdicts if own is verdict]
        if bad:
            names = shortened([candidate.said for candidate in bad], SHOWN)
            return Decided(sentence, against, lacking=f"there is one: {names}", where=bad[0].span)
    return Decided(sentence, Verdict.MET)


def _each(ground: Ground, sentence: Sentence, candidate: Candidate) -> Decided:
    if sentence.other is None:
        answers = _answers(ground, candidate, sentence.traits)
        verdict = all_of(answer.verdict for answer in answers)
        lacking = "" if verdict is Verdict.MET else _lacking(candidate, answers)
        causes = {answer.cause for answer in answers if answer.verdict is not Verdict.MET}
        cause = causes.pop() if len(causes) == 1 else ""
        return Decided(sentence, verdict, _shown(candidate, answers), lacking, candidate.span, cause)
    assert sentence.subject is not None
    tie = TIES[(sentence.subject.kind, sentence.other.kind)]
    chosen, _ = _chosen(ground, sentence.other)
    tied = [each for each in chosen if tie(ground, candidate, each)]
    if not tied:
        lacking = f"there is no {sentence.other.text} for {candidate.said}"
        return Decided(sentence, Verdict.OPEN, lacking=lacking, where=candidate.span)
    inner = _there_is(ground, sentence, sentence.other, tied)
    lacking = f"for {candidate.said}: {inner.lacking}" if inner.lacking else ""
    return Decided(sentence, inner.verdict, (candidate, *inner.shown), lacking, inner.where or candidate.span)


def _in_order(ground: Ground, sentence: Sentence) -> Decided:
    office = ground.office
    shown: dict[tuple[str, str, str], Candidate] = {}
    for earlier, later in zip(sentence.order, sentence.order[1:], strict=False):
        said, after = (listed([title(office.actions, name) for name in names], "or") for names in (earlier, later))
        steps = ground.steps_doing(later)
        if not steps:
            return Decided(sentence, Verdict.OPEN, lacking=f"no step does “{after}”")
        for step in steps:
            if step.procedure is None or not ground.passing.before(step.procedure, step.record, earlier):
                lacking = f"{step.said}: not on every path is “{said}” done before it"
                return Decided(sentence, Verdict.OPEN, lacking=lacking, where=step.span)
            shown[step.key] = step
    for step in ground.steps_doing(sentence.order[0]):
        shown[step.key] = step
    return Decided(sentence, Verdict.MET, tuple(shown.values()))


def _along(ground: Ground, sentence: Sentence) -> Decided:
    """Whether the steps named of one procedure are all there and keep their order on every path."""
    procedure = ground.office.procedures.get(sentence.procedure)
    if procedure is None:
        return Decided(sentence, Verdict.OPEN, lacking="there is no such procedure")
    unknown = [name for names in sentence.order for name in names if procedure.step(name) is None]
    if unknown:
        lacking = f"“{procedure.title}” has no step {listed([f'“{name}”' for name in unknown])}"
        return Decided(sentence, Verdict.OPEN, lacking=lacking, where=procedure.span)
    broken = steps_in_order(procedure, sentence.order)
    if broken is None:
        return Decided(sentence, Verdict.MET, (Candidate("procedure", procedure),))
    steps = [[step for name in names if (step := procedure.step(name)) is not None] for names in broken]
    first, second = (listed([f"“{step.title}”" for step in group], "or") for group in steps)
    lacking = f"in “{procedure.title}” {second} does not on every path come after {first}"
    return Decided(sentence, Verdict.OPEN, lacking=lacking, where=steps[1][0].span)
