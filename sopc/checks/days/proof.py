"""Is there a plan for the day that keeps every limit whatever machines and patients take? Found by playing, proved by
dynamic controllability of the order found (precedence constraint posting, as in sopc.trade.resources)."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, replace

from sopc.checks.days.day import COURTESY, OfficeDay
from sopc.checks.days.limits import Reach, measured, quickest, reaches_of
from sopc.checks.days.network import bounds_of, demands_of, network_of, pair_of, points_of
from sopc.model.nouns import WayLimit
from sopc.trade.controllability import is_controllable
from sopc.trade.exact_search import exact_search
from sopc.trade.least_weight import least_weight
from sopc.trade.network import Bound, Network
from sopc.trade.resources import Fits, fit
from sopc.trade.simulation import Rule, Run, longest, simulate

HOUR = 3600
DAY = 24 * HOUR
RULES = (
    Rule(),
    Rule(loads_first=True),
    Rule(last_call=HOUR),
    Rule(patience=HOUR, last_call=HOUR),
    Rule(patience=0),
    Rule(patience=HOUR // 6),
    Rule(patience=HOUR // 4),
    Rule(patience=HOUR // 3),
    Rule(patience=HOUR // 2),
    Rule(patience=HOUR),
    Rule(patience=2 * HOUR),
)
MOST_DEMANDS = 40  # a search over orders is of use for small days only
MOST_TRIES = 60
MOST_FOR_SOLVER = 400
EFFORT = 0.5
LIMITS_OPEN = "a limit along a circuit can be missed when machines and patients take long"


@dataclass(frozen=True, slots=True)
class Safe:
    """Keeping to the order in `network`, every set is ready in time whatever machines and patients take.

    `run`: the jobs, and what each holds; `rule`: how it was played; `searched`: the order is not that of the run but
    was found by search.
    """

    run: Run
    network: Network
    rule: Rule
    searched: bool = False


@dataclass(frozen=True, slots=True)
class Unproven:
    """A limit along a circuit that the order of work found cannot promise.

    `reach` is where it took longest in the run played with slow machines, `took` how long. `promised`: the least number
    of seconds that could be kept for certain instead; None when no number could.
    """

    limit: WayLimit
    reach: Reach
    took: int
    promised: int | None


@dataclass(frozen=True, slots=True)
class NotShown:
    """No plan found. `run` is the one that came nearest; `why` completes “not shown to fit: …”.

    `limits`: all is kept but these limits along circuits, in the order of work of `run`.
    """

    run: Run
    why: str
    limits: tuple[Unproven, ...] = ()


_proven: deque[tuple[OfficeDay, Safe | NotShown]] = deque(maxlen=8)


def prove(made: OfficeDay) -> Safe | NotShown:
    """Look for a plan; each rule of work is tried in turn, then orders of the best one's machines and hands.

    The last days are remembered, as the paper asks for those that were checked.
    """
    for other, known in _proven:
        if other.office is made.office and other == made:
            return known
    found = _looked_for(made)
    _proven.append((made, found))
    return found


def _looked_for(made: OfficeDay) -> Safe | NotShown:
    runs: list[tuple[int, Run]] = []
    for rule in rules_of(made):
        run = simulate(made.day, longest, rule)
        if run.unfinished:
            return NotShown(run, "something the day needs does not exist, so that work would wait for ever")
        if _kept(made, run):
            network = network_of(made, run, handed_over=True)
            if is_controllable(network):
                return Safe(run, network, rule)
            runs.append((-1, run))
        else:
            runs.append((_misses(made, run), run))
    best = min(range(len(runs)), key=lambda place: runs[place][0])
    misses, run = runs[best]
    found = _searched(made, run)
    if found is not None:
        return Safe(run, found, rules_of(made)[best], searched=True)
    if made.limited:
        for _, kept in (each for each in runs if each[0] < 0):
            if is_controllable(network_of(made, kept, handed_over=True, limits=())):
                return NotShown(kept, LIMITS_OPEN, _unproven(made, kept))
    return NotShown(run, _why(made, run, misses))


def rules_of(made: OfficeDay) -> tuple[Rule, ...]:
    """The rules of work that differ on this day."""
    longest_wait = max(made.patience.values(), default=0)
    known = (rule for rule in RULES if made.day.nights or rule.last_call is None)
    return tuple(rule for rule in known if rule.patience is None or rule.patience < longest_wait)


def likely_rules_of(made: OfficeDay) -> tuple[Rule, ...]:
    """The same, first that by which a day of the same caseload was last shown to be safe, then those most like it."""
    shown = [known.rule for other, known in _proven if other.caseload is made.caseload and isinstance(known, Safe)]
    return tuple(sorted(rules_of(made), key=lambda rule: _unlike(rule, shown[-1]))) if shown else rules_of(made)


def _unlike(one: Rule, other: Rule) -> tuple[bool, bool, int]:
    """Rather more patient than less: what is left from the day before comes on top."""
    waits = [2 * DAY if rule.patience is None else rule.patience for rule in (one, other)]
    same = (one.loads_first, one.last_call) == (other.loads_first, other.last_call)
    return not same, waits[0] < waits[1], abs(waits[0] - waits[1])


@dataclass(frozen=True, slots=True)
class Asked:
    """What has to be worked out for one promise beside the bare network: no more than numbers.

    The lower ends of the limit, between which points it holds, and the least seconds that come into question.
    """

    bounds: tuple[Bound, ...]
    pairs: tuple[tuple[int, int], ...]
    low: int

    def answer(self, bare: Network, high: int) -> int | None:
        """The least number of seconds that is kept for certain; None when not even `high` is."""
        network = Network(bare.size, (*bare.bounds, *self.bounds), bare.links)
        return least_weight(network, self.pairs, self.low, high)


def promised(made: OfficeDay, run: Run, network: Network, limit: WayLimit) -> int | None:
    """The least number of seconds of an upper limit that the network's order of work keeps for certain.

    None when no number could be kept. All limits along circuits are left out meanwhile, but for its own lower ends.
    """
    return promise_asked(made, run, limit).answer(bare_of(network), made.ready_by)


def bare_of(network: Network) -> Network:
    """The network without limits along circuits, in numbers only."""
    bounds = tuple(bound for bound in network.bounds if not isinstance(bound.clause, WayLimit))
    return Network(network.size, bounds, network.links).unnamed()


def promise_asked(made: OfficeDay, run: Run, limit: WayLimit) -> Asked:
    """What has to be worked out for a promise."""
    points = points_of(run)
    reaches = [reach for reach in reaches_of(made, run) if reach.limit == limit and reach.spacing.most is not None]
    least = [replace(bound, clause=None) for reach in reaches for bound in bounds_of(points, reach, None)]
    pairs = tuple(pair_of(points, reach) for reach in reaches)
    return Asked(tuple(least), pairs, max((quickest(run, reach) for reach in reaches), default=0))


def _unproven(made: OfficeDay, run: Run) -> tuple[Unproven, ...]:
    """The limits that fail by themselves; all of them when they fail only together."""
    reaches, network = reaches_of(made, run), network_of(made, run, handed_over=True, limits=())
    found: list[Unproven] = []
    for limit in dict.fromkeys(reach.limit for reach in reaches):
        mine = [reach for reach in reaches if reach.limit == limit]
        alone = is_controllable(network_of(made, run, handed_over=True, limits=(limit,)))
        worst = max(mine, key=lambda reach: measured(run, reach))
        if not alone:
            found.append(Unproven(limit, worst, measured(run, worst), promised(made, run, network, limit)))
    if found:
        return tuple(found)
    worsts = [
        max((reach for reach in reaches if reach.limit == limit), key=lambda reach: measured(run, reach))
        for limit in dict.fromkeys(reach.limit for reach in reaches)
    ]
    return tuple(Unproven(each.limit, each, measured(run, each), None) for each in worsts)


def _why(made: OfficeDay, run: Run, misses: int) -> str:
    if misses < 0:
        return "the order of work found keeps to the hour, but a limit inside a procedure can be missed on some days"
    late = [wait for wait in run.late() if wait > COURTESY]
    if late:
        visits = "one visit begins" if len(late) == 1 else f"{len(late)} visits begin"
        return f"in the best order found {visits} up to {max(late) // 60} min late when machines and patients take long"
    over = -(-(run.end - made.ready_by) // 60)
    return f"in the best order found the last set is ready {over} min too late when machines and patients take long"


def _kept(made: OfficeDay, run: Run) -> bool:
    return run.end <= made.ready_by and all(wait <= COURTESY for wait in run.late())


def _misses(made: OfficeDay, run: Run) -> int:
    return max(0, run.end - made.ready_by) + sum(max(0, wait - COURTESY) for wait in run.late())


def _searched(made: OfficeDay, run: Run) -> Network | None:
    """The network with another order of the same loads that keeps every limit; None when none was found.

    Without an outside solver asked of small days only.
    """
    demands, capacities = demands_of(made, run)
    solver = exact_search(EFFORT)
    if len(demands) > (MOST_DEMANDS if solver is None else MOST_FOR_SOLVER):
        return None
    network = network_of(made, run, handed_over=False)
    if not is_controllable(network):
        return None
    verdict = fit(network, demands, capacities, MOST_TRIES, solver)
    if not isinstance(verdict, Fits):
        return None
    return Network(network.size, (*network.bounds, *(before.bound for before in verdict.order)), network.links)
