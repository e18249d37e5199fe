"""Do the words of a page say the same figures as its clauses: times, programs, limits of columns, mixtures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise

from sopc.checks.records.announced import announced
from sopc.checks.records.times_in_words import times
from sopc.checks.report import finding
from sopc.findings import Finding, Note
from sopc.model.nouns import Column, Log, Office, Program, Step, Supply, Task
from sopc.trade.figures import Figure, Mixture, figures_in, mixtures_in
from sopc.trade.quantities import UNITS, Dimension, Quantity, show_number

ROUNDED = Fraction(1)
"""°C by which a temperature in words may differ: people write 132 for 132.2."""
_CLAUSES = re.compile(r"[;:?!\n]+|\.(?!\d)|,(?!\d)")
_RELATIONS = frozenset({"after", "before", "within", "every", "since", "until", "last", "past", "next", "than"})
"""Words that tell when something is, and not how long or warm it was."""
_DRY = re.compile(r"\bdry(?:ing)?\b", re.IGNORECASE)
_KEEPS = re.compile(r"\b(?:used?|using|keeps?|kept|good|discard\w*|throw\w*|thrown)\b", re.IGNORECASE)
_DAILY = re.compile(r"\bfresh(?:ly)?\b[^.;]*\b(?:each|every) (?:day|morning)\b|\bfresh\b[^.;]*\bdaily\b", re.IGNORECASE)
DAY = Fraction(86_400)


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold words against clauses; what words do not clearly say is let pass.

    1. A step lasts as long as its title and notes say (`times_in_words`, X01).
    2. What a page says of a program it runs, its temperature, time and drying, is what the program does (X02).
    3. The bounds that a question asks for are those of the column in which the answer is written down (X03).
    4. A solution is mixed in the parts, and keeps as long, as is said in words (X04).
    5. What is printed of when a procedure is done is when a task has it done (`announced`, X05).
    """
    yield from times(office)
    yield from announced(office)
    for procedure in office.procedures.values():
        for step in procedure.steps():
            yield from _program(office, step)
            yield from _questions(office, step)
            yield from _mixed(office, step)
    for device in office.devices.values():
        for program in device.programs.values():
            yield from _titled(program)
    for task in office.tasks.values():
        yield from _mixed(office, task)
    for supply in office.supplies.values():
        yield from _supply(supply)


# ── Programs ────────────────────────────────────────────────────────────────────────────────────


def _program(office: Office, step: Step) -> Iterator[Finding]:
    found = [office.devices[run.device].programs.get(run.program) for run in step.runs if run.device in office.devices]
    programs = [each for each in found if each is not None and each.exposure is not None]
    if len(programs) != 1:
        return
    texts = (step.title, *step.notes, *(check.question for check in step.checks))
    held = [pair for text in texts for pair in _held(text)]
    if held and not any(_is_exposure(programs[0], *pair) for pair in held):
        yield _other(step, programs[0], f"{held[0][0].text} for {held[0][1].text}", str(_exposure(programs[0])))
    dried = [figure for text in texts for figure in _dried(text)]
    drying = programs[0].drying
    if drying is not None and dried and not any(_spans(figure, *drying) for figure in dried):
        said = f"{show_number(drying[0].value)} to {drying[1]}" if drying[0] != drying[1] else str(drying[0])
        yield _other(step, programs[0], f"dry {dried[0].text}", f"dry {said}")


def _held(text: str) -> Iterator[tuple[Figure, Figure]]:
    """Each temperature in the text that is followed by the time for which it is held."""
    for one, other in pairwise(figures_in(text)):
        between = text[one.end : other.start].strip(" ,").casefold()
        if one.dimension is Dimension.TEMPERATURE and other.dimension is Dimension.TIME and between == "for":
            yield one, other


def _is_exposure(program: Program, warm: Figure, time: Figure) -> bool:
    exposure = program.exposure
    assert exposure is not None
    near = [end for end in (warm.least, warm.most) if end is not None]
    return any(abs(end - exposure.temperature.base) <= ROUNDED for end in near) and _spans(
        time, exposure.least, exposure.most
    )


def _spans(figure: Figure, least: Quantity, most: Quantity) -> bool:
    """Whether a figure in words says these ends; an end that it leaves open says nothing of it."""
    low = figure.least is None or figure.least in (least.base, most.base)
    return low and (figure.most is None or figure.most in (least.base, most.base))


def _exposure(program: Program) -> str:
    exposure = program.exposure
    assert exposure is not None
    return f"{exposure.temperature} for {exposure.least}"


def _dried(text: str) -> Iterator[Figure]:
    """Each time that a clause about drying names, where it names one only."""
    for clause in _CLAUSES.split(text):
        times_said = [each for each in figures_in(clause.strip()) if each.dimension is Dimension.TIME]
        if _DRY.search(clause) and len(times_said) == 1:
            yield times_said[0]


def _other(step: Step, program: Program, said: str, does: str) -> Finding:
    return finding(
        "X02",
        step.span,
        f"“{step.title}” speaks of {said}, but “{program.title}”, which it runs, does {does}.",
        floor="Whoever stands at the machine takes a cycle for good that is not, or stops a good one.",
        fix="Look into the maker's instructions which is right, and correct the other.",
        notes=[Note("the program stands here", program.span)],
    )


def _titled(program: Program) -> Iterator[Finding]:
    """A temperature in the title of a program is the one at which it works."""
    if program.exposure is None:
        return
    said = [each for each in figures_in(program.title) if each.dimension is Dimension.TEMPERATURE]
    works = program.exposure.temperature
    if said and not any(end is not None and abs(end - works.base) <= ROUNDED for end in (said[0].least, said[0].most)):
        yield finding(
            "X02",
            program.span,
            f"“{program.title}” says {said[0].text} in its title, and works at {works.show_both()}.",
            floor="The panel, the page and the sheet name the program by a temperature that it does not have.",
            fix="Look into the maker's instructions which is right, and correct the other.",
        )


