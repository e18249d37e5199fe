"""Whether shared machines and people suffice: orders of use that keep every limit, or demands that never fit.

A demand holds some units of a resource from one point to another, its end not included: a machine from loading to
unloading, a person while hands are on. Precedence constraint posting (Smith and Cheng, AAAI 1993; Cesta, Oddi and
Smith 1998): find demands that overlap beyond what there is, try each order of two of them, and prove the order found
against machine times by dynamic controllability.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import permutations

from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Conflict, Link, Network, Schedule, consistency, minimal_interval
from sopc.trade.semireducible import Search as CycleSearch

MOST_TRIES = 2_000
MOST_CLAUSES = 80
TOO_MANY = "there are too many orders to try them all"
SOME_TIMES = "each order tried fails for some machine times; staff deciding as they go may manage"


@dataclass(frozen=True, slots=True)
class Demand:
    """`amount` units of `resource` are held from point `start` until point `end`."""

    start: int
    end: int
    resource: Hashable
    amount: int
    clause: Hashable


@dataclass(frozen=True, slots=True)
class Before:
    """One demand ends before another one starts."""

    first: Demand
    second: Demand

    @property
    def bound(self) -> Bound:
        return Bound(self.second.start, self.first.end, 0, self)


@dataclass(frozen=True, slots=True)
class Fits:
    """Keeping to this order of use, staff can keep every limit whatever the machines take."""

    order: tuple[Before, ...]


@dataclass(frozen=True, slots=True)
class TooMuch:
    """These demands can never all be met, whatever the order, because of these bounds and what there is."""

    resources: tuple[Hashable, ...]
    demands: tuple[Demand, ...]
    bounds: tuple[Bound, ...]


@dataclass(frozen=True, slots=True)
class Undecided:
    """Neither shown to fit nor shown not to; `why` is for the reader."""

    why: str


Solver = Callable[[Network, tuple[Demand, ...], Mapping[Hashable, int]], "Schedule | bool"]
"""Another search for a schedule, machine times as staff would like them: False: there is none; True: it gave up."""


def fit(
    network: Network,
    demands: tuple[Demand, ...],
    capacities: Mapping[Hashable, int],
    most_tries: int = MOST_TRIES,
    solver: Solver | None = None,
) -> Fits | TooMuch | Undecided:
    """Decide whether the demands fit into the capacities within the network's limits.

    After `most_tries` orders the `solver` is asked, if there is one; what it finds is proven here.

    Raise ValueError when the network is not controllable without them (a machine is never blamed for that), and
    KeyError for a resource without a capacity. The same question gets the same answer.
    """
    if not is_controllable(network):
        raise ValueError("limits that cannot be kept anyway are no matter of machines or people")
    demands = tuple(demand for demand in demands if _takes_time(network, demand))
    clash = _alone_or_in_pairs(network, demands, capacities)
    if clash is not None:
        return clash
    search = _Search(network, demands, capacities, most_tries)
    order = search.run()
    if order is not None:
        return Fits(order)
    if search.tries > most_tries:
        return _asked(search, solver) if solver is not None else Undecided(TOO_MANY)
    if search.feasible:
        return Undecided(SOME_TIMES)
    return _explained(network, demands, capacities, search, most_tries)


def _asked(search: _Search, solver: Solver) -> Fits | TooMuch | Undecided:
    """Let the solver find a schedule with machines at their longest, and prove its order; or show there is none."""
    network, demands, capacities = search.network, search.demands, search.capacities
    slow = solver(_at_longest(network), demands, capacities)
    if isinstance(slow, Schedule):
        order = search.proven(slow)
        return Fits(order) if order is not None else Undecided(SOME_TIMES)
    answer = solver(network, demands, capacities)
    if answer is not False:
        return Undecided(TOO_MANY if answer is True else SOME_TIMES)
    kept = list(demands)
    for demand in reversed(demands):
        rest = tuple(other for other in kept if other is not demand)
        if solver(network, rest, capacities) is False:
            kept = list(rest)
    bounds = _needed(network, tuple(kept), capacities, solver)
    return TooMuch(tuple(dict.fromkeys(demand.resource for demand in kept)), tuple(kept), bounds)


def _needed(
    network: Network, demands: tuple[Demand, ...], capacities: Mapping[Hashable, int], solver: Solver
) -> tuple[Bound, ...]:
    """The bounds without whose clauses the demands would fit (deletion filter); all when they are too many to try."""
    bounds = network.as_bounds()
    clauses = dict.fromkeys(bound.clause for bound in bounds if bound.clause is not None)
    if len(clauses) > MOST_CLAUSES:
        return tuple(bound for bound in bounds if bound.clause is not None)
    for clause in reversed(clauses):
        rest = tuple(bound for bound in bounds if bound.clause != clause)
        if solver(Network(network.points, rest), demands, capacities) is False:
            bounds = rest
    return tuple(bound for bound in bounds if bound.clause is not None)


def _at_longest(network: Network) -> Network:
    """The network with every machine at its longest."""
    longest = [Link(link.activation, link.high or link.low, link.high, link.contingent_end, link.clause)
               for link in network.links]  # fmt: skip
    return Network(network.points, (*network.bounds, *(bound for link in longest for bound in link.as_bounds())))


def _takes_time(network: Network, demand: Demand) -> bool:
    return demand.start != demand.end and minimal_interval(network, demand.start, demand.end).latest != 0


def _alone_or_in_pairs(
    network: Network, demands: tuple[Demand, ...], capacities: Mapping[Hashable, int]
) -> TooMuch | None:
    """Find a demand, or two, that cannot fit by themselves, without any search."""
    for place, one in enumerate(demands):
        capacity = capacities[one.resource]
        if one.amount > capacity:
            return TooMuch((one.resource,), (one,), ())
        for other in demands[:place]:
            if other.resource != one.resource or one.amount + other.amount <= capacity:
                continue
            ways = [_posted(network, [order]) for order in (Before(other, one), Before(one, other))]
            clashes = [clash for clash in map(consistency, ways) if isinstance(clash, Conflict)]
            if len(clashes) == len(ways):
                return TooMuch((one.resource,), (other, one), _own_bounds(clashes))
    return None


@dataclass(slots=True)
class _Search:
    """Depth-first search over orders; remembers whether any order suits at least some machine times."""

    network: Network
    demands: tuple[Demand, ...]
    capacities: Mapping[Hashable, int]
    most_tries: int
    tries: int = 0
    feasible: bool = False
    clashes: list[Conflict] = field(default_factory=list)

    def run(self) -> tuple[Before, ...] | None:
        """Return an order that makes the network controllable, or None."""
        todo: list[tuple[Before, ...]] = [()]
        while todo:
            order = todo.pop()
            self.tries += 1
            if self.tries > self.most_tries:
                return None
            posted = _posted(self.network, order)
            times = consistency(posted)
            if isinstance(times, Conflict):
                self.clashes.append(times)
                continue
            # Once some order is known to suit the staff's choice of times, only machine times still matter.
            if self.feasible and not is_controllable(posted):
                continue
            crowd = self._crowd(times)
            if crowd:
                ways = [(*order, Before(one, other)) for one, other in permutations(crowd, 2)]
                todo.extend(reversed(ways))
                continue
            self.feasible = True
            chain = self._chains(times)
            proof = CycleSearch(_posted(self.network, chain))
            if proof.run():
                return chain
            todo.extend(_other_ways(order, chain, {part.of.clause for part in proof.parts()}))
        return None

    def proven(self, schedule: Schedule) -> tuple[Before, ...] | None:
        """The order of a schedule, if it fits and keeps every limit whatever machines take."""
        if self._crowd(schedule):
            return None
        chain = self._chains(schedule)
        return chain if is_controllable(_posted(self.network, chain)) else None

    def _crowd(self, schedule: Schedule) -> list[Demand]:
        """Return a smallest set of demands that overlap in this schedule beyond capacity, or nothing."""
        times = schedule.times
        for latest in sorted(self.demands, key=lambda demand: times[demand.start]):
            now = times[latest.start]
            # One that takes no time here may well take some elsewhere: it must fall between the others.
            since = now - 1 if times[latest.end] == now else now
            active = [
                demand
                for demand in self.demands
                if demand.resource == latest.resource
                and (demand is latest or (times[demand.start] <= since and now < times[demand.end]))
            ]
            capacity = self.capacities[latest.resource]
            if sum(demand.amount for demand in active) > capacity:
                return _smallest_excess(active, capacity)
        return []

    def _chains(self, schedule: Schedule) -> tuple[Before, ...]:
        """Hand each unit of each resource from demand to demand as the schedule does; return the handovers."""
        times = schedule.times
        holders: dict[Hashable, list[Demand | None]] = {name: [None] * most for name, most in self.capacities.items()}
        found: dict[Before, None] = {}
        for demand in sorted(self.demands, key=lambda demand: (times[demand.start], times[demand.end])):
            units = holders[demand.resource]
            free = [at for at, held in enumerate(units) if held is None or times[held.end] <= times[demand.start]]
            for unit in free[: demand.amount]:
                held = units[unit]
                if held is not None:
                    found[Before(held, demand)] = None
                units[unit] = demand
        return tuple(found)


def _other_ways(
    order: tuple[Before, ...], chain: tuple[Before, ...], blamed: set[Hashable]
) -> list[tuple[Before, ...]]:
    """Branch on the first blamed handover not yet fixed: the other way round, or (tried first) fixed as it is."""
    fresh = next((before for before in chain if before in blamed and before not in order), None)
    if fresh is None:
        return []
    return [(*order, Before(fresh.second, fresh.first)), (*order, fresh)]


def _explained(
    network: Network,
    demands: tuple[Demand, ...],
    capacities: Mapping[Hashable, int],
    search: _Search,
    most_tries: int,
) -> TooMuch:
    """Leave out demands that are not needed for the clash, the last first (deletion filter)."""
    kept = list(demands)
    for demand in reversed(demands):
        rest = tuple(other for other in kept if other is not demand)
        smaller = _Search(network, rest, capacities, most_tries)
        if smaller.run() is None and not smaller.feasible and smaller.tries <= most_tries:
            kept, search = list(rest), smaller
    resources = tuple(dict.fromkeys(demand.resource for demand in kept))
    return TooMuch(resources, tuple(kept), _own_bounds(search.clashes))


def _smallest_excess(active: list[Demand], capacity: int) -> list[Demand]:
    chosen = list(active)
    for demand in sorted(active, key=lambda demand: demand.amount):
        rest = [other for other in chosen if other is not demand]
        if sum(other.amount for other in rest) > capacity:
            chosen = rest
    return chosen


def _posted(network: Network, order: Iterable[Before]) -> Network:
    bounds = (*network.bounds, *(before.bound for before in order))
    return Network(network.points, bounds, network.links)


def _own_bounds(clashes: list[Conflict]) -> tuple[Bound, ...]:
    """The network's bounds in these conflicts, each once, without the orders that were tried."""
    found = (bound for clash in clashes for bound in clash.bounds if not isinstance(bound.clause, Before))
    return tuple(dict.fromkeys(found))
