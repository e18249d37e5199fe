"""A day played event by event, against what can be worked out by hand."""

from __future__ import annotations

import json
from collections import defaultdict
from itertools import permutations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.trade.day_bounds import Feed, most_away, overfull
from sopc.trade.day_statistics import figures, forecast, from_figures, most_at_once
from sopc.trade.simulation import (
    Activity,
    Claim,
    Day,
    Rule,
    Run,
    Stage,
    Visit,
    longest,
    percentile,
    run_of,
    simulate,
    untitled,
)

MINUTE = 60


def machine(least: int, most: int, pool: str = "device washer") -> Activity:
    return Activity("run", least, most, (Claim((pool,), 1, 0),), hands=False, contingent=True)


def queue_day(arrivals: list[int], least: int, most: int, machines: int = 1) -> Day:
    """Visits that take no time hand one tray each to a machine that takes one tray."""
    return Day(
        pools={"device washer": machines},
        stages={"wash": Stage("wash", (machine(least, most),), 1, {"tray": 1})},
        journeys={"tray": ("wash",)},
        visits={"v": Visit("v", (Activity("v", 0, 0, hands=False),), (("tray", 1),))},
        bookings=tuple((time, "v") for time in arrivals),
    )


def loads(run: Run) -> list[tuple[int, int]]:
    return [(job.start, job.end) for job in run.jobs if isinstance(job.work, Stage)]


@given(st.lists(st.integers(0, 500), min_size=1, max_size=20), st.integers(1, 60))
def test_one_machine_of_fixed_time_follows_lindley(arrivals: list[int], length: int) -> None:
    """Lindley's recursion: each load begins when it has come and the one before is done."""
    free, expected = 0, []
    for time in sorted(arrivals):
        begin = max(time, free)
        free = begin + length
        expected.append((begin, free))
    assert loads(simulate(queue_day(arrivals, length, length), longest)) == expected


def test_even_arrivals_and_fixed_times_never_wait_when_the_machine_keeps_up() -> None:
    """D/D/1 with a load below one: no queue at all."""
    run = simulate(queue_day(list(range(0, 6000, 60)), 59, 59), longest)
    assert set(run.waits["wash"]) == {0}


def test_even_arrivals_and_fixed_times_wait_longer_and_longer_when_it_does_not() -> None:
    """D/D/1 above one: each waits one lag longer than the one before."""
    run = simulate(queue_day(list(range(0, 6000, 60)), 70, 70), longest)
    assert run.waits["wash"] == [10 * number for number in range(100)]


def test_random_arrivals_wait_as_long_as_pollaczek_and_khinchine_say() -> None:
    """M/D/1: mean wait = rho × service / (2 (1 − rho)); here 0.6 × 60 / 0.8 = 45 s."""
    random = Random(7)
    waits: list[int] = []
    for _ in range(6):
        time, arrivals = 0.0, []
        for _ in range(4000):
            time += random.expovariate(0.01)
            arrivals.append(int(time))
        waits += simulate(queue_day(arrivals, 60, 60), longest).waits["wash"]
    assert sum(waits) / len(waits) == pytest.approx(45, rel=0.1)


@given(st.integers(0, 10_000))
@settings(max_examples=30)
def test_little_s_law(seed: int) -> None:
    """Sets in the system, added up over time, are the times sets spend in it, added up."""
    random = Random(seed)
    arrivals = sorted(random.randrange(3000) for _ in range(30))
    run = simulate(queue_day(arrivals, 20, 200, machines=2), lambda each: random.randint(each.least, each.most))
    leaving = [end for _, end in loads(run)]
    spent = sum(leaving) - sum(arrivals)
    present = sum(
        sum(time <= now for time in arrivals) - sum(end <= now for end in leaving) for now in range(max(leaving))
    )
    assert present == spent


def test_a_load_waits_until_it_is_full_but_no_longer_than_the_patience() -> None:
    stage = Stage("wash", (machine(10, 10),), 3, {"tray": 1}, patience=100)
    visits = {"v": Visit("v", (Activity("v", 0, 0, hands=False),), (("tray", 1),))}
    times = (0, 20, 40, 200, 350, 900)
    day = Day({"device washer": 1}, {"wash": stage}, {"tray": ("wash",)}, visits, tuple((time, "v") for time in times))
    # Full at 40; the next runs out of patience at 300; the last but one at 450; nothing can join the last.
    assert [start for start, _ in loads(simulate(day, longest))] == [40, 300, 450, 900]


def test_a_machine_is_held_until_hands_have_emptied_it() -> None:
    claim = Claim(("device washer",), 1, 1)
    empty = Activity("empty", 5, 5, (Claim(("role assistant",), 1, 1),))
    stage = Stage("wash", (Activity("run", 10, 10, (claim,), False, True), empty), 1, {"tray": 1})
    chairside = Activity("v", 0, 0, hands=False)
    busy = Activity("long visit", 100, 100, (Claim(("role assistant",), 1, 0),))
    day = Day(
        {"device washer": 1, "role assistant": 1},
        {"wash": stage},
        {"tray": ("wash",)},
        {"v": Visit("v", (chairside,), (("tray", 1),)), "busy": Visit("busy", (busy,))},
        ((0, "v"), (0, "v"), (5, "busy")),
    )
    run = simulate(day, longest)
    first, second = [job for job in run.jobs if isinstance(job.work, Stage)]
    assert (first.starts, first.ends) == ([0, 105], [10, 110])
    assert second.start == 110


