"""Are solutions as strong as the text says and the label asks, and do they stay wet for as long as they need."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from sopc.checks.report import as_written, finding, listed
from sopc.checks.time.durations import rounded_down, rounded_up
from sopc.findings import Finding, Note
from sopc.model.nouns import Column, Doing, Office, Step, Supply, Task
from sopc.source import Span
from sopc.trade.dilution import PPM_IN_PERCENT, agree, as_ppm, diluent_for, diluted, filling
from sopc.trade.quantities import NBSP, UNITS, Dimension, Quantity, show_duration, show_number

LITRE = Fraction(1000)
_PLUS = re.compile(r"\s*(\d+(?:\.\d+)?)\s*\+\s*(\d+(?:\.\d+)?)\s*")
_ONE_TO = re.compile(r"(?<![\d:.])1\s?:\s?(\d{1,4}(?:\.\d+)?)(?![\d:])")


def check(office: Office) -> Iterator[Finding]:
    """Hold what solutions promise.

    1. A stated strength is what the parts make of the stock, and so is a ratio in the title (L19).
    2. The strength lies within what the label asks (L20); where it asks and the strength is unknown, that is told
       (L21).
    3. What disinfects has a contact time (L24).
    4. A log in which mixing is recorded has a box for its parts (L25).
    5. What stays wet for less than its contact time is wetted again, often enough (L22).
    """
    for supply in office.supplies.values():
        yield from _ratio(supply)
        yield from _stated(supply)
        yield from _label(supply)
        yield from _timeless(supply)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            yield from _wet_in_step(office, step)
    for task in office.tasks.values():
        yield from _boxes(office, task)
        if any(_holds(office, doing) for doing in task.does):
            for used in _supplies(office, task.using):
                yield from _wet(task.title, used, None, task.span, "Write it as a procedure whose step says")


def made(supply: Supply) -> Fraction | None:
    """The strength in ppm that the parts make of the stock; of the stock itself when it is used as it is."""
    if supply.stock is None:
        return None
    mix = supply.dilution
    return as_ppm(supply.stock) if mix is None else diluted(supply.stock, mix.concentrate_parts, mix.diluent_parts)


def in_ppm_and_percent(ppm: Fraction) -> str:
    """A strength in both ways of saying it: 5,250 ppm (0.525 %)."""
    percent = show_number(ppm / PPM_IN_PERCENT, 4)
    return f"{show_number(ppm, 0 if ppm >= 100 else 1)}{NBSP}ppm ({percent}{NBSP}%)"


def _mixed(supply: Supply) -> str:
    mix = supply.dilution
    if mix is None:
        return f"stock of {supply.stock}"
    parts = f"{_parts(mix.concentrate_parts)} + {_parts(mix.diluent_parts)}"
    return f"{parts} of {supply.stock} stock" if supply.stock is not None else parts


def _parts(count: Fraction) -> str:
    return f"{show_number(count)}{NBSP}{'part' if count == 1 else 'parts'}"


def _measured(concentrate: Fraction, diluent: Fraction, container: Quantity | None) -> str:
    """What to measure out for the office's container, or for a litre."""
    full = filling(concentrate, diluent, container.base if container is not None else LITRE)
    whole = container if container is not None else Quantity(Fraction(1), UNITS["L"])
    return f"{full} in {whole}"


# ── What the text says of its own mix ───────────────────────────────────────────────────────────


def _ratio(supply: Supply) -> Iterator[Finding]:
    """1:10 is one part in ten parts in all; one part to ten parts is weaker, and often called so by mistake."""
    mix = supply.dilution
    said = _ONE_TO.search(supply.title)
    if mix is None or said is None:
        return
    total, called = (mix.concentrate_parts + mix.diluent_parts) / mix.concentrate_parts, Fraction(said[1])
    if total == called or called <= 1:
        return
    off = round(abs(float(called / total) - 1) * 100)
    how = "weaker" if total > called else "stronger"
    yield finding(
        "L19",
        mix.span,
        f"“{supply.title}” is mixed {_mixed(supply)}, which is 1:{show_number(total)}, not 1:{show_number(called)}: "
        f"{off} % {how} than it is called.",
        floor="Whoever goes by the name mixes it one way, whoever goes by the parts another.",
        fix=f"1:{show_number(called)} is `dilute 1 part to {show_number(called - 1)} parts`; or correct the name.",
    )


