"""The noun list of the trade: every record an office is made of, frozen and resolved.

Records refer to each other by name; `Office` holds one mapping a kind, so that any name resolves in one look-up.
Every record knows the span of text it came from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from sopc.model.sentences import Sentence
from sopc.source import Span
from sopc.trade.calendar import OfficeCalendar, Recurrence
from sopc.trade.quantities import Quantity


class Mark(StrEnum):
    """How a value came here: looked up, remembered, common practice without a source, or calculated."""

    READ = "read"
    MEMORY = "memory"
    PRACTICE = "practice"
    CALCULATED = "calculated"


class Decider(StrEnum):
    """Who decides how long something takes."""

    STAFF = "staff"
    MACHINE = "machine"
    OUTCOME = "outcome"  # it depends: until dry, until cool


class SignalWord(StrEnum):
    """Safety words by consequence (ANSI Z535 usage)."""

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
    NOTICE = "notice"


class Category(StrEnum):
    """Spaulding's categories."""

    CRITICAL = "critical"
    SEMICRITICAL = "semicritical"
    NONCRITICAL = "noncritical"


class Property(StrEnum):
    """What an action may be limited to or barred from."""

    CRITICAL = "critical"
    SEMICRITICAL = "semicritical"
    NONCRITICAL = "noncritical"
    HEAT_STABLE = "heat stable"
    HEAT_SENSITIVE = "heat sensitive"
    HINGED = "hinged"
    HOLLOW = "hollow"
    IMPLANTABLE = "implantable"
    SINGLE_USE = "single use"


@dataclass(frozen=True, slots=True)
class Citation:
    """A source named beside a fact, with the place in it and how the fact was taken from it."""

    source: str
    locator: str
    mark: Mark | None
    span: Span