def test_two_people_are_two_people() -> None:
    """Whoever may be one of two roles leaves the other to the one who must be it."""
    pair = Activity("release", 10, 10, (Claim(("role b",), 1, 0), Claim(("role a", "role b"), 1, 0)))
    day = Day({"role a": 1, "role b": 1}, {}, {}, {"v": Visit("v", (pair,))}, ((0, "v"), (0, "v")))
    assert [job.start for job in simulate(day, longest).jobs] == [0, 10]


def test_no_hands_begin_anything_in_a_pause() -> None:
    work = Activity("v", 30, 30, (Claim(("role a",), 1, 0),))
    day = Day({"role a": 2}, {}, {}, {"v": Visit("v", (work,))}, ((0, "v"), (50, "v")), pauses=((40, 100),))
    assert [job.start for job in simulate(day, longest).jobs] == [0, 100]


def test_a_visit_waits_for_a_set_that_comes_back() -> None:
    day = queue_day([0, 10, 20], 50, 50)
    short = Day(day.pools, day.stages, day.journeys, day.visits, day.bookings, {"tray": 1})
    run = simulate(short, longest)
    assert run.late() == [0, 40, 80]
    assert run.peaks == {"tray": 1}
    assert [job.after for job in run.jobs if isinstance(job.work, Visit)] == [(), (3,), (4,)]


def test_what_can_never_go_on_is_counted() -> None:
    work = Activity("v", 30, 30, (Claim(("role nobody",), 2, 0),))
    assert simulate(Day({"role nobody": 1}, {}, {}, {"v": Visit("v", (work,))}, ((0, "v"),)), longest).unfinished == 1


@given(st.integers(0, 100_000))
@settings(max_examples=40)
def test_nothing_is_ever_used_beyond_what_there_is(seed: int) -> None:
    random = Random(seed)
    stage = Stage(
        "wash",
        (
            Activity("load", 5, 20, (Claim(("role a", "role b"), 1, 0), Claim(("device washer",), 1, 2))),
            Activity("run", 50, 90, hands=False, contingent=True),
            Activity("empty", 5, 10, (Claim(("role b",), 1, 2), Claim(("role a", "role b"), 1, 2))),
        ),
        4,
        {"tray": 1, "box": 2},
        patience=random.randrange(200),
    )
    visits = {
        "one": Visit("one", (Activity("one", 20, 60, (Claim(("role a",), 1, 0),)),), (("tray", 2),)),
        "two": Visit("two", (Activity("two", 20, 60, (Claim(("role a", "role b"), 1, 0),)),), (("box", 1),)),
    }
    bookings = tuple((random.randrange(1000), random.choice(("one", "two"))) for _ in range(12))
    pools = {"device washer": random.randint(1, 2), "role a": 1, "role b": random.randint(1, 2)}
    day = Day(pools, {"wash": stage}, {"tray": ("wash",), "box": ("wash",)}, visits, bookings, {"tray": 5, "box": 4})
    rule = random.choice((None, Rule(loads_first=True), Rule(patience=0)))
    run = simulate(day, lambda each: random.randint(each.least, each.most), rule)
    assert not run.unfinished
    for pool, most in pools.items():
        held = [(job.starts[a], job.ends[b], n) for job in run.jobs for name, n, a, b in job.held if name == pool]
        assert all(sum(n for start, end, n in held if start <= now < end) <= most for now, _, _ in held)
    washed = [job for job in run.jobs if isinstance(job.work, Stage)]
    assert all(sum(stage.share[item] for item in job.units) <= stage.size for job in washed)
    assert sum(len(job.units) for job in washed) == sum(len(job.units) for job in run.jobs) // 2
    assert all(run.jobs[source].end <= job.start for job in run.jobs for source in job.after)


def test_the_same_seed_plays_the_same_days() -> None:
    day = queue_day(list(range(0, 600, 30)), 10, 90)
    assert forecast(day, 2000, 20, 3) == forecast(day, 2000, 20, 3)
    assert loads(run_of(day, 3, 0)) != loads(run_of(day, 4, 0))


def test_figures_kept_as_text_give_the_same_forecast() -> None:
    day = queue_day(list(range(0, 600, 30)), 10, 90)
    kept = json.loads(json.dumps(figures(untitled(day), 2000, 20, 3)))
    assert from_figures(day, kept) == forecast(day, 2000, 20, 3)


