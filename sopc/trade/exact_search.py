"""The same question as in `sopc.trade.resources`, put to an outside solver (OR-Tools CP-SAT) when it is installed.

The extra `schedule` installs it. It only ever widens what can be decided: a schedule it finds is looked over and proven
by our own search, and “no schedule” is a proof because it lets the world choose as staff would like.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any

from sopc.trade.network import Conflict, Network, Schedule, consistency, windows
from sopc.trade.resources import Demand, Solver

LONGEST = 10**7  # seconds that anything is held
EFFORT = 10.0
"""CP-SAT's own measure of work, the same on every machine; some seconds."""


@dataclass(frozen=True, slots=True)
class ExactSearch:
    """Looks for a schedule with CP-SAT: one thread and a fixed seed, so that the same question gets the same answer."""

    effort: float = EFFORT

    def __call__(
        self, network: Network, demands: tuple[Demand, ...], capacities: Mapping[Hashable, int]
    ) -> Schedule | bool:
        """Return a schedule, False when there is none, True when it gave up."""
        from ortools.sat.python import cp_model

        if isinstance(consistency(network), Conflict):
            return False
        model = cp_model.CpModel()
        times = _points(model, network)
        for resource in dict.fromkeys(demand.resource for demand in demands):
            mine = [demand for demand in demands if demand.resource == resource]
            intervals = [_interval(model, times, demand) for demand in mine]
            model.add_cumulative(intervals, [demand.amount for demand in mine], capacities[resource])
        solver = cp_model.CpSolver()
        solver.parameters.num_search_workers = 1
        solver.parameters.random_seed = 1
        solver.parameters.max_deterministic_time = self.effort
        status = solver.solve(model)
        if status == cp_model.INFEASIBLE:
            return False
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return True
        found = [int(solver.value(time)) for time in times]
        return Schedule(tuple(time - min(found, default=0) for time in found))


def exact_search(effort: float = EFFORT) -> Solver | None:
    """The outside solver, or None when it is not installed."""
    from importlib.util import find_spec

    return ExactSearch(effort) if find_spec("ortools") is not None else None


def _points(model: Any, network: Network) -> list[Any]:
    """A variable for each point, as narrow as the bounds make it seen from the first one."""
    bounds = network.as_bounds()
    # No two points of some schedule need lie further apart than all bounds together.
    most = sum(abs(bound.weight) for bound in bounds) + 1
    times = []
    for point, window in enumerate(windows(network, 0)):
        earliest = -most if window.earliest is None else window.earliest
        latest = most if window.latest is None else window.latest
        times.append(model.new_int_var(earliest, latest, f"t{point}"))
    for bound in bounds:
        model.add(times[bound.target] - times[bound.source] <= bound.weight)
    return times


def _interval(model: Any, times: list[Any], demand: Demand) -> Any:
    start, end = times[demand.start], times[demand.end]
    length = model.new_int_var(0, LONGEST, "length")
    model.add(start + length == end)
    return model.new_interval_var(start, length, end, "held")
