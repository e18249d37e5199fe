"""What a day plan says of its day: SAFE with an order, CONFLICT with its lines, or UNDECIDED."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sopc.checks.days.conflicts import clashing, conflicts_of
from sopc.checks.days.day import OfficeDay, clock
from sopc.checks.days.proof import NotShown, Safe, prove
from sopc.checks.days.visits import visits_clash
from sopc.documents.day_overnight import overnight
from sopc.findings import Finding
from sopc.trade.simulation import longest, simulate


@dataclass(frozen=True, slots=True)
class Verdict:
    """SAFE, CONFLICT or UNDECIDED, in words; `reasons`: the lines of the sum that shows a conflict."""

    word: str
    text: str
    reasons: tuple[str, ...] = ()


def judged(made: OfficeDay) -> tuple[Verdict, Safe | NotShown]:
    """Sums first, then a plan, then visits that cannot all begin in time."""
    conflicts = conflicts_of(made)
    proof = prove(made) if not conflicts else NotShown(simulate(made.day, longest), "")
    if not conflicts and not isinstance(proof, Safe):
        clash = visits_clash(made)
        conflicts = [clashing(made, clash)] if clash is not None else []
    return _verdict_of(made, proof, conflicts), proof


def _verdict_of(made: OfficeDay, proof: Safe | NotShown, conflicts: Sequence[Finding]) -> Verdict:
    if conflicts:
        reasons = [step.text for each in conflicts for step in each.walk]
        said = " ".join(each.sentence for each in conflicts)
        return Verdict("CONFLICT", f"No order of work can keep this day. {said}", tuple(reasons))
    if isinstance(proof, Safe):
        return Verdict(
            "SAFE",
            f"There is an order of work that has every set ready by {clock(made.ready_by)} and keeps every limit, "
            "inside each procedure and along the way from one to the next, whatever machines and patients take, while "
            "hands are as quick as their steps allow. "
            f"It is printed below. {overnight(made, proof)}",
        )
    return Verdict("UNDECIDED", f"Neither shown to fit nor shown not to: {proof.why}.")
