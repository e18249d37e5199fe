"""Says in plain words what the records hold: times, people, things used, limits, what follows on a no."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from fractions import Fraction

from sopc.checks.time.orders import NotBefore, StartBy, WaitFor
from sopc.model.nouns import (
    Check,
    Declared,
    Dilution,
    Duration,
    GoTo,
    Limit,
    Mark,
    Office,
    Outcome,
    Performers,
    PerformThen,
    Piece,
    Point,
    Procedure,
    Proceed,
    Repeat,
    Stop,
)
from sopc.trade.quantities import NBSP, Quantity, System, show_duration, show_number

MARKS = {
    Mark.READ: "read",
    Mark.MEMORY: "from memory, check it",
    Mark.PRACTICE: "common practice, no source",
    Mark.CALCULATED: "calculated",
}
MINUTES_ONLY = 600  # seconds; from here on no one counts them
_UNITS = "s|min|h|days?|weeks?|years?|kPa|psi|bar|m?L|ppm|mm|cm|m|ft|in"
_NUMBER_AND_UNIT = re.compile(rf"(?<=\d) (?=(?:{_UNITS})\b|[°%])")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(when: date) -> str:
    """Write a date so that no reader can take the month for the day: 1 Dec 2026."""
    return f"{when.day}{NBSP}{MONTHS[when.month - 1]}{NBSP}{when.year}"


def bound_units(text: str) -> str:
    """Put a no-break space between a number and its unit, so that no line ends between them."""
    return _NUMBER_AND_UNIT.sub(NBSP, text)


def in_series(words: Iterable[str], last: str = "and") -> str:
    """Join words as people say them: "a", "a and b", "a, b and c"."""
    listed = list(words)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} {last} {listed[-1]}"


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Order ids as people do: SOP-2 before SOP-10, SOP-10 before SOP-10A."""
    pieces = re.findall(r"\d+|\D+", text)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)


