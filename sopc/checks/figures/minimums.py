"""Which published minimums speak of a program's loads, and how the program stands to them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from sopc.model.nouns import Agent, Declared, Device, Minimum, Office, Program
from sopc.trade.lethality import a0
from sopc.trade.minimums import Judgement, Row, Standing, judge, judge_amount, reaches

PACKAGING = ("wrapped", "unwrapped")
TESTS = "tests"
AUTHORITY = "instructions"
ROUNDED_BY_MAKERS = Fraction(5, 1000)  # 93 °C for 5 min is sold as an A0 of 6000 and is 5,986
_PHRASES = {
    "hollow": "hollow items",
    "porous": "porous items",
    "critical": "critical items",
    "semicritical": "semicritical items",
    "noncritical": "noncritical items",
}


@dataclass(frozen=True, slots=True)
class Load:
    """One kind of load: how it is packaged and what is in it; empty where the text does not say."""

    packaging: str
    contents: str

    def __str__(self) -> str:
        contents = _PHRASES.get(self.contents, self.contents)
        return f"{self.packaging} {contents or 'loads'}".strip()


@dataclass(frozen=True, slots=True)
class Judged:
    """How a program stands for one kind of load: time at temperature, drying, A0; None where it does not apply."""

    load: Load
    minimums: tuple[Minimum, ...]
    exposure: Judgement | None
    drying: Judgement | None
    a0: Standing | None


def loads_of(program: Program) -> tuple[Load, ...]:
    """The kinds of load a program is for; what only tests the machine is none."""
    packagings = [word for word in program.suits if word in PACKAGING]
    contents = [word for word in program.suits if word not in PACKAGING and word != TESTS]
    if not program.suits and program.process is not None and program.process.agent is Agent.HOT_WATER:
        return (Load("", ""),)
    plain = [Load(each, "") for each in packagings]
    return (*plain, *(Load(each, word) for each in packagings or [""] for word in contents))


def judged(office: Office, program: Program) -> tuple[Judged, ...]:
    """How the program stands for each kind of load it suits."""
    if program.process is None:
        return ()
    found = []
    for load in loads_of(program):
        minimums = tuple(_speaking(office, program, load))
        # Nothing special is asked of these contents: what is asked of the packaging holds.
        if load.packaging and load.contents and not minimums:
            continue
        found.append(
            Judged(load, minimums, _exposure(program, minimums), _drying(program, minimums), _a0(program, minimums))
        )
    return tuple(found)


def reached_a0(program: Program) -> Fraction | None:
    """The A0 that the stated temperature and least time give, in equivalent seconds at 80 °C."""
    exposure = program.exposure
    if exposure is None or program.process is None or program.process.agent is not Agent.HOT_WATER:
        return None
    return Fraction(a0(float(exposure.temperature.base), float(exposure.least.base)))


def vouched(office: Office, program: Program, device: Device) -> bool:
    """Whether a maker's instructions stand behind a program's numbers: cited there, or named at the device."""
    return cites_instructions(office, program) or bool(device.instructions)


def cites_instructions(office: Office, thing: Declared) -> bool:
    """Whether a thing cites a source that is a maker's instructions."""
    sources = (office.sources.get(citation.source) for citation in thing.citations)
    return any(source is not None and source.authority == AUTHORITY for source in sources)


def share_a_source(one: Declared, others: Iterable[Declared]) -> bool:
    """Whether a thing cites a source that one of the others cites too."""
    own = {citation.source for citation in one.citations}
    return any(citation.source in own for other in others for citation in other.citations)


def enough_exposure(office: Office, program: Program) -> bool:
    """Whether a program keeps every published minimum for its loads, or rests on a maker's instructions."""
    home = (device for device in office.devices.values() if device.programs.get(program.name) is program)
    if cites_instructions(office, program) or any(device.instructions for device in home):
        return True
    found = judged(office, program)
    return bool(found) and all(
        standing is Standing.ENOUGH
        for each in found
        for standing in (
            each.exposure.standing if each.exposure else Standing.UNCOVERED if each.a0 is None else Standing.ENOUGH,
            each.drying.standing if each.drying else Standing.ENOUGH,
            each.a0 or Standing.ENOUGH,
        )
    )


def _speaking(office: Office, program: Program, load: Load) -> Iterator[Minimum]:
    for minimum in office.minimums.values():
        process, own = minimum.process, program.process
        if process is None or own is None or (process.agent, process.way) != (own.agent, own.way):
            continue
        packagings = [word for word in minimum.loads if word in PACKAGING]
        contents = [word for word in minimum.loads if word not in PACKAGING]
        if packagings and load.packaging and load.packaging not in packagings:
            continue
        if (load.contents in contents) if load.contents else not contents:
            yield minimum


def _exposure(program: Program, minimums: tuple[Minimum, ...]) -> Judgement | None:
    held = program.exposure
    if held is None or (program.process is not None and program.process.agent is Agent.HOT_WATER):
        return None
    rows = [
        Row(each.name, each.exposure.temperature, each.exposure.least.base)
        for each in minimums
        if each.exposure is not None
    ]
    return judge(held.temperature, held.least.base, rows)


def _drying(program: Program, minimums: tuple[Minimum, ...]) -> Judgement | None:
    """None when no table asks for drying at this temperature; a hotter row says nothing about it."""
    if program.exposure is None:
        return None
    dried = program.drying[0].base if program.drying else Fraction(0)
    rows = [
        Row(each.name, each.exposure.temperature, each.drying[0].base)
        for each in minimums
        if each.exposure is not None
        and each.drying is not None
        and reaches(program.exposure.temperature, each.exposure.temperature)
    ]
    return judge(program.exposure.temperature, dried, rows) if rows else None


def _a0(program: Program, minimums: tuple[Minimum, ...]) -> Standing | None:
    """What counts is what is aimed at, where that is less than what is reached: limits are set by it."""
    reached = reached_a0(program)
    if reached is None:
        return None
    amount = min(reached, program.a0) if program.a0 is not None else reached
    wanted = [(each.name, each.a0 * (1 - ROUNDED_BY_MAKERS)) for each in minimums if each.a0 is not None]
    return judge_amount(amount, wanted)
