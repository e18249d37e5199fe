"""What many played days have in common: sets away at once, loads by the hour, hands, waiting, the last load.

Percentiles are by nearest rank over the runs; times are whole seconds.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Any, NamedTuple

from sopc.trade.simulation import Day, Job, Rule, Run, Stage, percentile, run_of

HOUR = 3600


class Spread(NamedTuple):
    """The middle of all runs, what 95 of 100 do not pass, and the most."""

    middle: int
    high: int
    most: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """Figures over the runs of one day.

    `sets`: away at once, by item, if there were enough; `short`: runs in which there were too few.
    `loads`: loads begun on a machine, by hour of the day. `work`: hands-on seconds by role; `at_once`: people of it at
    work at one time; `busiest`: the hour in which most of its work lies, middle run.
    `waits`: seconds before a stage. `lead`: seconds from the start of a load on a machine until its sets are ready.
    `end`: when all is ready; `in_time`: runs that keep to the hour; `late`: the longest a visit had to wait.
    """

    runs: int
    seed: int
    sets: Mapping[str, Spread]
    short: Mapping[str, int]
    loads: Mapping[str, Mapping[int, Spread]]
    work: Mapping[str, Spread]
    at_once: Mapping[str, Spread]
    busiest: Mapping[str, int]
    waits: Mapping[str, Spread]
    lead: Mapping[str, Spread]
    end: Spread
    in_time: int
    late: Spread
    unfinished: int  # runs in which something could never go on
    typical: Run  # the run that ends in the middle


def spread(values: Sequence[int]) -> Spread:
    """Return middle, 95 of 100, and most."""
    return Spread(percentile(values, 50), percentile(values, 95), max(values))


def forecast(day: Day, ready_by: int, runs: int, seed: int, rule: Rule | None = None) -> Forecast:
    """Play the day `runs` times by a rule; the same seed gives the same figures. Raises ValueError for no runs."""
    return from_figures(day, figures(day, ready_by, runs, seed, rule), rule)


def figures(day: Day, ready_by: int, runs: int, seed: int, rule: Rule | None = None) -> dict[str, Any]:
    """What `forecast` finds, as plain values that can be kept in JSON: the typical run by its number only."""
    if runs < 1:
        raise ValueError("a forecast needs at least one run")
    plenty = replace(day, stock={})
    peaks: dict[str, list[int]] = defaultdict(list)
    short: Counter[str] = Counter()
    played: list[Run] = []
    for number in range(runs):
        run = run_of(plenty, seed, number, rule)
        for item, peak in run.peaks.items():
            peaks[item].append(peak)
        lacking = [item for item, peak in run.peaks.items() if peak > _owned(day, item, peak)]
        short.update(lacking)
        # With enough sets for this run, the office's own number changes nothing in it.
        played.append(run_of(day, seed, number, rule) if lacking else run)
    ends = [run.end for run in played]
    middle = sorted(range(runs), key=lambda number: (ends[number], number))[(runs - 1) // 2]
    work = [work_by(run) for run in played]
    crowds = [most_at_once(run) for run in played]
    roles = list(dict.fromkeys(pool for each in work for pool in each))
    return {
        "runs": runs,
        "seed": seed,
        "sets": {item: spread(found) for item, found in peaks.items()},
        "short": dict(short),
        "loads": [(pool, hour, *spread(counts)) for pool, hour, counts in _by_hour(played)],
        "work": {role: spread([sum(each.get(role, {}).values()) for each in work]) for role in roles},
        "at_once": {role: spread([each.get(role, 0) for each in crowds]) for role in roles},
        "busiest": {
            role: max(sorted(work[middle].get(role, {0: 0}).items()), key=lambda each: each[1])[0] for role in roles
        },
        "waits": _pooled(run.waits for run in played),
        "lead": _pooled(leads(run, day) for run in played),
        "end": spread(ends),
        "in_time": sum(run.end <= ready_by and not run.unfinished for run in played),
        "late": spread([max(run.late(), default=0) for run in played]),
        "unfinished": sum(run.unfinished > 0 for run in played),
        "typical": middle,
    }


def from_figures(day: Day, found: Mapping[str, Any], rule: Rule | None = None) -> Forecast:
    """The forecast of these figures of the day, which may have been kept in JSON; its typical run is played anew."""
    loads: dict[str, dict[int, Spread]] = defaultdict(dict)
    for pool, hour, *values in found["loads"]:
        loads[pool][hour] = Spread(*values)
    spreads = {
        name: {each: Spread(*values) for each, values in found[name].items()}
        for name in ("sets", "work", "at_once", "waits", "lead")
    }
    typical = run_of(replace(day, stock={}), found["seed"], found["typical"], rule)
    if any(peak > _owned(day, item, peak) for item, peak in typical.peaks.items()):
        typical = run_of(day, found["seed"], found["typical"], rule)
    return Forecast(
        runs=found["runs"],
        seed=found["seed"],
        short=Counter(found["short"]),
        loads=loads,
        busiest=found["busiest"],
        end=Spread(*found["end"]),
        in_time=found["in_time"],
        late=Spread(*found["late"]),
        unfinished=found["unfinished"],
        typical=typical,
        **spreads,
    )


def _owned(day: Day, item: str, otherwise: int) -> int:
    owned = day.stock.get(item)
    return otherwise if owned is None else owned


def _pooled(found: Iterator[Mapping[str, Sequence[int]]]) -> dict[str, Spread]:
    """The values of all runs taken together."""
    values: dict[str, list[int]] = defaultdict(list)
    for each in found:
        for name, seconds in each.items():
            values[name] += seconds
    return {name: spread(seconds) for name, seconds in values.items()}


def machine_holds(run: Run) -> Iterator[tuple[Job, str, int, int]]:
    """Each load on a machine: the job, the pool, first and last activity."""
    for job in run.jobs:
        if isinstance(job.work, Stage):
            for pool, _, first, last in job.held:
                if pool.startswith("device "):
                    yield job, pool, first, last


def _by_hour(played: Sequence[Run]) -> Iterator[tuple[str, int, list[int]]]:
    """For each machine and hour of the day: the loads begun in each run."""
    counts = [
        Counter((pool, job.starts[first] // HOUR) for job, pool, first, _ in machine_holds(run)) for run in played
    ]
    for pool, hour in sorted({key for count in counts for key in count}):
        yield pool, hour, [count[pool, hour] for count in counts]


def leads(run: Run, day: Day) -> dict[str, list[int]]:
    """For each machine: seconds, nights left out, from the start of each of its loads until all its sets are ready."""
    ready = [job.end if job.ends else 0 for job in run.jobs]
    for job in reversed(run.jobs):
        if isinstance(job.work, Stage):
            for earlier in job.after:
                ready[earlier] = max(ready[earlier], ready[job.number])
    found: dict[str, list[int]] = defaultdict(list)
    for job, pool, first, _ in machine_holds(run):
        found[pool].append(day.awake(ready[job.number]) - day.awake(job.starts[first]))
    return found


def people_at_work(run: Run) -> Iterator[tuple[str, int, int, int, bool]]:
    """Every stretch of hands-on work: role's pool, how many, start, end, whether it is of the day itself."""
    for job in run.jobs:
        own, starts, ends = run.is_own(job), job.starts, job.ends
        done = len(ends)
        for pool, amount, first, last in job.held:
            if last < done and pool.startswith("role "):
                yield pool, amount, starts[first], ends[last], own


def work_by(run: Run) -> dict[str, dict[int, int]]:
    """Hands-on seconds by role and hour of the day, patients included."""
    found: dict[str, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for pool, amount, start, end, own in people_at_work(run):
        for hour in range(start // HOUR, (end - 1) // HOUR + 1) if own else ():
            found[pool][hour] += amount * (min(end, (hour + 1) * HOUR) - max(start, hour * HOUR))
    return found


def most_at_once(run: Run) -> dict[str, int]:
    """By role: the most people of it at work at one time."""
    moments: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for pool, amount, start, end, _ in people_at_work(run):
        if end > start:
            moments[pool] += [(start, amount), (end, -amount)]
    return {pool: max(accumulate(change for _, change in sorted(found))) for pool, found in moments.items()}