def _stated(supply: Supply) -> Iterator[Finding]:
    right = made(supply)
    first = supply.strength[0] if supply.strength else None
    if first is None:
        return
    for each in supply.strength:
        against = right if right is not None else as_ppm(first)
        if agree(as_ppm(each), against):
            continue
        made_by = f"{_mixed(supply)} makes" if right is not None else f"{first} is"
        yield finding(
            "L19",
            supply.strength_span or supply.span,
            f"“{supply.title}” is said to hold {_both_ways(each)}; but {made_by} {in_ppm_and_percent(against)}.",
            floor="One of the two is on the bottle. Too weak does not disinfect, too strong harms skin and metal.",
            fix=_strength_fix(supply, each, against),
            notes=[Note("the parts stand here", supply.dilution.span)] if supply.dilution else (),
            cause=f"strength {supply.name}",
        )


def _both_ways(strength: Quantity) -> str:
    told = in_ppm_and_percent(as_ppm(strength))
    return f"{strength}, that is {told}" if strength.dimension is Dimension.FRACTION else told


def _strength_fix(supply: Supply, stated: Quantity, right: Fraction) -> str:
    lead = f"Write `strength {_plain(right)} ppm`"
    if supply.stock is None or supply.dilution is None:
        return f"{lead}: one percent is 10,000 ppm."
    try:
        water = diluent_for(as_ppm(supply.stock) / PPM_IN_PERCENT, as_ppm(stated))
    except ValueError:
        return f"{lead}; the stock is not strong enough for {stated}."
    return f"{lead}; or, if {stated} is what is wanted, `dilute 1 part to {_plain(water)} parts`."


def _plain(value: Fraction) -> str:
    return show_number(value, 1).replace(",", "")


# ── What the label asks ─────────────────────────────────────────────────────────────────────────


def _label(supply: Supply) -> Iterator[Finding]:
    if supply.works_at is None:
        return
    strength = made(supply)
    if strength is None:
        strength = as_ppm(supply.strength[0]) if supply.strength else None
    place = supply.works_at_span or supply.span
    if strength is None:
        yield finding(
            "L21",
            place,
            f"“{supply.title}” says at which strength it works, but not how strong it is here.",
            floor="No one can tell whether the mix is strong enough, or too strong.",
            fix="Add `stock …` and `dilute …`, or the `strength …` it has as it is used.",
        )
        return
    low, high = (as_ppm(end) for end in supply.works_at)
    most = high if high != low else None
    if strength >= low and (most is None or strength <= most):
        return
    weak = strength < low
    asked = f"at least {in_ppm_and_percent(low)}" if weak or most is None else f"at most {in_ppm_and_percent(most)}"
    yield finding(
        "L20",
        place,
        f"“{supply.title}” holds {in_ppm_and_percent(strength)} ({_mixed(supply)}); it must hold {asked}.",
        floor=(
            "It is wiped on, waited for, and does not disinfect."
            if weak
            else "It harms skin, lungs and metal, and is no longer what its label vouches for."
        ),
        fix=_label_fix(supply, low, most),
        notes=[Note("the parts stand here", supply.dilution.span)] if supply.dilution else (),
    )


