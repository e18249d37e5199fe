"""The plan of a day: what to own, when machines run, whose hands are needed, when the last load must start."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sopc.checks.days.day import COURTESY, DAY_NAMES, MINUTE, OfficeDay, clock, office_day
from sopc.checks.days.proof import NotShown, Safe
from sopc.checks.days.turns import DayTurns
from sopc.documents import wording
from sopc.documents.binder_document import BinderDocument
from sopc.documents.day_chart import day_chart
from sopc.documents.day_lanes import Lane, lanes_of
from sopc.documents.day_limits import LimitFigures, limit_figures, limits_section
from sopc.documents.day_order import Order, order_sections, orders_of, turns_begun
from sopc.documents.day_verdict import Verdict, judged
from sopc.documents.frame import Frame, fingerprint, generated_frame
from sopc.documents.printing import printed
from sopc.documents.register import Cell, Column, Section, Table, document_of
from sopc.documents.working_out import Work, here
from sopc.model.nouns import Caseload, Office
from sopc.trade.day_statistics import Forecast, Spread, figures, from_figures
from sopc.trade.quantities import show_duration
from sopc.trade.simulation import Rule, untitled

RUNS = 500
FEWEST_RUNS = 50
MOST_MOVES = 200_000  # sets through stages in all runs together: a day of forty visits is still played in full
SEED = 1
CAUTION = (
    "A simulation is not a promise. It shows what follows from the times in this binder, drawn by lot; it does not "
    "know the patient who comes late, the phone, the broken seal. Never release a load early to keep to it."
)


@dataclass(frozen=True, slots=True)
class DayPlan:
    """One caseload, played and proved."""

    made: OfficeDay
    figures: Forecast
    lanes: tuple[Lane, ...]
    verdict: Verdict
    limits: tuple[LimitFigures, ...] = ()
    turns: DayTurns | None = None  # when the day is safe: the order of work that is proven
    orders: tuple[Order, ...] = ()  # the same in words
    rule: Rule = field(default_factory=Rule)  # by which the days were played: that of the order proven


@dataclass(frozen=True, slots=True)
class DayPlanPage:
    frame: Frame
    eyebrow: str
    lead: str
    verdict: Verdict
    caution: str
    chart: str
    chart_text: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class DayBegun:
    """A day plan whose long sums are begun: played days, promises, turns are there when they are called for."""

    made: OfficeDay
    verdict: Verdict
    proof: Safe | NotShown
    figures: Callable[[], Mapping[str, Any]]
    limits: Callable[[], tuple[LimitFigures, ...]]
    turns: Callable[[], DayTurns] | None  # when the day is safe

    @property
    def rule(self) -> Rule:
        """By which the days are played."""
        return self.proof.rule if isinstance(self.proof, Safe) else Rule()

    def finished(self) -> DayPlan:
        """The plan, when all is worked out."""
        made, proof = self.made, self.proof
        found = from_figures(made.day, self.figures(), self.rule)
        turns = self.turns() if self.turns is not None else None
        orders = orders_of(made, proof, turns) if isinstance(proof, Safe) and turns is not None else ()
        lanes = lanes_of(made, found.typical)
        return DayPlan(made, found, lanes, self.verdict, self.limits(), turns, orders, self.rule)


def day_plan(
    office: Office, caseload: Caseload, when: date | None = None, runs: int = RUNS, seed: int = SEED
) -> DayPlan | None:
    """Work the plan out; None when the office is not open on such a day, nobody is booked, or too many."""
    begun = day_begun(office, caseload, when, runs, seed)
    return begun.finished() if begun is not None else None


def day_begun(
    office: Office, caseload: Caseload, when: date | None, runs: int, seed: int, work: Work = here
) -> DayBegun | None:
    """Prove the day and begin the sums that take long; None where there is no plan."""
    made = office_day(office, caseload, when)
    if made is None or not made.day.bookings or made.too_large:
        return None
    verdict, proof = judged(made)
    rule = proof.rule if isinstance(proof, Safe) else Rule()
    played = work(figures, untitled(made.day), made.ready_by, runs, seed, rule)
    limits = limit_figures(made, proof, work)
    turns = turns_begun(made, proof, work) if isinstance(proof, Safe) else None
    return DayBegun(made, verdict, proof, played, limits, turns)


def minutes(seconds: int) -> str:
    """Whole minutes, rounded up, as people say them."""
    return show_duration(-(-seconds // MINUTE) * MINUTE) if seconds else "none"


def title_of(plan: DayPlan) -> str:
    """The document's title."""
    return f"Day plan: {plan.made.caseload.title}"