def small(text: str) -> str:
    """Begin a text with a small letter, unless its first word is an abbreviation or a name of one letter."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def large(text: str) -> str:
    """Begin a text with a capital."""
    return text[:1].upper() + text[1:]


def sentence(text: str) -> str:
    """Begin a text with a capital and end it with a full stop."""
    text = large(text.strip())
    return text if not text or text.endswith((".", "!", "?", "…")) else text + "."


def title_of(things: Mapping[str, Declared], name: str) -> str:
    """Return the title of a thing, or its bare name when nothing of that name is declared."""
    thing = things.get(name)
    return thing.title if thing and thing.title else name.replace("_", " ")


def titles(things: Mapping[str, Declared], names: Iterable[str]) -> tuple[str, ...]:
    """Return the titles of things in the order of their names."""
    return tuple(title_of(things, name) for name in names)


def time_range(least: Quantity, most: Quantity | None) -> str:
    """Write a range in one unit where it can be: "5 to 15 min", "45 s to 2 min", "exactly" left out."""
    if most is None:
        return f"at least {least}"
    if least == most:
        return str(most)
    if least.base == 0:
        return f"up to {most}"
    if least.unit == most.unit:
        return f"{show_number(least.value)} to {most}"
    return f"{least} to {most}"


def duration(takes: Duration | None) -> str:
    """Say how long something takes; an empty text when the office does not say. Who decides is `decided`."""
    if takes is None:
        return ""
    text = time_range(takes.least, takes.most)
    return f"{text}, until {takes.until}" if takes.until else text


def people(office: Office, by: Performers | None) -> str:
    """Say who does it: "Dental assistant or hygienist", "Two dental assistants together"."""
    if by is None:
        return ""
    named = [
        title if count == 1 else f"{count}{NBSP}× {small(title)}"
        for count, title in ((count, title_of(office.roles, role)) for count, role in by.roles)
    ]
    words = [named[0], *(small(name) for name in named[1:])]
    return in_series(words) + ", together" if by.joined and len(named) > 1 else in_series(words, "or")


def dilution(mix: Dilution) -> str:
    """Say a dilution in parts, as it is mixed: "1 part + 49 parts water"."""
    return f"{_parts(mix.concentrate_parts)} + {_parts(mix.diluent_parts)} {mix.diluent or 'water'}".strip()


def _parts(count: Fraction) -> str:
    return f"{show_number(count)}{NBSP}{'part' if count == 1 else 'parts'}"


def step_reference(procedure: Procedure, name: str | None) -> str:
    """Refer to a step by its number, or to the whole procedure when `name` is None."""
    if name is None:
        return "this procedure"
    step = procedure.step(name)
    return f"step{NBSP}{step.number}" if step else f"step “{name}”"


def place(office: Office, name: str, procedure: Procedure) -> str:
    """Name an area and, where items are handled, what alone may come in: "Packing (only what is clean comes in)"."""
    area = office.areas.get(name)
    zone = office.zones.get(area.zone) if area is not None and area.zone else None
    if zone is None or not procedure.handles:
        return title_of(office.areas, name)
    ways = [set(way.only) for way in office.flow if way.target == zone.name]
    everywhere = set.intersection(*ways) if ways else set()
    asked = [*zone.admits, *(each for each in office.conditions if each in everywhere - set(zone.admits))]
    what = in_series(small(title) for title in titles(office.conditions, asked))
    return f"{title_of(office.areas, name)} (only what is {what} comes in)" if what else title_of(office.areas, name)


def worn(office: Office, pieces: Sequence[Piece]) -> str:
    """Say what protective equipment is asked for: "utility gloves, mask and eyewear or face shield".

    A choice that is already met by another piece asked for is left out.
    """
    asked = [frozenset(piece.any_of) for piece in pieces]
    kept = (piece for piece, choice in zip(pieces, asked, strict=True) if not any(other < choice for other in asked))
    words = (in_series(map(small, titles(office.ppe, piece.any_of)), "or") for piece in kept)
    return in_series(dict.fromkeys(words))


def steps_named(procedure: Procedure, names: Iterable[str]) -> str:
    """Refer to several steps by their numbers: "step 3 or step 5"."""
    return in_series((step_reference(procedure, name) for name in names), "or")


def document_reference(procedure: Procedure | None, name: str) -> str:
    """Refer to another procedure by id and title."""
    if procedure is None:
        return f"“{name}”"
    return f"{procedure.id.replace(' ', NBSP)} {procedure.title}".strip()


def point(procedure: Procedure, at: Point) -> str:
    """Name a point of the procedure: "step 3 ends"."""
    return f"{step_reference(procedure, at.step)} {at.edge}"


def limit(procedure: Procedure, rule: Limit, subject: bool = False) -> str:
    """Say a limit as an order: "Start within 60 min after step 3 ends"; with `subject`, "Start step 5 within …"."""
    verb = "Start" if rule.later.edge == "starts" else "Finish"
    what = f" {step_reference(procedure, rule.later.step)}" if subject or rule.later.step is None else ""
    after = f"after {point(procedure, rule.earlier)}"
    if rule.least is None or rule.least.base == 0:
        return f"{verb}{what} within {rule.most} {after}"
    if rule.most is None:
        return f"{verb}{what} no sooner than {rule.least} {after}"
    return f"{verb}{what} {time_range(rule.least, rule.most)} {after}"


def start_by(procedure: Procedure, order: StartBy) -> str:
    """Say by when a step must start so that a later limit is kept, as an order."""
    later = order.limit.later
    verb = "start" if later.edge == "starts" else "end"
    follows = f"{step_reference(procedure, later.step)} can {verb} in time"
    return f"Start within {in_time(order.seconds)} after {point(procedure, order.after)}, so that {follows}."


def wait_for(procedure: Procedure, order: WaitFor) -> str:
    """Say how long a step must wait for a machine, as an order."""
    machine, time = step_reference(procedure, order.until), longest_wait(order.seconds)
    if order.edge == "starts":
        return f"Wait until {machine} ends, but not longer than {time} after it starts. Then start."
    return f"Do not finish before {machine} ends, or {time} have passed since it started."


def not_before(procedure: Procedure, order: NotBefore) -> str:
    """Say how long a step must hold back, as an order."""
    verb = "start" if order.edge == "starts" else "finish"
    return f"Do not {verb} before {longest_wait(order.seconds)} after {point(procedure, order.after)}."


def in_time(seconds: int) -> str:
    """A time within which something must be done: seconds are left out from ten minutes on, to the safe side."""
    return show_duration(seconds if seconds < MINUTES_ONLY else seconds // 60 * 60)


def longest_wait(seconds: int) -> str:
    """A time to be waited out: seconds are rounded up to whole minutes from ten minutes on."""
    return show_duration(seconds if seconds < MINUTES_ONLY else -(-seconds // 60) * 60)


def unless(procedure: Procedure, rule: Limit) -> str:
    """Say when a limit is lifted; an empty text when it never is."""
    if not rule.unless:
        return ""
    steps = in_series((step_reference(procedure, name) for name in rule.unless), "or")
    return f"Does not apply if {steps} was done."


def outcome(office: Office, procedure: Procedure, what: Outcome | None, here: str = "") -> str:
    """Say what follows, as an order without a full stop; empty when nothing is said. `here`: the step it is at."""
    match what:
        case Repeat(step=step, at_most=at_most, afterwards=afterwards):
            text = "do this step again" if step == here else f"go back to {_step_with_title(procedure, step)}"
            if at_most is not None:
                text += f", at most {_times(at_most)}"
            then = outcome(office, procedure, afterwards, here)
            return f"{text}. If it is still NO after that: {then}" if then else text
        case GoTo(step=step):
            return f"go to {_step_with_title(procedure, step)}"
        case Stop(text=text):
            return f"STOP. {sentence(text)}".rstrip(".")
        case Proceed():
            return "go on with the next step"
        case PerformThen(procedure=name, afterwards=afterwards):
            then = outcome(office, procedure, afterwards, here)
            first = f"do {document_reference(office.procedures.get(name), name)}"
            return f"{first}, then {then}" if then else first
    return ""


def _step_with_title(procedure: Procedure, name: str) -> str:
    step = procedure.step(name)
    return f"step{NBSP}{step.number} ({step.title.rstrip('.')})" if step else f"step “{name}”"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count}{NBSP}times")


def on_no(office: Office, procedure: Procedure, check: Check, here: str = "") -> str:
    """Say what follows when a check is answered no, with what the items no longer count as."""
    follows = sentence(outcome(office, procedure, check.otherwise, here) or "nothing is laid down: ask the coordinator")
    if not check.loses:
        return follows
    lost = in_series((small(title) for title in titles(office.conditions, check.loses)), "or")
    return f"The items no longer count as {lost}. {follows}"


def exposure(office: Office, device: str, program: str) -> str:
    """Say the setting of a program: "program Wrapped: 132 °C for 4 min, dry 20 to 30 min"."""
    machine = office.devices.get(device)
    chosen = machine.programs.get(program) if machine else None
    if chosen is None:
        return f"program {program}"
    parts = []
    if chosen.exposure is not None:
        held = time_range(chosen.exposure.least, chosen.exposure.most)
        parts.append(f"{chosen.exposure.temperature.show(system(office))} for {held}")
    if chosen.drying is not None:
        parts.append(f"dry {time_range(*chosen.drying)}")
    name = f"program “{chosen.title or program}”"
    return f"{name}: {', '.join(parts)}" if parts else name


def system(office: Office) -> System:
    """Return the units the office reads in."""
    return "us" if office.premises.units == "us" else "metric"
