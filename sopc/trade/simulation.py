"""Plays a day through, event by event: visits, loads, machines held until emptied, hands, sets that come back.

Discrete-event simulation on plain values (Law, "Simulation Modeling and Analysis"; the event list is a heap). Times
are whole seconds after midnight. Every range is drawn evenly between its ends; a run is fixed by its seed.

Who is first: patients; then what was begun and needs no further machine; then whoever waited longest.
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush
from random import Random

MOST_EVENTS = 200_000
NIGHT = 4 * 3600

Draw = Callable[["Activity"], int]


@dataclass(frozen=True, slots=True)
class Claim:
    """`amount` units of the first pool that has them free, from an activity's start to the end of activity `until`."""

    any_of: tuple[str, ...]
    amount: int
    until: int


@dataclass(frozen=True, slots=True)
class Activity:
    """Lasts `least` to `most` seconds. `hands`: people are at it; `contingent`: they do not choose how long."""

    title: str
    least: int
    most: int
    claims: tuple[Claim, ...] = ()
    hands: bool = True
    contingent: bool = False


@dataclass(frozen=True, slots=True)
class Stage:
    """Work done on a load. A unit of an item takes `share` of `size`; without a size all that waits goes together.

    A load begins when it is full, when its first unit has waited `patience` seconds, or when no more can come.
    """

    name: str
    activities: tuple[Activity, ...]
    size: int = 0
    share: Mapping[str, int] = field(default_factory=dict)
    patience: int = 0

    @property
    def smallest(self) -> int:
        """The least room a unit takes."""
        return min(self.share.values(), default=1)


@dataclass(frozen=True, slots=True)
class Visit:
    """Takes clean items at its start; they are used items at its end."""

    name: str
    activities: tuple[Activity, ...]
    needs: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Day:
    """What there is and what comes. `stock` None for an item: as many as are asked for.

    `journeys` names the stages an item goes through until it is clean again; no hands begin anything in a pause. Of
    the bookings, in order of time, the first `own` belong to the day itself and the others to the morning after; None:
    all. From `last_call` seconds before a night on no load waits for more.
    """

    pools: Mapping[str, int]
    stages: Mapping[str, Stage]
    journeys: Mapping[str, tuple[str, ...]]
    visits: Mapping[str, Visit]
    bookings: tuple[tuple[int, str], ...]
    stock: Mapping[str, int | None] = field(default_factory=dict)
    pauses: tuple[tuple[int, int], ...] = ()
    own: int | None = None
    last_call: int = 1800

    @property
    def nights(self) -> tuple[tuple[int, int], ...]:
        """The pauses over which nothing that waits should be left to wait."""
        return tuple(pause for pause in self.pauses if pause[1] - pause[0] >= NIGHT)

    def awake(self, time: int) -> int:
        """Seconds without the nights before."""
        return time - sum(min(time, end) - start for start, end in self.nights if time > start)

    def on_clock(self, awake: int) -> int:
        """The time at which so many seconds without nights have passed: the inverse of `awake`."""
        for start, end in self.nights:
            awake += end - start if awake > start else 0
        return awake


@dataclass(frozen=True, slots=True)
class Rule:
    """Another order of work than the usual: loads before patients, or less patience (seconds) at all stages.

    `last_call`: so many seconds before a night no load waits for more; None: as the day says.
    """

    loads_first: bool = False
    patience: int | None = None
    last_call: int | None = None


@dataclass(slots=True)
class Job:
    """A visit or a load as it was done.

    `held`: pool, units, first and last activity; `after`: the jobs whose sets it took over. `uses`: for each unit the
    number of its use; it keeps that from the visit until it is clean again.
    """

    number: int
    work: Visit | Stage
    units: tuple[str, ...]
    ready: int
    after: tuple[int, ...] = ()
    uses: tuple[int, ...] = ()
    starts: list[int] = field(default_factory=list)
    ends: list[int] = field(default_factory=list)
    held: list[tuple[str, int, int, int]] = field(default_factory=list)

    @property
    def start(self) -> int:
        return self.starts[0]

    @property
    def end(self) -> int:
        return self.ends[-1]


