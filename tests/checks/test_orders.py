"""What a step's reader is told so that later limits are kept, held against the proof that they can be."""

from __future__ import annotations

import pytest

from sopc.checks.time.durations import Lengths
from sopc.checks.time.orders import NotBefore, Order, StartBy, WaitFor, orders_of
from sopc.checks.time.scenarios import Simulator
from sopc.trade.controllability import is_controllable
from sopc.trade.network import Bound, Network
from tests.checks.small_offices import office

SOAKED = """step soak "Soak" { takes 5 to 15 min }
step wash "Wash" { runs sterilizer wrapped }
step rinse "Rinse" { takes 2 min }
"""


def orders(body: str, before: str = "") -> tuple[Order, ...]:
    loaded = office(f'{before}procedure work "Work" {{ by assistant\n{body}\n}}\n')
    return orders_of(loaded, loaded.procedures["work"])


def test_a_machine_must_start_early_enough_for_its_slowest_run() -> None:
    """60 min from soak to rinse, less 50 of the machine and one to react to it."""
    (order,) = orders(SOAKED + "limit rinse starts within 60 min after soak starts")
    assert isinstance(order, StartBy)
    assert (order.step, order.seconds, order.after.step, order.after.edge) == ("wash", 9 * 60, "soak", "starts")


@pytest.mark.parametrize(("later", "kept"), [(0, True), (1, False)])
def test_the_last_moment_told_is_the_last_that_can_be_kept(later: int, kept: bool) -> None:
    body = SOAKED + "limit rinse starts within 60 min after soak starts"
    loaded = office(f'procedure work "Work" {{ by assistant\n{body}\n}}\n')
    (order,) = orders_of(loaded, loaded.procedures["work"])
    assert isinstance(order, StartBy)
    scenario = Simulator(Lengths(loaded), loaded.procedures["work"]).play({})
    start = {each.step.name: each.start for each in scenario.occurrences}
    exactly = (
        Bound(start["soak"], start["wash"], order.seconds + later, None),
        Bound(start["wash"], start["soak"], -order.seconds - later, None),
    )
    network = scenario.network()
    assert is_controllable(Network(network.points, (*network.bounds, *exactly), network.links)) == kept


def test_staff_s_own_steps_are_not_hurried_on_paper() -> None:
    assert (
        orders(
            SOAKED.replace("runs sterilizer wrapped", "takes 20 to 30 min")
            + "limit rinse starts within 60 min after soak starts"
        )
        == ()
    )


def test_a_limit_that_the_step_says_itself_is_not_said_twice() -> None:
    limits = "limit rinse starts within 60 min after soak starts\nlimit wash starts within 9 min after soak starts"
    assert orders(SOAKED + limits) == ()


def test_of_several_ways_the_tightest_counts() -> None:
    ways = 'choose "?" { way "A" { step a "A" { takes 5 min } } way "B" { step b "B" { takes 20 min } } }\n'
    body = SOAKED.replace("step rinse", ways + "step rinse") + "limit rinse starts within 90 min after soak starts"
    (order,) = orders(body)
    assert isinstance(order, StartBy)
    assert order.seconds == (90 - 50 - 1 - 20) * 60


BESIDE = """together {
branch "Machine" { step run "Run" { runs sterilizer wrapped } }
branch "Ready" { step ready "Get ready" { takes 5 to 10 min } }
}
step unload "Unload" { takes 1 min }
"""


def test_who_must_be_ready_just_in_time_does_not_begin_too_soon() -> None:
    """Ready at most 17 min before unloading, which is a minute after the machine's 35 to 50 min: not before 34."""
    found_orders = orders(BESIDE + "limit unload starts within 17 min after ready ends")
    assert [(each.step, each.edge, each.seconds) for each in found_orders if isinstance(each, NotBefore)] == [
        ("ready", "starts", 24 * 60),
        ("ready", "ends", 34 * 60),
    ]


def test_where_the_machine_may_be_done_sooner_one_waits_for_it_or_for_a_time() -> None:
    """Ready at most 6 min before unloading: 45 min after the start, or as soon as the machine is done."""
    found_orders = orders(BESIDE + "limit unload starts within 6 min after ready ends")
    waits = [(each.step, each.edge, each.until, each.seconds) for each in found_orders if isinstance(each, WaitFor)]
    assert waits == [("ready", "ends", "run", 45 * 60)]


def test_without_limits_there_is_nothing_to_heed() -> None:
    assert orders(SOAKED) == ()


def test_limits_that_cannot_be_kept_give_no_orders() -> None:
    assert orders(SOAKED + "limit rinse starts within 40 min after soak starts") == ()