@dataclass(frozen=True, slots=True)
class Overridden:
    """One clause of a pack that the office replaced: both wordings, where each stands, and why."""

    clause: str
    pack_text: str
    office_text: str
    pack_span: Span
    office_span: Span
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """What every declared thing has: a name, a title, a place in the text, and the clauses that may stand anywhere."""

    name: str
    title: str
    span: Span
    pack: str = ""  # the pack it came from, empty for the office's own
    citations: tuple[Citation, ...] = ()
    meets: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()  # Markdown
    overridden: tuple[Overridden, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(Declared):
    authority: str = "guideline"  # instructions, law, standard, guideline, practice
    publisher: str = ""
    year: int | None = None
    reference: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Role(Declared):
    stands_in_for: tuple[str, ...] = ()
    on_duty: tuple[int, int] = (1, 1)  # fewest, most


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of protective equipment that is asked for; any one of these will do."""

    any_of: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone(Declared):
    admits: tuple[str, ...] = ()  # conditions an item has when it comes in
    keeps: tuple[str, ...] = ()  # conditions an item has here and nowhere else
    protects: tuple[Piece, ...] = ()  # worn by whoever handles an item here


@dataclass(frozen=True, slots=True)
class Passage:
    """A way from one zone to the next. Only what has these conditions may go it."""

    source: str
    target: str
    only: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Area(Declared):
    zone: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ppe(Declared):
    put_on: int | None = None  # place in the donning order
    take_off: int | None = None  # place in the doffing order
    off_before_clean: bool = False  # once worn where anything is admitted, it is off before an act where not all is
    once_off: tuple[str, ...] = ()  # actions, one of which is the next thing done by whoever took it off


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind(Declared):
    """A kind of device that actions and requirements speak of."""


@dataclass(frozen=True, slots=True)
class Duration:
    """How long something takes. `most` is None when the text sets no upper end; values are time quantities."""

    least: Quantity
    most: Quantity | None
    decider: Decider
    until: str  # what ends it when it is not a clock, empty otherwise
    span: Span
    decider_stated: bool  # whether the text itself says who decides

    @property
    def contingent(self) -> bool:
        """Whether someone or something other than the staff picks the time within the range."""
        return self.decider is not Decider.STAFF and self.most != self.least


class Agent(StrEnum):
    """By what a machine's program works."""

    STEAM = "steam"
    DRY_HEAT = "dry heat"
    CHEMICAL_VAPOR = "chemical vapor"
    HOT_WATER = "hot water"
    HOT_AIR = "hot air"  # it only dries


@dataclass(frozen=True, slots=True)
class Process:
    """An agent and the way it is used.

    Steam: how air is removed (gravity, prevacuum). Dry heat: how the air moves (static, forced). Hot water: before
    or without sterilizing, empty when the text does not say.
    """

    agent: Agent
    way: str
    span: Span


@dataclass(frozen=True, slots=True)
class Exposure:
    """Temperature held for a time, as a program's clause says."""

    temperature: Quantity
    least: Quantity
    most: Quantity
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Program(Declared):
    process: Process | None = None
    exposure: Exposure | None = None
    drying: tuple[Quantity, Quantity] | None = None  # least, most
    pressure: tuple[Quantity, str] | None = None  # reading, "gauge" or "absolute"
    suits: tuple[str, ...] = ()  # wrapped, unwrapped, hollow, …
    lasts: Duration | None = None
    a0: Fraction | None = None  # aimed at, in equivalent seconds at 80 °C
    drying_span: Span | None = None
    pressure_span: Span | None = None
    a0_span: Span | None = None

    @property
    def steam(self) -> str | None:
        """How air is removed when it is a program of steam."""
        return self.process.way if self.process is not None and self.process.agent is Agent.STEAM else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Minimum(Declared):
    """One row of a published table: the least that a process asks for a kind of load."""

    process: Process | None = None
    loads: tuple[str, ...] = ()  # empty: of any kind
    exposure: Exposure | None = None
    drying: tuple[Quantity, Quantity] | None = None  # the range as published; its least counts
    a0: Fraction | None = None
    signals: tuple[Signal, ...] = ()  # what must be heeded where it is used
    never_for: tuple[Property, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds(Declared):
    """Published bounds of what is read on devices of some kinds. A `goal` is stricter than what is asked of all."""

    kinds: tuple[str, ...] = ()
    unit: str = ""
    limit: ColumnLimit | None = None
    goal: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Device(Declared):
    kind: str | None = None
    area: str | None = None
    holds: tuple[tuple[int, str], ...] = ()  # number of which item
    fixed: tuple[str, ...] = ()  # areas it is built into; empty: it may be carried
    count: int = 1
    instructions: str = ""
    serial: str = ""
    programs: Mapping[str, Program] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item(Declared):
    category: Category | None = None
    heat: str | None = None  # stable, sensitive
    properties: frozenset[Property] = frozenset()  # all of them, category and heat included
    count: int | None = None
    instructions: str = ""
    fixed: tuple[str, ...] = ()  # areas it is part of; empty: it goes where the work goes


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Declared):
    excludes: tuple[str, ...] = ()
    only_after: tuple[str, ...] = ()  # what holds an item before it can come into this condition
    again_after: tuple[str, ...] = ()  # what, brought anew, ends this condition: it must be brought about again
    wrapped: bool = False  # in a machine, an item in this condition is a wrapped load; in none such, an unwrapped one


@dataclass(frozen=True, slots=True)
class Dilution:
    """Parts of concentrate to parts of diluent: 1 to 9 is what many call one in ten."""

    concentrate_parts: Fraction
    diluent_parts: Fraction
    diluent: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply(Declared):
    dilution: Dilution | None = None
    stock: Quantity | None = None
    strength: tuple[Quantity, ...] = ()  # of the working solution as the text states it: percent, ppm
    works_at: tuple[Quantity, Quantity] | None = None  # the label's range; a single figure is the least
    container: Quantity | None = None  # what it is mixed in
    use_within: Quantity | None = None
    contact: tuple[Quantity, Quantity] | None = None  # least, most
    stays_wet: Quantity | None = None  # how long a surface wiped once stays wet
    not_with: tuple[str, ...] = ()
    instructions: str = ""
    registration: str = ""
    area: str | None = None
    single_use: bool = False
    protects: tuple[Piece, ...] = ()  # worn by whoever uses it
    use_within_span: Span | None = None
    contact_span: Span | None = None
    strength_span: Span | None = None
    works_at_span: Span | None = None
    stays_wet_span: Span | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Action(Declared):
    needs: tuple[str, ...] = ()
    brings: tuple[str, ...] = ()
    undoes: tuple[str, ...] = ()
    only_for: tuple[Property, ...] = ()
    never_for: tuple[Property, ...] = ()
    with_any: tuple[str, ...] = ()  # kinds of device, devices or supplies, one of which the step must use
    holds_contact_time: bool = False
    removes_chemicals: bool = False  # nothing of what was used before is left
    protects: tuple[Piece, ...] = ()  # worn by whoever does it
    needs_span: Span | None = None


# ── Procedures ──────────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True)
class Signal:
    word: SignalWord
    text: str  # Markdown: hazard, consequence, how to avoid it
    span: Span


@dataclass(frozen=True, slots=True)
class Figure:
    file: str
    caption: str
    span: Span


@dataclass(frozen=True, slots=True)
class Performers:
    """Who does it. `joined` means all of them together; otherwise any one may."""

    roles: tuple[tuple[int, str], ...]  # number of people of that role
    joined: bool
    span: Span


@dataclass(frozen=True, slots=True)
class Doing:
    """An action done in a step to items; no items named means all that the procedure handles."""

    action: str
    items: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Run:
    device: str
    program: str
    span: Span


@dataclass(frozen=True, slots=True)
class Performing:
    """Another procedure carried out at this point."""

    procedure: str
    items: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Repeat:
    """Go back to a step, at most so many times; `afterwards` is what follows when they are used up."""

    step: str
    at_most: int | None
    afterwards: Outcome | None
    span: Span


@dataclass(frozen=True, slots=True)
class GoTo:
    step: str
    span: Span


@dataclass(frozen=True, slots=True)
class Stop:
    """The procedure ends here, short of its promise, with an instruction."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Proceed:
    span: Span


@dataclass(frozen=True, slots=True)
class PerformThen:
    """Carry out another procedure, then what follows."""

    procedure: str
    afterwards: Outcome
    span: Span


Outcome = Repeat | GoTo | Stop | Proceed | PerformThen


@dataclass(frozen=True, slots=True)
class Check:
    """A question answered by looking at one thing; yes goes on, `otherwise` says what follows on no."""

    question: str
    loses: tuple[str, ...]  # conditions lost on no, beside those this very step would have brought
    otherwise: Outcome | None
    span: Span


@dataclass(frozen=True, slots=True)
class Recording:
    log: str
    columns: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class AnotherPerson:
    """Whoever does the step is none of those who did these steps before it."""

    steps: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Declared):
    """One action for one reader. Defaults of the procedure (by, wearing, in) are already filled in."""

    number: str  # as printed: 7, or 7.2 inside ways and branches
    by: Performers | None = None
    second_person: str | None = None
    another: AnotherPerson | None = None
    wearing: tuple[str, ...] = ()
    says_wearing: bool = False  # whether the text says what is worn, be it nothing
    area: str | None = None
    does: tuple[Doing, ...] = ()
    runs: tuple[Run, ...] = ()
    using: tuple[str, ...] = ()  # devices and supplies
    performs: tuple[Performing, ...] = ()
    takes: Duration | None = None  # stated, or that of the program it runs
    rewet: Quantity | None = None  # wetted again that often while it lasts
    when: str = ""  # done only if this holds
    checks: tuple[Check, ...] = ()
    onward: Outcome | None = None  # where it goes when not simply to the next step
    records: tuple[Recording, ...] = ()
    signals: tuple[Signal, ...] = ()
    figures: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    title: str
    when: str
    parts: tuple[Part, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several ways is taken."""

    question: str
    ways: tuple[Way, ...]
    span: Span
    number: str = ""


@dataclass(frozen=True, slots=True)
class Branch:
    title: str
    parts: tuple[Part, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Together:
    """Branches done side by side; what follows waits for all of them."""

    branches: tuple[Branch, ...]
    span: Span
    number: str = ""


Part = Step | Choice | Together


@dataclass(frozen=True, slots=True)
class Point:
    """The start or the end of a step, or of the whole procedure when `step` is None."""

    step: str | None
    edge: str  # starts, ends
    span: Span


@dataclass(frozen=True, slots=True)
class Limit:
    """`later` comes at least `least` and at most `most` after `earlier` (time quantities, None: no such end)."""

    later: Point
    earlier: Point
    least: Quantity | None
    most: Quantity | None
    unless: tuple[str, ...]  # lifted on paths on which one of these steps was done
    citations: tuple[Citation, ...]
    because: str
    span: Span


@dataclass(frozen=True, slots=True)
class PastRevision:
    number: int
    effective: date
    what: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Document(Declared):
    """What every controlled document carries."""

    id: str = ""
    revision: int | None = None
    effective: date | None = None
    review: date | None = None
    owner: str | None = None
    approver: str | None = None
    history: tuple[PastRevision, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Procedure(Document):
    purpose: str = ""  # Markdown
    scope: str = ""  # Markdown
    done: str = ""  # when it is done
    handles: tuple[str, ...] = ()
    from_conditions: tuple[str, ...] = ()
    to_conditions: tuple[str, ...] = ()
    by: Performers | None = None
    wearing: tuple[str, ...] = ()
    says_wearing: bool = False
    area: str | None = None
    materials: tuple[str, ...] = ()
    signals: tuple[Signal, ...] = ()
    figures: tuple[Figure, ...] = ()
    parts: tuple[Part, ...] = ()
    limits: tuple[Limit, ...] = ()
    handles_span: Span | None = None

    def steps(self) -> Iterator[Step]:
        """All steps in the order of the text, those inside ways and branches included."""
        yield from steps_of(self.parts)

    def step(self, name: str) -> Step | None:
        """The step of that name, or None."""
        return next((step for step in self.steps() if step.name == name), None)


def steps_of(parts: tuple[Part, ...]) -> Iterator[Step]:
    """All steps of these parts in the order of the text."""
    for part in parts:
        if isinstance(part, Step):
            yield part
        elif isinstance(part, Choice):
            for way in part.ways:
                yield from steps_of(way.parts)
        else:
            for branch in part.branches:
                yield from steps_of(branch.parts)


# ── Tasks, logs, training, requirements ─────────────────────────────────────────────────────────


class Occasion(StrEnum):
    """What brings a task about when it is not a date."""

    EACH_PATIENT = "each patient"
    EACH_LOAD = "each load"
    START_OF_DAY = "start of day"
    END_OF_DAY = "end of day"
    EVENT = "event"


@dataclass(frozen=True, slots=True)
class Schedule:
    """When a task is due: an occasion, or a recurrence on the calendar (with a time of day if the text gives one)."""

    occasion: Occasion | None
    recurrence: Recurrence | None
    device: str  # for each load of a device
    event: str  # for an event, in the author's words
    minute: int | None  # minutes after midnight
    text: str  # as a reader says it: "every week on Monday"
    complete: bool  # False when the text leaves the day open: every week, but on which day?
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Declared):
    does: tuple[Doing, ...] = ()  # items here may also be devices
    performs: tuple[Performing, ...] = ()
    by: Performers | None = None
    area: str | None = None
    using: tuple[str, ...] = ()
    schedules: tuple[Schedule, ...] = ()
    takes: Duration | None = None
    records: tuple[Recording, ...] = ()
    renews: tuple[str, ...] = ()  # supplies made fresh
    because: str = ""  # why it is done so, or why no record is kept


@dataclass(frozen=True, slots=True)
class ColumnLimit:
    """What is accepted in a column: numbers in the column's unit, or one of its choices."""

    least: Fraction | None
    most: Fraction | None
    accept: str
    span: Span


@dataclass(frozen=True, slots=True)
class Column:
    name: str
    title: str
    type: str  # number, text, date, time, initials, tick, choice, quantity
    unit: str  # for a quantity: the unit as written, else empty
    choices: tuple[str, ...]
    limit: ColumnLimit | None
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Log(Document):
    for_devices: tuple[str, ...] = ()
    period: str = "monthly"  # what one sheet covers: daily, weekly, monthly, quarterly, yearly
    row: str = ""  # day, week, month, task; empty: blank rows
    blank_rows: int | None = None
    columns: tuple[Column, ...] = ()
    out_of_limits: str = ""  # Markdown
    keep_years: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Training(Declared):
    roles: tuple[str, ...] = ()
    covers: tuple[str, ...] = ()  # procedures
    on_hire: bool = False
    after_change: bool = False
    every_days: int | None = None
    topics: str = ""  # Markdown
    trainer: str = ""
    records: tuple[Recording, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement(Declared):
    group: str = ""
    needs_eyes: bool = False
    sentences: tuple[Sentence, ...] = ()  # all of them must hold


@dataclass(frozen=True, slots=True)
class SetAside:
    """A requirement the office does not meet for now: why, by whose decision, until when."""

    requirement: str
    until: date
    role: str
    because: str
    span: Span


@dataclass(frozen=True, slots=True)
class NotApplicable:
    requirement: str
    because: str
    span: Span


@dataclass(frozen=True, slots=True)
class Term:
    word: str
    text: str  # Markdown
    span: Span


# ── A day's cases ───────────────────────────────────────────────────────────────────────────────


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit(Declared):
    """A kind of patient's visit: how long the chair is taken, by whom, and what it uses up of clean sets."""

    lasts: Duration | None = None  # the patient decides within it
    by: Performers | None = None  # at the chair all the time
    chairs: tuple[str, ...] = ()  # devices or kinds of device, any one of which it takes
    needs: tuple[tuple[int, str], ...] = ()  # number of which item
    afterwards: tuple[str, ...] = ()  # procedures done at the chair when the patient has left


@dataclass(frozen=True, slots=True)
class Stage:
    """One procedure on an item's way back to the cabinet; `one_by_one`: done for each set by itself."""

    procedure: str
    one_by_one: bool
    span: Span


@dataclass(frozen=True, slots=True)
class WayPoint:
    """The start or the end of a procedure of the circuit or of one of its steps; no procedure: of the visit itself."""

    procedure: str
    step: str | None
    edge: str  # starts, ends
    span: Span


@dataclass(frozen=True, slots=True)
class WayLimit:
    """A limit from one procedure of a circuit into another one, for every item that goes the way."""

    later: WayPoint
    earlier: WayPoint
    least: Quantity | None
    most: Quantity | None
    unless: tuple[tuple[str, str], ...]  # procedure, step: lifted for items for which that step was done
    citations: tuple[Citation, ...]
    because: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit(Declared):
    """The way used items go until they are ready again."""

    items: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    way_limits: tuple[WayLimit, ...] = ()
    patience: Quantity | None = None  # how long a load waits for more before it is run unfilled
    patience_span: Span | None = None


@dataclass(frozen=True, slots=True)
class Booking:
    """When visits of one kind begin: minutes after midnight, in order."""

    visit: str
    minutes: tuple[int, ...]
    text: str  # as a reader says it: "2 an hour from 08:00 to 16:00"
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Caseload(Declared):
    """The visits of one day."""

    weekdays: tuple[int, ...] = ()  # 0 for Monday; empty: any day the office is open
    staff: tuple[tuple[int, str], ...] = ()  # number of which role; others as the role says
    bookings: tuple[Booking, ...] = ()
    ready_by: int | None = None  # minutes after midnight; None: closing
    ready_next_day: bool = False  # on the next day on which the office is open


@dataclass(frozen=True, slots=True)
class Premises:
    """The office itself: what `office "…" { }` says."""

    name: str
    address: tuple[str, ...]
    phones: tuple[tuple[str, str], ...]
    altitude: Quantity | None
    paper: str  # a4, letter
    units: str  # metric, us
    language: str
    coordinator: str | None
    chart_distance: Quantity  # from which wall charts are read
    reaction: Quantity  # how soon staff act on a signal
    notes: tuple[str, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Office:
    """Everything a folder says, resolved. Mappings keep the order of the text, packs first."""

    premises: Premises
    calendar: OfficeCalendar
    sources: Mapping[str, Source]
    roles: Mapping[str, Role]
    zones: Mapping[str, Zone]
    flow: tuple[Passage, ...]  # the only ways between zones
    areas: Mapping[str, Area]
    ppe: Mapping[str, Ppe]
    kinds: Mapping[str, Kind]
    devices: Mapping[str, Device]
    items: Mapping[str, Item]
    conditions: Mapping[str, Condition]
    supplies: Mapping[str, Supply]
    actions: Mapping[str, Action]
    procedures: Mapping[str, Procedure]
    tasks: Mapping[str, Task]
    logs: Mapping[str, Log]
    training: Mapping[str, Training]
    requirements: Mapping[str, Requirement]
    set_aside: tuple[SetAside, ...]
    not_applicable: tuple[NotApplicable, ...]
    terms: tuple[Term, ...]
    packs: tuple[str, ...]
    digest: str  # SHA-256 of all texts read, hexadecimal
    visits: Mapping[str, Visit] = field(default_factory=dict)
    circuits: Mapping[str, Circuit] = field(default_factory=dict)
    caseloads: Mapping[str, Caseload] = field(default_factory=dict)
    minimums: Mapping[str, Minimum] = field(default_factory=dict)
    bounds: Mapping[str, Bounds] = field(default_factory=dict)
