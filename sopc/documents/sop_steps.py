"""Words the parts of a procedure as blocks: steps with their facts, choices between ways, branches side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import zip_longest

from sopc.checks.time.orders import NotBefore, Order, WaitFor
from sopc.documents import way_limits, wording
from sopc.documents.dilution_table import amount, strength
from sopc.documents.sop_model import (
    Block,
    CheckLine,
    ChoiceBlock,
    Clock,
    Fact,
    LimitLine,
    OfficeValue,
    Panel,
    Picture,
    StepBlock,
    TogetherBlock,
    WayBlock,
)
from sopc.documents.sources import cited
from sopc.model.nouns import (
    Branch,
    Check,
    Choice,
    Figure,
    Limit,
    Office,
    Overridden,
    Part,
    Performers,
    Procedure,
    Repeat,
    Signal,
    SignalWord,
    Step,
    Together,
    Way,
)

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SHORT_FACT = 34
"""Letters of the longest fact that still shares its line with another."""
MOST_TALLY = 6
"""Repeats for which each gets its own box."""
TIMED_FROM = 60
"""Seconds from which a set time gets boxes for start and end; below, one counts."""


@dataclass(frozen=True, slots=True)
class Writer:
    """What the wording of steps needs: the office, the procedure, and the numbers its sources go by."""

    office: Office
    procedure: Procedure
    source_numbers: Mapping[str, int] = field(default_factory=dict)
    figures: frozenset[str] = frozenset()  # figure files that are there
    orders: tuple[Order, ...] = ()  # what must be heeded at a step for the sake of other limits

    def blocks(self, parts: Iterable[Part]) -> tuple[Block, ...]:
        """Return the blocks of these parts in order."""
        return tuple(self._block(part) for part in parts)

    def _block(self, part: Part) -> Block:
        if isinstance(part, Step):
            return self.step(part)
        if isinstance(part, Choice):
            asked = any(way.when for way in part.ways)
            ways = tuple(self._way(letter, way, asked) for letter, way in zip(LETTERS, part.ways, strict=False))
            return ChoiceBlock("choice", part.question, ways)
        return self._together(part)

    def _way(self, letter: str, way: Way | Branch, asked: bool = False) -> WayBlock:
        when = f"when {way.when}" if isinstance(way, Way) and way.when else "otherwise" if asked else ""
        return WayBlock(letter, way.title, when, self.blocks(way.parts))

    def _together(self, part: Together) -> TogetherBlock:
        branches = tuple(self._way(letter, way) for letter, way in zip(LETTERS, part.branches, strict=False))
        if len(branches) != 2 or not all(_narrow(block) for branch in branches for block in branch.blocks):
            return TogetherBlock("together", branches, ())
        columns = [[block for block in branch.blocks if isinstance(block, StepBlock)] for branch in branches]
        pairs = zip_longest(*columns)
        rows = tuple(((left,) if left else (), (right,) if right else ()) for left, right in pairs)
        return TogetherBlock("together", branches, rows)

    def step(self, step: Step) -> StepBlock:
        """Return one step with all it says, facts in the order in which they are asked for at the bench."""
        return StepBlock(
            kind="step",
            number=step.number,
            inner="." in step.number,
            title=step.title,
            only=f"Only when {wording.small(step.when)}" if step.when else "",
            panels=panels(step.signals),
            facts=_in_rows(self._facts(step)),
            limits=self._limits(step),
            clocks=self._clocks(step),
            checks=tuple(self._check(check, step) for check in step.checks),
            records=tuple(self._record(step)),
            onward=wording.sentence(wording.outcome(self.office, self.procedure, step.onward)),
            notes=step.notes,
            cited=cited(step.citations, self.source_numbers),
            pictures=pictures(step.figures, self.figures),
            second_person=wording.title_of(self.office.roles, step.second_person) if step.second_person else "",
            office_values=office_values(step.overridden),
        )

    def _facts(self, step: Step) -> list[Fact]:
        office, procedure = self.office, self.procedure
        facts = []
        if step.another is not None:
            facts.append(Fact("Who", self._another(step)))
        elif step.by is not None and _who(step.by) != _who(procedure.by):
            facts.append(Fact("Who", wording.people(office, step.by)))
        if step.area is not None and step.area != procedure.area:
            facts.append(Fact("Where", wording.place(office, step.area, procedure)))
        if step.takes is not None:
            facts.append(Fact("Time", wording.duration(step.takes) + _decided(step)))
        if step.rewet is not None:
            facts.append(Fact("Wet again", f"every {step.rewet}"))
        if step.wearing != procedure.wearing:
            worn = (wording.small(title) for title in wording.titles(office.ppe, step.wearing))
            facts.append(Fact("Wear", wording.large(wording.in_series(worn)) or "Nothing special"))
        facts += [Fact("Run", self._run(run.device, run.program)) for run in step.runs]
        run = {each.device for each in step.runs}
        settings = [(name, _at_the_bench(office, name)) for name in step.using if name not in run]
        plain = [self._thing(name) for name, setting in settings if not setting]
        if plain:
            facts.append(Fact("Use", wording.in_series(plain[:1] + [wording.small(name) for name in plain[1:]])))
        facts += [Fact("Use", f"{self._thing(name)}: {setting}") for name, setting in settings if setting]
        facts += [Fact("Do", self._performed(each.procedure)) for each in step.performs]
        return facts

    def _another(self, step: Step) -> str:
        who = wording.people(self.office, step.by) or "Someone"
        earlier = wording.steps_named(self.procedure, step.another.steps if step.another else ())
        return f"{who}, but not the one who did {earlier}"

    def _run(self, device: str, program: str) -> str:
        return f"{wording.title_of(self.office.devices, device)}, {wording.exposure(self.office, device, program)}"

    def _thing(self, name: str) -> str:
        return wording.title_of({**self.office.supplies, **self.office.devices}, name)

    def _performed(self, name: str) -> str:
        reference = wording.document_reference(self.office.procedures.get(name), name)
        return f"{reference}; then come back to this step"

    def _limits(self, step: Step) -> tuple[LimitLine, ...]:
        own = (self._limit(rule) for rule in self.procedure.limits if rule.later.step == step.name)
        heed = (self._order(order) for order in self.orders if order.step == step.name)
        return (*own, *heed, *way_limits.lines(self.office, self.procedure, step))

    def _limit(self, rule: Limit) -> LimitLine:
        order = wording.limit(self.procedure, rule) + "."
        clocks: tuple[Clock, ...] = ()
        earlier = wording.point(self.procedure, rule.earlier)
        if rule.most is not None:
            clocks += (Clock("Start by" if rule.later.edge == "starts" else "Finish by", f"{earlier} + {rule.most}"),)
        if rule.least is not None and rule.least.base:
            clocks += (Clock("Not before", f"{earlier} + {rule.least}"),)
        return LimitLine(order, wording.unless(self.procedure, rule), wording.sentence(rule.because), clocks)

    def _order(self, order: Order) -> LimitLine:
        if isinstance(order, WaitFor):
            return LimitLine(wording.wait_for(self.procedure, order), "", "", ())
        if isinstance(order, NotBefore):
            hint = f"{wording.point(self.procedure, order.after)} + {wording.longest_wait(order.seconds)}"
            return LimitLine(wording.not_before(self.procedure, order), "", "", (Clock("Not before", hint),))
        hint = f"{wording.point(self.procedure, order.after)} + {wording.in_time(order.seconds)}"
        lifted = wording.unless(self.procedure, order.limit)
        return LimitLine(wording.start_by(self.procedure, order), lifted, "", (Clock("Start by", hint),))

    def _check(self, check: Check, step: Step) -> CheckLine:
        again = check.otherwise
        most = again.at_most if isinstance(again, Repeat) and again.at_most is not None else 0
        passes = tuple(range(most)) if most <= MOST_TALLY else ()
        return CheckLine(check.question, wording.on_no(self.office, self.procedure, check, step.name), passes)

    def _clocks(self, step: Step) -> tuple[Clock, ...]:
        """Boxes for the time a later limit counts from, and for the end of a time that must be kept."""
        clocks = []
        mine = [rule for rule in self.procedure.limits if rule.earlier.step == step.name]
        edges = {rule.earlier.edge: self._follower(rule) for rule in reversed(mine)}
        for edge, hint in way_limits.begun(self.office, self.procedure, step.name):
            edges.setdefault(edge, hint)
        for order in self.orders:
            waiting = f"{wording.step_reference(self.procedure, order.step)} waits for this"
            if isinstance(order, WaitFor) and order.until == step.name:
                edges.setdefault("starts", waiting)
            elif isinstance(order, NotBefore) and order.after.step == step.name:
                edges.setdefault(order.after.edge, waiting)
        if "starts" in edges or self._is_timed(step):
            clocks.append(Clock("Started", edges.get("starts", "")))
        if self._is_timed(step) and step.takes is not None:
            clocks.append(Clock("Not done before", f"+ {step.takes.least}"))
        if "ends" in edges:
            clocks.append(Clock("Ended", edges["ends"]))
        return tuple(clocks)

    def start_clocks(self) -> tuple[Clock, ...]:
        """A box for the start of the whole procedure, when a limit counts from it."""
        own = [rule for rule in self.procedure.limits if (rule.earlier.step, rule.earlier.edge) == (None, "starts")]
        hints = [self._follower(rule) for rule in own]
        hints += [hint for edge, hint in way_limits.begun(self.office, self.procedure, None) if edge == "starts"]
        return (Clock("This procedure started", hints[0]),) if hints else ()

    def _follower(self, rule: Limit) -> str:
        return f"the limit of {wording.step_reference(self.procedure, rule.later.step)} counts from here"

    def _is_timed(self, step: Step) -> bool:
        if step.takes is None or step.takes.least.base < TIMED_FROM or step.runs:
            return False
        actions = (self.office.actions.get(doing.action) for doing in step.does)
        return step.takes.most is None or any(action is not None and action.holds_contact_time for action in actions)

    def _record(self, step: Step) -> Iterable[str]:
        for recording in step.records:
            log = self.office.logs.get(recording.log)
            name = f"{log.id} {log.title}".strip() if log else recording.log
            known = {column.name: column.title for column in log.columns} if log else {}
            columns = wording.in_series(wording.small(known.get(column, column)) for column in recording.columns)
            yield f"{name}: {columns}" if columns else name


def panels(signals: tuple[Signal, ...]) -> tuple[Panel, ...]:
    """Return the signal panels, gravest first, as a reader must see them."""
    order = list(SignalWord)
    ranked = sorted(signals, key=lambda signal: order.index(signal.word))
    return tuple(
        Panel(signal.word.value, signal.word.value.upper(), signal.word is not SignalWord.NOTICE, signal.text)
        for signal in ranked
    )


def pictures(figures: tuple[Figure, ...], there: frozenset[str]) -> tuple[Picture, ...]:
    """Return the figures whose files are there, by the name under which they are handed to the printer."""
    return tuple(Picture(figure.file, figure.caption) for figure in figures if figure.file in there)


def office_values(overridden: tuple[Overridden, ...]) -> tuple[OfficeValue, ...]:
    """Return what the office replaced in its pack, each wording on one line."""
    return tuple(
        OfficeValue(_one_line(each.office_text), _one_line(each.pack_text), each.because.rstrip("."))
        for each in overridden
    )


def _who(by: Performers | None) -> object:
    return (by.roles, by.joined) if by else None


def _narrow(block: Block) -> bool:
    """Whether a block can stand in half the width of the page."""
    return isinstance(block, StepBlock) and not block.second_person and not block.pictures and not block.panels


def _in_rows(facts: list[Fact]) -> tuple[tuple[Fact, ...], ...]:
    """Set two short facts on one line; a long one has its line for itself."""
    rows: list[tuple[Fact, ...]] = []
    for fact in facts:
        last = rows[-1] if rows else ()
        if len(last) == 1 and len(fact.value) <= SHORT_FACT and len(last[0].value) <= SHORT_FACT:
            rows[-1] = (last[0], fact)
        else:
            rows.append((fact,))
    return tuple(rows)


def _at_the_bench(office: Office, name: str) -> str:
    """How a supply is used while a step is done: mix, what it makes, contact time; empty for one used as it is."""
    supply = office.supplies.get(name)
    if supply is None:
        return ""
    mix = wording.dilution(supply.dilution) if supply.dilution is not None else ""
    contact = f"contact time {wording.time_range(*supply.contact)}" if supply.contact is not None else ""
    return "; ".join(filter(None, (mix, amount(supply), strength(supply), contact)))


def _decided(step: Step) -> str:
    """Say that the machine sets the time, as staff can then not shorten it."""
    return " (set by the machine)" if step.takes is not None and step.takes.decider == "machine" else ""


def _one_line(text: str) -> str:
    return " ".join(text.split()).rstrip(".")
