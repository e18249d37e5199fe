"""Adds verdicts up into the table of kinds and the list of survivors, as Markdown."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tests.faults.kinds import KINDS, Kind
from tests.faults.trial import Outcome, Verdict

RULES = "rules"
FREE = frozenset({Verdict.SAME, Verdict.EXCUSED})


@dataclass(slots=True)
class Tally:
    """What became of the mutants of one kind, or of several together."""

    verdicts: Counter[Verdict] = field(default_factory=Counter)

    def add(self, outcomes: Iterable[Outcome]) -> Tally:
        """Count these outcomes."""
        self.verdicts.update(outcome.verdict for outcome in outcomes)
        return self

    @property
    def made(self) -> int:
        return sum(self.verdicts.values())

    @property
    def caught(self) -> int:
        return self.verdicts[Verdict.CAUGHT]

    @property
    def harmless(self) -> int:
        return sum(self.verdicts[verdict] for verdict in FREE)

    @property
    def missed(self) -> int:
        return self.made - self.caught - self.harmless

    @property
    def share(self) -> float:
        """Caught, of those that do harm; from 0 to 1."""
        harmful = self.made - self.harmless
        return self.caught / harmful if harmful else 1.0


def by_kind(outcomes: Sequence[Outcome]) -> dict[Kind, list[Outcome]]:
    """The outcomes of each kind, in the order of the register."""
    found: dict[Kind, list[Outcome]] = {kind: [] for kind in KINDS.values()}
    for outcome in outcomes:
        found[KINDS[outcome.kind]].append(outcome)
    return {kind: each for kind, each in found.items() if each}


def harmful(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """The outcomes of kinds that do harm and stand in the office's text, not in the rules it is held to."""
    return [each for each in outcomes if KINDS[each.kind].harmful and KINDS[each.kind].family != RULES]


def of_rules(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """The outcomes of faults in the rules themselves: a rule left out leaves nothing to be held to."""
    return [each for each in outcomes if KINDS[each.kind].family == RULES]


def flagged(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Changes that do no harm and were told of as errors or warnings all the same."""
    return [each for each in outcomes if not KINDS[each.kind].harmful and each.verdict is Verdict.CAUGHT]


def below(outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Survivors of kinds of which every one must be caught."""
    return [each for each in outcomes if KINDS[each.kind].sure and each.verdict not in (Verdict.CAUGHT, Verdict.SAME)]


def table(outcomes: Sequence[Outcome]) -> str:
    """One line a kind: made, caught, survivors that do no harm, missed, share caught; the always caught left out."""
    lines = ["| fault | made | caught | no harm | remark only | missed | caught of the harmful |"]
    lines.append("|---|---:|---:|---:|---:|---:|---:|")
    groups = by_kind(outcomes)
    for chosen, name in ((harmful, "all in the text"), (of_rules, "all in the rules")):
        for kind, each in groups.items():
            if chosen(each) and Tally().add(each).missed:
                lines.append(_row(f"{kind.family}: {kind.name}", Tally().add(each)))
        lines.append(_row(f"**{name}**", Tally().add(chosen(outcomes))))
    return "\n".join(lines)


def always(outcomes: Sequence[Outcome]) -> str:
    """The kinds of which none is missed, with how many were caught."""
    tallies = {kind: Tally().add(each) for kind, each in by_kind(outcomes).items() if kind.harmful}
    return ", ".join(f"{kind.name} {tally.caught}" for kind, tally in tallies.items() if not tally.missed)


def innocent(outcomes: Sequence[Outcome]) -> str:
    """The kinds that do no harm, with how many were tried."""
    groups = {kind: each for kind, each in by_kind(outcomes).items() if not kind.harmful}
    return ", ".join(f"{kind.name} {len(each)}" for kind, each in groups.items())


def _row(name: str, tally: Tally) -> str:
    remarked = tally.verdicts[Verdict.REMARKED]
    cells = (tally.made, tally.caught, tally.harmless, remarked, tally.missed - remarked, f"{tally.share:.1%}")
    return f"| {name} | {' | '.join(map(str, cells))} |"


def reasons(outcomes: Sequence[Outcome]) -> str:
    """Why survivors do no harm, with how many of each kind."""
    counted: dict[str, Counter[str]] = {}
    for outcome in [*harmful(outcomes), *of_rules(outcomes)]:
        if outcome.verdict in FREE:
            counted.setdefault(outcome.why, Counter())[outcome.kind] += 1
    lines = []
    for why, names in sorted(counted.items(), key=lambda each: -each[1].total()):
        shown = ", ".join(f"{name} {count}" for name, count in names.most_common())
        lines.append(f"- {why}: {names.total()} ({shown})")
    return "\n".join(lines)


def misses(outcomes: Sequence[Outcome], most: int = 0) -> str:
    """The faults no error and no warning tells of, by kind; at most so many of each when `most` is given."""
    lines = []
    for kind, each in by_kind([*harmful(outcomes), *of_rules(outcomes)]).items():
        left = [outcome for outcome in each if outcome.verdict in (Verdict.MISSED, Verdict.REMARKED)]
        if not left:
            continue
        lines.append(f"- {kind.name}: {len(left)}")
        for outcome in left[: most or len(left)]:
            told = f" (remark {outcome.why})" if outcome.verdict is Verdict.REMARKED else ""
            lines.append(f"    - {outcome.mutant.where}: {outcome.mutant.what}{told}")
    return "\n".join(lines)