@dataclass(slots=True)
class Run:
    """One day as played. `waits`: seconds each unit stood before a stage; `peaks`: most of an item away at once.

    `unfinished` counts jobs and units that could never go on: something they need does not exist.
    """

    jobs: list[Job] = field(default_factory=list)
    waits: dict[str, list[int]] = field(default_factory=dict)
    peaks: dict[str, int] = field(default_factory=dict)
    unfinished: int = 0
    own_visits: int | None = None
    own_uses: int = 0

    @property
    def end(self) -> int:
        """When the last job of the day itself was done."""
        return max((job.end for job in self.jobs if job.ends and self.is_own(job)), default=0)

    def is_own(self, job: Job) -> bool:
        """Whether a job belongs to the day itself, not only to the morning after."""
        if self.own_visits is None or job.number < self.own_visits:
            return True
        return isinstance(job.work, Stage) and any(use < self.own_uses for use in job.uses)

    def late(self) -> list[int]:
        """Seconds each visit began after its booking."""
        return [job.start - job.ready for job in self.jobs if isinstance(job.work, Visit) and job.starts]


def evenly(random: Random) -> Draw:
    """Draw each length evenly from its range."""
    draw = random.random

    def length(activity: Activity) -> int:
        return activity.least + int(draw() * (activity.most - activity.least + 1))

    return length


def longest(activity: Activity) -> int:
    """What must be allowed for: staff are quick, all else takes its longest."""
    return activity.most if activity.contingent else activity.least


def run_of(day: Day, seed: int, number: int, rule: Rule | None = None) -> Run:
    """Play run `number` of a series; the same seed and number give the same run."""
    return simulate(day, evenly(Random(f"{seed}/{number}")), rule)


def simulate(day: Day, draw: Draw, rule: Rule | None = None) -> Run:
    """Play the day once. Raises ValueError when it does not come to an end."""
    return _Floor(day, draw, rule or Rule()).play()


