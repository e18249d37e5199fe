"""What a day leaves for the next: how many sets lie ready at closing, and what is shown of the morning after."""

from __future__ import annotations

from collections import Counter

from sopc.checks.days.day import MINUTE, OfficeDay, clock
from sopc.checks.days.proof import Safe
from sopc.checks.days.week import keeps_going, rows_of
from sopc.checks.report import listed, title
from sopc.trade.simulation import Run, Visit

ALL_READY = "The day begins with every set ready, and ends so."


def overnight(made: OfficeDay, proof: Safe) -> str:
    """Say with how many sets a day ends, in the order of work that is proven, machines and patients at their longest.

    A day is shown to fit from a morning on which every set is ready. One that is finished the next morning leaves
    some on their way at closing; then it is said which, and how far the next day is part of what is shown.
    """
    if made.day.own is None:
        return ALL_READY
    closes = made.office.calendar.open_days[made.weekday][-1][1] * MINUTE
    fewer = "fewer may be" if proof.searched else _fewer(made, away_at(made, proof.run, closes))
    return (
        f"The day begins with every set ready; at closing at {clock(closes)} {fewer}. All are by "
        f"{clock(made.ready_by)}. The visits that begin before that hour are part of what is shown. {_after(made)}"
    )


def _after(made: OfficeDay) -> str:
    """What is shown of the days that follow."""
    rows = rows_of(made.office)
    mine = [row for row in rows if any(day.caseload is made.caseload for day in row.days)]
    if not mine or not all(map(keeps_going, mine)):
        return (
            "What comes after them is not: the next day is shown by itself, as if every set were ready in the morning."
        )
    days = [f"from {row.days[0].name} to {row.days[-1].name}" if row.closed else "week after week" for row in mine]
    return (
        f"That the days follow each other so {listed(list(dict.fromkeys(days)))}, each begun with what the one before "
        "left, is shown too, for weeks without closed days and by an order of work of their own: the one printed here "
        "is for a day that begins with every set ready."
    )


def _fewer(made: OfficeDay, away: dict[str, int]) -> str:
    items = made.office.items
    short = [
        f"{owned - number} of {owned} × {title(items, name)}" if owned is not None else f"{title(items, name)} less"
        for name, number in away.items()
        for owned in (items[name].count,)
    ]
    return f"fewer are: {listed(short)}" if short else "they are again"


def away_at(made: OfficeDay, run: Run, moment: int) -> dict[str, int]:
    """How many of each item the day itself has taken and not yet put back at a moment, seconds after midnight.

    Only of items that come back on a circuit; in the order of declaration.
    """
    taken: dict[int, tuple[str, int]] = {}
    back: dict[int, int] = {}
    for job in run.jobs:
        for unit, use in zip(job.units, job.uses, strict=True):
            if use < run.own_uses and unit in made.day.journeys:
                if isinstance(job.work, Visit):
                    taken[use] = (unit, job.start)
                back[use] = max(back.get(use, 0), job.end)
    counted = Counter(unit for use, (unit, start) in taken.items() if start < moment and back.get(use, start) > moment)
    return {name: counted[name] for name in made.office.items if counted[name]}
