"""Where each requirement stands: met, open, set aside, not applicable, or for eyes to see."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.sentences import decided
from sopc.checks.requirements.ties import akin
from sopc.checks.requirements.verdicts import Candidate, Decided, Standing, State, Verdict, all_of
from sopc.model.nouns import NotApplicable, Office, Requirement, SetAside


def standings(office: Office, today: date) -> Mapping[str, Standing]:
    """Return how every requirement stands on that day, in the order of the text."""
    return _kept(_Key(office, today))


@dataclass(frozen=True, slots=True, eq=False)
class _Key:
    office: Office
    today: date

    def __hash__(self) -> int:
        return hash((id(self.office), self.today))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.office is self.office and other.today == self.today


@lru_cache(maxsize=4)
def _kept(key: _Key) -> Mapping[str, Standing]:
    office = key.office
    ground = Ground(office, key.today)
    aside = {each.requirement: each for each in reversed(office.set_aside)}
    not_applicable = {each.requirement: each for each in reversed(office.not_applicable)}
    return {
        name: _standing(ground, requirement, aside.get(name), not_applicable.get(name))
        for name, requirement in office.requirements.items()
    }


def _standing(
    ground: Ground, requirement: Requirement, aside: SetAside | None, not_applicable: NotApplicable | None
) -> Standing:
    made = tuple(decided(ground, sentence) for sentence in requirement.sentences)
    claims = ground.claims.get(requirement.name, ())
    state = _by_sentences(requirement, made, bool(claims))
    if not_applicable is not None:
        state = State.NOT_APPLICABLE
    elif aside is not None:
        state = State.ASIDE
    beside = _beside(ground, made, claims) if state is State.MET else ()
    return Standing(requirement, state, made, claims, beside, aside, not_applicable)


def _beside(ground: Ground, made: tuple[Decided, ...], claims: tuple[Candidate, ...]) -> tuple[Candidate, ...]:
    """The claims that have nothing to do with anything that shows that the requirement is met."""
    shown = list({each.key: each for decided in made for each in decided.shown}.values())
    return tuple(claim for claim in claims if shown and not any(akin(ground, claim, each) for each in shown))


def _by_sentences(requirement: Requirement, made: tuple[Decided, ...], claimed: bool) -> State:
    if not made:
        if requirement.needs_eyes:
            return State.EYES
        return State.CLAIMED if claimed else State.OPEN
    verdict = all_of(each.verdict for each in made)
    if verdict is Verdict.MET and not claimed and not any(each.shown for each in made):
        verdict = Verdict.OPEN  # all that it speaks of is missing, and nothing shows that it is met
    if verdict is Verdict.MET and requirement.needs_eyes:
        return State.EYES
    return {Verdict.MET: State.MET, Verdict.OPEN: State.OPEN, Verdict.UNDECIDED: State.UNDECIDED}[verdict]