def percentile(values: Sequence[int], per_cent: int) -> int:
    """Return the smallest value that at least so many per cent of the values do not pass (nearest rank)."""
    if not values:
        raise ValueError("no values have no percentile")
    return sorted(values)[max(0, -(-len(values) * per_cent // 100) - 1)]


@dataclass(slots=True)
class _Queue:
    """Units before a stage: since when, which item, from which job, which use; and how many are still to come."""

    stage: Stage
    patience: int
    units: deque[tuple[int, str, int, int]] = field(default_factory=deque)
    coming: int = 0
    filled: int = 0  # of the stage's size, by all units waiting
    enough: int = -1  # filled beyond this nothing more goes in

    def __post_init__(self) -> None:
        if self.stage.size:
            self.enough = self.stage.size - self.stage.smallest

    def add(self, unit: tuple[int, str, int, int]) -> None:
        """Let a unit wait."""
        self.units.append(unit)
        self.coming -= 1
        if self.stage.size:
            self.filled += self.stage.share[unit[1]]

    def ready(self, now: int, last_call: bool) -> bool:
        """Whether a load may begin; at the last call none waits for more."""
        if not self.units:
            return False
        if last_call or self.filled > self.enough:
            return True
        return not self.coming or now - self.units[0][0] >= self.patience

    def take(self) -> list[tuple[int, str, int, int]]:
        """Take one load, first come first."""
        if not self.stage.size:
            taken = list(self.units)
            self.units.clear()
            return taken
        share = self.stage.share
        taken = [self.units.popleft()]
        room = self.stage.size - share[taken[0][1]]
        while self.units and share[self.units[0][1]] <= room:
            room -= share[self.units[0][1]]
            taken.append(self.units.popleft())
        self.filled -= self.stage.size - room
        return taken


class _Floor:
    """The state of one run."""

    def __init__(self, day: Day, draw: Draw, rule: Rule) -> None:
        self.day = day
        self.draw = draw
        self.rule = rule
        self.run = Run()
        self.now = 0
        self.free = dict(day.pools)
        self.away: dict[str, int] = {}
        self.clean: dict[str, int | None] = dict(day.stock)
        self.returned: dict[str, list[int]] = {}
        self.taken: dict[str, int] = {}
        early = day.last_call if rule.last_call is None else rule.last_call
        self.last_calls = tuple((start - early, end) for start, end in day.nights)
        self.queues = {
            name: _Queue(
                stage,
                stage.patience if rule.patience is None else min(stage.patience, rule.patience),
            )
            for name, stage in day.stages.items()
        }
        self.lines = list(self.queues.values())
        self.waiting: list[tuple[int, int, int, int]] = []  # rank, since, job, activity
        self.events: list[tuple[int, int, int, int]] = []  # time, order, job (-1: look again), activity
        self.order = 0
        self.uses = 0
        self.pause_starts = [start for start, _ in day.pauses]

    def play(self) -> Run:
        """Play until nothing is left that could happen."""
        self.run.own_visits = self.day.own
        for place, (time, name) in enumerate(sorted(self.day.bookings)):
            visit = self.day.visits[name]
            units = tuple(item for item, number in visit.needs for _ in range(number))
            uses = tuple(range(self.uses, self.uses + len(units)))
            self.uses += len(units)
            if self.day.own is None or place < self.day.own:
                self.run.own_uses = self.uses
            job = self._job(visit, units, time, (), uses)
            for item in units:
                for stage in self.day.journeys.get(item, ()):
                    self.queues[stage].coming += 1
            self._at(time, job.number, -1)
        for time in (*(end for _, end in self.day.pauses), *(since for since, _ in self.last_calls)):
            self._at(time, -1, 0)
        count = 0
        while self.events:
            self.now = self.events[0][0]
            while self.events and self.events[0][0] == self.now:
                _, _, number, activity = heappop(self.events)
                self._happens(number, activity)
                count += 1
            if count > MOST_EVENTS:
                raise ValueError("the day does not come to an end")
            self._dispatch()
        self.run.unfinished = len(self.waiting) + sum(len(queue.units) for queue in self.queues.values())
        return self.run

    def _at(self, time: int, job: int, activity: int) -> None:
        self.order += 1
        heappush(self.events, (time, self.order, job, activity))

    def _job(
        self, work: Visit | Stage, units: tuple[str, ...], ready: int, after: tuple[int, ...], uses: tuple[int, ...]
    ) -> Job:
        job = Job(len(self.run.jobs), work, units, ready, after, uses)
        self.run.jobs.append(job)
        return job

    def _happens(self, number: int, activity: int) -> None:
        """A visit is due (activity -1), or an activity ends."""
        if number < 0:
            return
        job = self.run.jobs[number]
        if activity >= 0:
            for pool, amount, _, until in job.held:
                if until == activity:
                    self.free[pool] += amount
        following = activity + 1
        if following == len(job.work.activities):
            self._done(job)
            return
        insort(self.waiting, (self._rank(job, following), self.now, number, following))

    def _rank(self, job: Job, activity: int) -> int:
        if isinstance(job.work, Visit):
            return 3 if self.rule.loads_first else 0
        doing = job.work.activities[activity]
        return 2 if any(claim.until > activity for claim in doing.claims) or not doing.hands else 1

    def _done(self, job: Job) -> None:
        place = -1 if isinstance(job.work, Visit) else None
        for item, use in zip(job.units, job.uses, strict=True):
            journey = self.day.journeys.get(item, ())
            at = journey.index(job.work.name) if place is None else place
            self._arrive((item, use), journey, at + 1, job.number)

    def _arrive(self, unit: tuple[str, int], journey: tuple[str, ...], place: int, source: int) -> None:
        item, use = unit
        if place == len(journey):
            self._back(item, source)
            return
        queue = self.queues[journey[place]]
        queue.add((self.now, item, source, use))
        if queue.stage.size and queue.coming:
            self._at(self.now + queue.patience, -1, 0)

    def _back(self, item: str, source: int) -> None:
        if not self.day.journeys.get(item):
            return  # nothing makes it clean again
        self.away[item] -= 1
        left = self.clean.get(item)
        if left is not None:
            self.clean[item] = left + 1
            self.returned.setdefault(item, []).append(source)

    def _dispatch(self) -> None:
        """Begin all that can begin now."""
        now, waiting = self.now, self.waiting
        last_call = any(since <= now < until for since, until in self.last_calls)
        turns = [
            (2, line.units[0][0], -1, place)
            for place, line in enumerate(self.lines)
            if line.units and line.ready(now, last_call)
        ]
        if not waiting and not turns:
            return
        hands_off = self._paused()
        # Sorted by rank and time of waiting; a load not yet made comes before a job that waits as long.
        # Nothing is given back before the next look: what could not begin once need not be tried again.
        stuck: set[int] = set()
        for turn in sorted([*waiting, *turns]) if turns else tuple(waiting):
            if turn[2] < 0:
                self._begin_loads(self.lines[turn[3]], hands_off, last_call)
                continue
            doing = self.run.jobs[turn[2]].work.activities[turn[3]]
            if (hands_off and doing.hands) or id(doing) in stuck:
                continue
            if not self._go_on(turn, doing):
                stuck.add(id(doing))

    def _go_on(self, turn: tuple[int, int, int, int], doing: Activity) -> bool:
        """Let a waiting job go on; False when it lacks clean sets, people or machines."""
        _, _, number, activity = turn
        job = self.run.jobs[number]
        visit_begins = activity == 0 and isinstance(job.work, Visit)
        if visit_begins and not self._sets_there(job):
            return False
        claimed = self._claim(doing)
        if claimed is None:
            return False
        self.waiting.remove(turn)
        if visit_begins:
            self._take_sets(job)
        self._begin(job, activity, claimed)
        return True

    def _begin_loads(self, line: _Queue, hands_off: bool, last_call: bool) -> None:
        first = line.stage.activities[0]
        while line.ready(self.now, last_call) and not (hands_off and first.hands):
            claimed = self._claim(first)
            if claimed is None:
                return
            self._load(line, claimed)

    def _paused(self) -> bool:
        place = bisect_right(self.pause_starts, self.now) - 1
        return place >= 0 and self.now < self.day.pauses[place][1]

    def _load(self, queue: _Queue, claimed: list[tuple[str, int, int, int]]) -> None:
        taken = queue.take()
        waits = self.run.waits.setdefault(queue.stage.name, [])
        waits.extend(self.now - unit[0] for unit in taken)
        sources = tuple(dict.fromkeys(unit[2] for unit in taken))
        items, uses = tuple(unit[1] for unit in taken), tuple(unit[3] for unit in taken)
        job = self._job(queue.stage, items, taken[0][0], sources, uses)
        self._begin(job, 0, claimed)

    def _begin(self, job: Job, activity: int, claimed: list[tuple[str, int, int, int]]) -> None:
        doing = job.work.activities[activity]
        job.held.extend((pool, amount, activity, until) for pool, amount, _, until in claimed)
        job.starts.append(self.now)
        end = self.now + self.draw(doing)
        job.ends.append(end)
        self._at(end, job.number, activity)

    def _claim(self, activity: Activity) -> list[tuple[str, int, int, int]] | None:
        """Take what the activity needs, or nothing at all."""
        free = self.free
        taken: list[tuple[str, int, int, int]] = []
        for claim in activity.claims:
            for pool in claim.any_of:
                if free[pool] >= claim.amount:
                    free[pool] -= claim.amount
                    taken.append((pool, claim.amount, 0, claim.until))
                    break
            else:
                for pool, amount, _, _ in taken:
                    free[pool] += amount
                return None
        return taken

    def _sets_there(self, job: Job) -> bool:
        assert isinstance(job.work, Visit)
        for item, number in job.work.needs:
            left = self.clean.get(item)
            if left is not None and left < number:
                return False
        return True

    def _take_sets(self, job: Job) -> None:
        after: list[int] = []
        for item in job.units:
            self.away[item] = self.away.get(item, 0) + 1
            self.run.peaks[item] = max(self.run.peaks.get(item, 0), self.away[item])
            left = self.clean.get(item)
            if left is None:
                continue
            self.clean[item] = left - 1
            # Sets that were clean in the morning are used first, then those that came back, in their order.
            place = self.taken.get(item, 0) - (self.day.stock.get(item) or 0)
            self.taken[item] = self.taken.get(item, 0) + 1
            if place >= 0:
                after.append(self.returned[item][place])
        job.after = tuple(dict.fromkeys(after))


def untitled(day: Day) -> Day:
    """The same day without the words of its activities: it is played in the same way."""
    stages = {name: replace(stage, activities=_untitled(stage.activities)) for name, stage in day.stages.items()}
    visits = {name: replace(visit, activities=_untitled(visit.activities)) for name, visit in day.visits.items()}
    return replace(day, stages=stages, visits=visits)


def _untitled(activities: tuple[Activity, ...]) -> tuple[Activity, ...]:
    return tuple(replace(activity, title="") for activity in activities)


__all__ = [
    "Activity",
    "Claim",
    "Day",
    "Job",
    "Rule",
    "Run",
    "Stage",
    "Visit",
    "evenly",
    "longest",
    "percentile",
    "run_of",
    "simulate",
    "untitled",
]