def test_percentiles_are_values_that_were_seen() -> None:
    assert percentile([5], 95) == 5
    assert percentile(list(range(1, 101)), 95) == 95
    assert percentile([3, 1, 2], 50) == 2
    with pytest.raises(ValueError, match="no values"):
        percentile([], 50)


def test_people_who_follow_each_other_are_not_at_work_at_once() -> None:
    work = Activity("v", 30, 30, (Claim(("role a",), 1, 0),))
    day = Day({"role a": 2}, {}, {}, {"v": Visit("v", (work,))}, ((0, "v"), (30, "v"), (40, "v")))
    assert most_at_once(simulate(day, longest))["role a"] == 2


def brute_force_end(arrivals: list[int], size: int, hold: int, machines: int) -> int:
    """The earliest end over every order of trays and every way to cut it into loads."""
    best = 10**9
    for order in set(permutations(arrivals)):
        cuts: list[list[int]] = [[]]
        for _ in order:
            cuts = [[*cut, length] for cut in cuts for length in range(1, size + 1)]
        seen = set()
        for cut in cuts:
            parts, at = [], 0
            for length in cut:
                if at < len(order):
                    parts.append(tuple(order[at : at + length]))
                    at += length
            if tuple(parts) in seen:
                continue
            seen.add(tuple(parts))
            free = [0] * machines
            for part in parts:
                place = free.index(min(free))
                free[place] = max(free[place], *part) + hold
            best = min(best, max(free))
    return best


@given(st.lists(st.integers(0, 30), min_size=1, max_size=5), st.integers(1, 3), st.integers(5, 20), st.integers(1, 2))
@settings(max_examples=60, deadline=None)
def test_a_window_called_overfull_truly_is(arrivals: list[int], size: int, hold: int, machines: int) -> None:
    """Against every order and every way to make loads; for one machine the sum is also never too mild."""
    end = brute_force_end(arrivals, size, hold, machines)
    feed = [Feed("wash", tuple((time, 1) for time in arrivals), size, hold, end)]
    assert overfull(feed, machines) is None
    if machines == 1:
        tighter = [Feed("wash", tuple((time, 1) for time in arrivals), size, hold, end - 1)]
        assert overfull(tighter, 1) is not None


def test_sets_away_at_once_are_counted_from_start_to_return() -> None:
    assert most_away([(0, 1), (10, 2), (30, 1)], 30) == (3, 10)
    assert most_away([], 30) == (0, 0)


def test_loads_first_lets_the_patient_wait() -> None:
    found: dict[bool, list[int]] = defaultdict(list)
    hands = Activity("load", 10, 10, (Claim(("role a",), 1, 1),))
    stage = Stage("wash", (Activity("stand", 20, 20, hands=False), hands), 1, {"tray": 1})
    chair = Activity("v", 5, 5, (Claim(("role a",), 1, 0),))
    day = Day(
        {"role a": 1},
        {"wash": stage},
        {"tray": ("wash",)},
        {"v": Visit("v", (chair,), (("tray", 1),)), "w": Visit("w", (chair,))},
        ((0, "v"), (25, "w"), (20, "w"), (24, "w")),
    )
    for loads_first in (False, True):
        found[loads_first] = simulate(day, longest, Rule(loads_first=loads_first)).late()
    assert max(found[True]) > max(found[False])


NIGHT = ((17 * 3600, 32 * 3600),)


@given(st.integers(0, 40 * 3600))
def test_time_without_nights_and_back(time: int) -> None:
    """What is no time of the night comes back from the count; in the night the count stands still."""
    day = Day({}, {}, {}, {}, (), pauses=NIGHT)
    if NIGHT[0][0] < time < NIGHT[0][1]:
        assert day.awake(time) == NIGHT[0][0]
    elif time != NIGHT[0][1]:
        assert day.on_clock(day.awake(time)) == time


def test_before_a_night_no_load_waits_for_more_and_nothing_by_hand_begins_in_it() -> None:
    """At 16:20 a load of three would wait an hour; it is begun at 16:30, and emptied when hands are there at 08:00."""
    claim = Claim(("device washer",), 1, 1)
    empty = Activity("empty", 60, 60, (Claim(("role assistant",), 1, 1),))
    stage = Stage("wash", (Activity("run", 3600, 3600, (claim,), False, True), empty), 3, {"tray": 1}, 3600)
    visits = {"v": Visit("v", (Activity("v", 0, 0, hands=False),), (("tray", 1),))}
    times = (16 * 3600 + 1200, 32 * 3600 + 600)
    day = Day(
        {"device washer": 1, "role assistant": 1},
        {"wash": stage},
        {"tray": ("wash",)},
        visits,
        tuple((time, "v") for time in times),
        pauses=NIGHT,
        own=1,
    )
    run = simulate(day, longest)
    first = next(job for job in run.jobs if isinstance(job.work, Stage))
    assert (first.starts, first.ends) == ([59_400, 32 * 3600], [63_000, 32 * 3600 + 60])
    assert run.end == 32 * 3600 + 60
    assert [run.is_own(job) for job in run.jobs] == [True, False, True, False]