def day_plan_page(plan: DayPlan, id: str, today: date) -> DayPlanPage:
    """Return the page model; its source number is that of its content."""
    made, figures = plan.made, plan.figures
    own = made.day.bookings[: made.day.own]
    lead = (
        f"{DAY_NAMES[made.weekday]}, {len(own)} visits from {clock(own[0][0])} on; "
        f"every set ready by {clock(made.ready_by)}. {figures.runs} days played, seed {figures.seed}."
    )
    chart = day_chart(
        plan.lanes, made.opens, made.ready_by, made.day, f"One of {figures.runs} played days, hour by hour"
    )
    sections = tuple(sections_of(plan))
    title = title_of(plan)
    source = fingerprint(id, title, lead, plan.verdict, chart, sections, made.office.premises.name)
    frame = generated_frame(made.office, id, title, today, source)
    text = "The played day that ends in the middle of all. The thick line is the hour by which all must be ready."
    return DayPlanPage(frame, f"Binder register {id}", lead, plan.verdict, CAUTION, chart, text, sections)


def day_plan_document(plan: DayPlan, id: str, today: date) -> BinderDocument:
    """Print a day plan as a controlled document."""
    page = day_plan_page(plan, id, today)
    return document_of(page.frame, printed("day_plan.html", page.frame, page=page), "register")


def days_begun(office: Office, work: Work = here) -> tuple[DayBegun, ...]:
    """The plans of all caseloads, for the binder; a day too full to be played so often is played less often."""
    begun = (
        day_begun(office, caseload, None, _runs_for(office, caseload), SEED, work)
        for caseload in office.caseloads.values()
    )
    return tuple(each for each in begun if each is not None)