# ── Questions and the columns their answers go into ─────────────────────────────────────────────


def _questions(office: Office, step: Step) -> Iterator[Finding]:
    logs = [(office.logs[each.log], each.columns) for each in step.records if each.log in office.logs]
    columns = [(log, each) for log, names in logs for each in log.columns if each.name in names and each.unit in UNITS]
    for asked in step.checks if columns else ():
        figures = figures_in(asked.question)
        for log, column in columns:
            measured = UNITS[column.unit].dimension
            mine = [each for each in figures if each.dimension is measured and each.lead not in _RELATIONS]
            alike = [other for _, other in columns if UNITS[other.unit].dimension is measured]
            if len(mine) == 1 and len(alike) == 1 and not _asks_the_same(mine[0], column):
                yield _asks_otherwise(step, mine[0], log, column)


def _asks_the_same(figure: Figure, column: Column) -> bool:
    """Whether each end that the question names is that of the column; a single number names the least."""
    least, most = figure.least, None if figure.least == figure.most else figure.most
    limit, unit = column.limit, UNITS[column.unit]
    ends = (limit.least, limit.most) if limit is not None else (None, None)
    own = [Quantity(end, unit).base if end is not None else None for end in ends]
    # An end that the question leaves open may be drawn on the sheet all the same.
    return all(said is None or said == drawn for said, drawn in zip((least, most), own, strict=True))


def _asks_otherwise(step: Step, figure: Figure, log: Log, column: Column) -> Finding:
    limit = column.limit
    accepts = f"accepts {_accepted(column)}" if limit is not None else "has no limit"
    bounding = figure.lead.startswith(("between", "at ", "up ", "not ", "no ", "never "))
    asked = f"{figure.lead} {figure.text}" if bounding else figure.text
    return finding(
        "X03",
        limit.span if limit is not None else column.span,
        f"“{step.title}” asks for {asked}, but “{column.title}” in “{log.title}”, where the answer is written down, "
        f"{accepts}.",
        floor="The page says no and the sheet says yes to one and the same reading, and whoever is in a hurry goes "
        "by the sheet.",
        fix="Look up which is right, and write the same in both.",
        notes=[Note("the question stands here", step.checks[0].span)],
        cause=f"no limit {column.span}" if limit is None else "",
    )


def _accepted(column: Column) -> str:
    limit, symbol = column.limit, UNITS[column.unit].symbol
    least, most = (limit.least, limit.most) if limit is not None else (None, None)
    if least is not None and most is not None:
        return f"{show_number(least)} to {show_number(most)} {symbol}"
    if least is not None:
        return f"at least {show_number(least)} {symbol}"
    return f"at most {show_number(most)} {symbol}" if most is not None else ""


# ── Mixtures, and how long they keep ────────────────────────────────────────────────────────────


def _mixed(office: Office, work: Step | Task) -> Iterator[Finding]:
    used = [office.supplies[name] for name in work.using if name in office.supplies]
    mixed = [supply for supply in used if supply.dilution is not None]
    if len(mixed) == 1:
        yield from _parts(mixed[0], (work.title, *work.notes), f"“{work.title}”", work)


def _parts(supply: Supply, texts: Sequence[str], where: str, work: Step | Task | Supply) -> Iterator[Finding]:
    said = [each for text in texts for each in mixtures_in(text)]
    if supply.dilution is None or not said or any(_is_mix(supply, each) for each in said):
        return
    mix = supply.dilution
    parts = f"{show_number(mix.concentrate_parts)} to {show_number(mix.diluent_parts)} parts"
    yield finding(
        "X04",
        mix.span,
        f"{where} says “{said[0].text}”, but {supply.title} is mixed {parts}.",
        floor="One of the two is mixed, whichever is read first: too weak, or too strong.",
        fix="Look at the label which is right, and correct the other.",
        notes=[Note("the words stand here", work.span)],
        cause=f"strength {supply.name}",
    )


def _is_mix(supply: Supply, said: Mixture) -> bool:
    mix = supply.dilution
    return mix is not None and said.diluent * mix.concentrate_parts == mix.diluent_parts


def _supply(supply: Supply) -> Iterator[Finding]:
    yield from _parts(supply, supply.notes, f"The note of {supply.title}", supply)
    said = [pair for text in _said_of(supply) for pair in _said_to_keep(text)]
    if not said:
        return
    words, longest = min(said, key=lambda pair: pair[1])
    keeps = supply.use_within
    if keeps is None or keeps.base > longest:
        states = f"`use within {keeps.value} {keeps.unit}`" if keeps is not None else "no clause holds it to that"
        yield finding(
            "X04",
            supply.use_within_span or supply.span,
            f"{supply.title} is said to be used up {words}, but {states}.",
            floor="The bottle's label and the task list go by the clause: old solution is used, and does not work.",
            fix="Look at the label which is right, and write the same in both.",
        )


def _said_of(supply: Supply) -> Iterator[str]:
    yield from supply.notes
    yield from (citation.locator for citation in supply.citations)


def _said_to_keep(text: str) -> Iterator[tuple[str, Fraction]]:
    """How long it keeps by the words of a text: “used up within fourteen days”, “fresh each day”."""
    for clause in re.split(r"[.;\n]", text):
        if _DAILY.search(clause):
            yield "within a day", DAY
        for figure in figures_in(clause):
            within = figure.dimension is Dimension.TIME and figure.lead == "within" and figure.most is not None
            if within and figure.most is not None and _KEEPS.search(clause):
                yield f"within {figure.text}", figure.most