def _label_fix(supply: Supply, low: Fraction, most: Fraction | None) -> str:
    if supply.stock is None or supply.dilution is None:
        return "Correct the strength, or use another product."
    wanted = low if most is None else (low + most) / 2
    try:
        water = diluent_for(as_ppm(supply.stock) / PPM_IN_PERCENT, wanted)
    except ValueError:
        return "The stock itself is weaker than that: use another product."
    whole = [Fraction(int(water)), Fraction(int(water) + 1)]
    fitting = [each for each in whole if low <= diluted(supply.stock, Fraction(1), each) <= (most or LITRE * LITRE)]
    parts = fitting[0] if fitting else water
    measured = _measured(Fraction(1), parts, supply.container)
    makes = in_ppm_and_percent(diluted(supply.stock, Fraction(1), parts))
    return f"Mix 1 part with {show_number(parts)} parts ({measured}): {makes}."


def _timeless(supply: Supply) -> Iterator[Finding]:
    """What works at a strength or stays wet disinfects; its time is half of what the label says."""
    if supply.contact is not None or not (supply.works_at or supply.stays_wet):
        return
    yield finding(
        "L24",
        supply.span,
        f"“{supply.title}” disinfects, but nothing says how long it has to stay on.",
        floor="It is wiped off at once, and has done nothing.",
        fix="Add `contact …` from its label.",
        cause=f"no contact time {supply.name}",
    )


def _boxes(office: Office, task: Task) -> Iterator[Finding]:
    mixed = [supply for supply in _supplies(office, task.renews) if supply.dilution is not None]
    for recording in task.records:
        log = office.logs.get(recording.log)
        for column in log.columns if log is not None else ():
            boxes = [_PLUS.fullmatch(choice) for choice in column.choices]
            ratios = [Fraction(box[2]) / Fraction(box[1]) for box in boxes if box is not None]
            if not ratios or len(ratios) < len(boxes):
                continue
            for supply in mixed:
                mix = supply.dilution
                if mix is not None and mix.diluent_parts / mix.concentrate_parts not in ratios:
                    yield _no_box(supply, column, task)


def _no_box(supply: Supply, column: Column, task: Task) -> Finding:
    return finding(
        "L25",
        supply.dilution.span if supply.dilution is not None else supply.span,
        f"“{supply.title}” is mixed {_mixed(supply)}, but the log in which “{task.title}” is recorded has boxes only "
        f"for {listed(column.choices)}.",
        floor="Someone ticks the nearest box; or the mix is made as the sheet says, and not as the text does.",
        fix="Correct the parts, or add a box for them to the log.",
        notes=[Note("the boxes stand here", column.span), Note("it is mixed here", task.span)],
    )


# ── Wet long enough ─────────────────────────────────────────────────────────────────────────────


def _holds(office: Office, doing: Doing) -> bool:
    action = office.actions.get(doing.action)
    return action is not None and action.holds_contact_time


def _wet_in_step(office: Office, step: Step) -> Iterator[Finding]:
    if not any(_holds(office, doing) for doing in step.does):
        return
    for supply in _supplies(office, step.using):
        yield from _wet(step.title, supply, step.rewet, step.span, "Add to the step")


def _supplies(office: Office, names: tuple[str, ...]) -> list[Supply]:
    return [office.supplies[name] for name in names if name in office.supplies]


def _wet(where: str, supply: Supply, rewet: Quantity | None, span: Span, how: str) -> Iterator[Finding]:
    if supply.contact is None or supply.stays_wet is None:
        return
    needs, wet = rounded_up(supply.contact[0]), rounded_down(supply.stays_wet)
    if wet >= needs:
        return
    if rewet is not None and rounded_up(rewet) <= wet:
        return
    again = f", and is wetted again only every {rewet}" if rewet is not None else ""
    yield finding(
        "L22",
        span,
        f"“{where}” needs {show_duration(needs)} of contact with {supply.title}, which stays wet for "
        f"{show_duration(wet)}{again}.",
        floor=f"After {show_duration(wet)} it is dry, and what is left of the contact time does nothing.",
        fix=f"{how} `rewet every {as_written(wet)}`; or use a product that stays wet longer or works sooner.",
        notes=[
            Note("how long it stays wet", supply.stays_wet_span or supply.span),
            Note("its contact time", supply.contact_span or supply.span),
        ],
        cause=f"wet {supply.name}",
    )