def _runs_for(office: Office, caseload: Caseload) -> int:
    """How often a day is played for the binder: `RUNS`, fewer when very many sets go through very many stages."""
    made = office_day(office, caseload)
    if made is None:
        return RUNS
    journeys = made.day.journeys
    needs = [need for _, visit in made.day.bookings for need in made.day.visits[visit].needs]
    moves = sum(number * len(journeys.get(item, ())) for item, number in needs)
    return max(FEWEST_RUNS, min(RUNS, MOST_MOVES // max(moves, 1)))


# ── Sections: the same tables go to the terminal ────────────────────────────────────────────────


def sections_of(plan: DayPlan) -> Iterator[Section]:
    """What the plan says, table by table."""
    yield _ready(plan)
    yield _sets(plan)
    yield _loads(plan)
    yield _last_loads(plan)
    yield _hands(plan)
    yield _waiting(plan)
    if plan.limits:
        yield limits_section(plan.made, plan.limits)
    yield Section("What is assumed", "\n".join(f"- {line}" for line in assumptions(plan)))
    if plan.turns is not None:
        yield from order_sections(plan.orders, plan.turns)


def _ready(plan: DayPlan) -> Section:
    figures = plan.figures
    rows = [
        (Cell("All sets ready"), *_times(figures.end)),
        (Cell("Longest a patient waits"), *_cells(figures.late, minutes)),
    ]
    text = f"Ready by {clock(plan.made.ready_by)} on {figures.in_time} of {figures.runs} played days."
    if plan.orders and figures.in_time < figures.runs:
        text += " In these everybody takes what waits longest; who keeps to the order below is in time on every day."
    if figures.unfinished:
        text += f" On {figures.unfinished} of them something could never go on: what it needs does not exist."
    return Section("When all is done", text, (_table(_heads("What"), rows),), keep=True)


def _table(heads: tuple[tuple[str, str], ...], rows: Sequence[tuple[Cell, ...]]) -> Table:
    """A table whose heads stand over their figures: right where the cells below are numbers."""
    number = [any(row[place].number for row in rows) for place in range(len(heads))]
    return Table(tuple(Column(title, width, number[place]) for place, (title, width) in enumerate(heads)), tuple(rows))


def _heads(first: str) -> tuple[tuple[str, str], ...]:
    return ((first, ""), ("Middle", "18%"), ("95 of 100", "18%"), ("Most", "18%"))


def _times(spread: Spread) -> tuple[Cell, ...]:
    return _cells(spread, clock)


def _cells(spread: Spread, say: Callable[[int], str] = str) -> tuple[Cell, ...]:
    return tuple(Cell(say(value), number=True) for value in (spread.middle, spread.high, spread.most))


def _sets(plan: DayPlan) -> Section:
    items = plan.made.office.items
    heads = (
        ("Kind", ""),
        ("Middle", "13%"),
        ("95 of 100", "13%"),
        ("Most", "13%"),
        ("Owned", "12%"),
        ("Verdict", "24%"),
    )
    rows = []
    for name, spread in plan.figures.sets.items():
        owned = items[name].count
        rows.append(
            (
                Cell(items[name].title),
                *_cells(spread),
                Cell("not said" if owned is None else str(owned), number=True),
                Cell(_verdict(spread, owned, plan.figures.short.get(name, 0), plan.figures.runs), strong=True),
            )
        )
    text = "Sets away from the cabinet at one time: in use, on their way, or in a load. Own at least as many."
    return Section("Instrument sets to own", text, (_table(heads, rows),), keep=True)


def _verdict(spread: Spread, owned: int | None, short: int, runs: int) -> str:
    if owned is None:
        return f"own {spread.high}"
    if not short:
        return "enough"
    return f"own {spread.most}: too few on {short} of {runs} days"


def _loads(plan: DayPlan) -> Section:
    loads = plan.figures.loads
    hours = sorted({hour for each in loads.values() for hour in each})
    heads = (("Machine", "24%"), *((hour_of_day(hour), "") for hour in hours))
    rows = [
        (
            Cell(plan.made.pool_title(pool)),
            *(Cell(_load(loads[pool].get(hour)), number=True) for hour in hours),
        )
        for pool in loads
    ]
    text = "Loads begun in the hour: on the middle day, and the most in brackets. A dash: none on any day."
    if any(hour >= 24 for hour in hours):
        text += " A plus: the hour of the next day."
    return Section("Loads by the hour", text, (_table(heads, rows),), keep=True)


def _load(spread: Spread | None) -> str:
    if spread is None:
        return "–"
    return str(spread.middle) if spread.middle == spread.most else f"{spread.middle} ({spread.most})"


def _latest(plan: DayPlan, seconds: int) -> int:
    """When a load must start that needs so many seconds, nights left out, until all must be ready."""
    day = plan.made.day
    return day.on_clock(max(0, day.awake(plan.made.ready_by) - seconds))


def hour_of_day(hour: int) -> str:
    """An hour as a column says it; + on another day."""
    return f"{hour % 24:02d}{'+' if hour >= 24 else ''}"


def _last_loads(plan: DayPlan) -> Section:
    heads = (("Machine", ""), ("Until its sets are ready", "30%"), ("Last load starts by", "24%"), ("Sure", "18%"))
    rows = []
    for pool, spread in plan.figures.lead.items():
        rows.append(
            (
                Cell(plan.made.pool_title(pool)),
                Cell(f"{minutes(spread.middle)} to {minutes(spread.most)}"),
                Cell(clock(_latest(plan, spread.high)), strong=True),
                Cell(clock(_latest(plan, spread.most))),
            )
        )
    text = (
        f"A load begun by then is released and put away by {clock(plan.made.ready_by)} in 95 of 100 cases; "
        "“sure” is what the slowest played load needed."
    )
    return Section("The last load of the day", text, (_table(heads, rows),), keep=True)


def _hands(plan: DayPlan) -> Section:
    figures, made = plan.figures, plan.made
    heads = (
        ("Role", ""),
        ("On duty", "11%"),
        ("Middle", "16%"),
        ("95 of 100", "16%"),
        ("At once", "11%"),
        ("Busiest hour", "17%"),
    )
    rows = [
        (
            Cell(made.pool_title(role)),
            Cell(str(made.day.pools[role]), number=True),
            Cell(minutes(spread.middle), number=True),
            Cell(minutes(spread.high), number=True),
            Cell(str(figures.at_once[role].most), number=True),
            Cell(f"{hour_of_day(figures.busiest[role])} to {hour_of_day(figures.busiest[role] + 1)}", number=True),
        )
        for role, spread in figures.work.items()
    ]
    text = "Hands-on time of all people of the role together, patients included. What machines do binds nobody."
    return Section("Hands", text, (_table(heads, rows),), keep=True)


def _waiting(plan: DayPlan) -> Section:
    office = plan.made.office
    rows = [
        (Cell(wording.title_of(office.procedures, name)), *_cells(spread, minutes))
        for name, spread in plan.figures.waits.items()
    ]
    text = "How long a used set stands before each procedure, for a full load, a free machine or free hands."
    return Section("Waiting lines", text, (_table(_heads("Before"), rows),), keep=True)


def assumptions(plan: DayPlan) -> list[str]:
    """What the plan takes for granted, in words."""
    made = plan.made
    office = made.office
    staff = wording.in_series(
        f"{made.day.pools[role]} × {wording.small(made.pool_title(role))}" for role in plan.figures.work
    )
    most = plan.rule.patience
    waits = dict.fromkeys(each if most is None else min(each, most) for each in made.patience.values())
    lines = [
        f"On duty: {staff}. Where the office says from … to, the fewest are counted.",
        "Each time is drawn evenly between the shortest and the longest the texts allow; "
        "patients and machines do not say beforehand.",
        "Checks are answered yes, the first way of a choice is taken, steps done only sometimes are left out; "
        "branches side by side are done one after the other.",
        "A machine is held from its first use in the procedure until somebody has emptied it. "
        "Sinks, lamps and benches are never waited for.",
        "What cools or dries by itself binds nobody. Two people where the text asks for two or for a second person.",
        "First come patients; then what was begun; then who waited longest. "
        f"A patient may wait up to {minutes(COURTESY)} for chair, people or sets.",
        "The chair is free again when all that follows the visit is done.",
        f"A load starts when the machine is full, when no more can come, or after waiting {_or(waits)}.",
        "A day begins with every set clean and put away. Tasks of the day, breaks not in the opening hours, "
        "failed loads and late patients are left out.",
    ]
    if made.day.nights:
        lines.append(
            f"Before the night no load waits for more in the last {minutes(made.day.last_call)}. Until "
            f"{clock(made.ready_by)} the next morning's visits are played too, "
            "with the fewest people of both days."
        )
    untimed = [wording.title_of(office.procedures, name) for name, work in made.works.items() if work.untimed]
    if untimed:
        lines.append(f"Steps without a stated time count nothing, in: {wording.in_series(untimed)}.")
    return lines


def _or(seconds: dict[int, None]) -> str:
    return wording.in_series((show_duration(each) for each in sorted(seconds)), "or") or "no time"
