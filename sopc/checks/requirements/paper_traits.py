"""Traits of paper: schedules, trainings, logs and their columns, what is stated, cited and said."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from sopc.checks.report import listed, title
from sopc.checks.requirements import due
from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.phrases import says
from sopc.checks.requirements.texts import said_of
from sopc.checks.requirements.verdicts import YES, Answer, Candidate, Verdict, no, when
from sopc.model.nouns import Column, Device, Document, Procedure, Proceed, Step, Training
from sopc.model.sentences import Needed, Trait
from sopc.trade import quantities
from sopc.trade.quantities import Dimension

# ── When ────────────────────────────────────────────────────────────────────────────────────────


def apart(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    asked = trait.number or 0
    if not isinstance(thing.record, Training):
        return due.often_enough(ground, thing.record, asked)
    every = thing.record.every_days
    if every is None:
        return no("it does not say how often it is repeated")
    return when(every <= asked, f"sessions may lie {every} days apart, {asked} at most are asked for")


def in_every(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    return due.every_part(ground, thing.record, trait.word)


def each_time(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    said = "after an event" if trait.word == "event" else f"each {trait.word}"
    return when(due.each_time(thing.record, trait.word), f"it is not done {said}")


def on_hire(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    return when(thing.record.on_hire, "it is not given on hire")


def after_change(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    return when(thing.record.after_change, "it is not given after a change")


# ── Logs ────────────────────────────────────────────────────────────────────────────────────────


def recorded(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    names = dict.fromkeys(made.log for made in ground.records(thing.record))
    logs = [Candidate("log", ground.office.logs[name]) for name in names if name in ground.office.logs]
    if trait.requirement:
        right = [log for log in logs if ground.meets(log, trait.requirement)]
        if logs and not right:
            return no(f"none of the logs it is recorded in says that it meets {trait.requirement}")
        logs = right
    return Answer(Verdict.MET, beside=tuple(logs)) if logs else no("it is recorded nowhere")


def kept(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    years, asked = thing.record.keep_years, trait.number or 0
    if years is None:
        return no("it does not say how long it is kept")
    return when(years >= asked, f"it is kept {quantities.show_number(years)} years, {asked} are asked for")


_MEASURED = {
    "temperature": Dimension.TEMPERATURE,
    "pressure": Dimension.PRESSURE,
    "duration": Dimension.TIME,
    "concentration": Dimension.CONCENTRATION,
}


def columns(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    lacking = [
        _in_words(needed) for needed in trait.needed if not any(_is(column, needed) for column in thing.record.columns)
    ]
    return when(not lacking, f"it has no column for {listed(lacking)}")


def _in_words(needed: Needed) -> str:
    said = needed.kind + (f" saying {listed(needed.saying, 'or')}" if needed.saying else "")
    bounds = [f"at least {quantities.show_number(needed.least)}"] if needed.least is not None else []
    bounds += [f"at most {quantities.show_number(needed.most)}"] if needed.most is not None else []
    bounds += [f"accepting “{needed.accept}”"] if needed.accept else []
    return said + (f" {listed(bounds)}" if bounds else " with limits" if needed.limited else "")


def _is(column: Column, needed: Needed) -> bool:
    if not _of_kind(column, needed.kind):
        return False
    if needed.saying and not any(_stands_in(word, f"{column.title} {column.name}") for word in needed.saying):
        return False
    if not needed.limited:
        return True
    limit = column.limit
    if limit is None:
        return False
    low = needed.least is None or (limit.least is not None and limit.least >= needed.least)
    high = needed.most is None or (limit.most is not None and limit.most <= needed.most)
    return low and high and needed.accept in ("", limit.accept)


def _of_kind(column: Column, kind: str) -> bool:
    if kind in _MEASURED:
        unit = quantities.unit(column.unit) if column.unit else None
        return unit is not None and unit.dimension is _MEASURED[kind]
    return kind in (column.type, column.unit)


# ── What is stated ──────────────────────────────────────────────────────────────────────────────

_DOCUMENTS = frozenset({"procedure", "log"})
_MACHINES = frozenset({"device", "program"})


def _programs(record: Any) -> list[Any]:
    return list(record.programs.values()) if isinstance(record, Device) else [record]


def _signals(record: Any) -> Iterator[str]:
    yield from (signal.word.value for signal in record.signals)
    if isinstance(record, Procedure):
        yield from (signal.word.value for step in record.steps() for signal in step.signals)


def _steps(record: Any) -> list[Step]:
    return list(record.steps()) if isinstance(record, Procedure) else [record]


def _asks(record: Any) -> bool:
    """Whether it asks a question whose no does not simply go on."""
    return any(
        check.otherwise is not None and (check.loses or not isinstance(check.otherwise, Proceed))
        for step in _steps(record)
        for check in step.checks
    )


def _figures(record: Any) -> bool:
    return bool(record.figures) or any(step.figures for step in _steps(record))


def _dated(record: Document) -> bool:
    return record.revision is not None and record.effective is not None


FEATURES: dict[str, tuple[frozenset[str], Callable[[Any], bool], str]] = {
    "owner": (_DOCUMENTS, lambda record: record.owner is not None, "no owner"),
    "approver": (_DOCUMENTS, lambda record: record.approver is not None, "no approver"),
    "number": (_DOCUMENTS, lambda record: bool(record.id), "no number"),
    "revision": (_DOCUMENTS, _dated, "no revision and date in force"),
    "review": (_DOCUMENTS, lambda record: record.review is not None, "no date of review"),
    "instructions": (
        frozenset({"device", "item", "supply"}), lambda record: bool(record.instructions), "no maker's instructions",
    ),
    "class": (frozenset({"item"}), lambda record: record.category is not None, "no class"),
    "registration": (frozenset({"supply"}), lambda record: bool(record.registration), "no registration"),
    "contact": (frozenset({"supply"}), lambda record: record.contact is not None, "no contact time"),
    "dilution": (frozenset({"supply"}), lambda record: record.dilution is not None, "no dilution in parts"),
    "strength": (
        frozenset({"supply"}), lambda record: bool(record.strength) or record.stock is not None, "no strength",
    ),
    "life": (
        frozenset({"supply"}), lambda record: record.single_use or record.use_within is not None,
        "no time to use it up",
    ),
    "place": (frozenset({"supply", "device", "task", "step"}), lambda record: record.area is not None, "no place"),
    "serial": (frozenset({"device"}), lambda record: bool(record.serial), "no serial number"),
    "kind": (frozenset({"device"}), lambda record: record.kind is not None, "no kind"),
    "programs": (frozenset({"device"}), lambda record: bool(record.programs), "no programs"),
    "exposure": (
        _MACHINES, lambda record: all(each.exposure is not None for each in _programs(record)),
        "no time and temperature",
    ),
    "drying": (_MACHINES, lambda record: all(each.drying is not None for each in _programs(record)), "no drying time"),
    "pressure": (_MACHINES, lambda record: all(each.pressure is not None for each in _programs(record)), "no pressure"),
    "trainer": (frozenset({"training"}), lambda record: bool(record.trainer), "no trainer"),
    "topics": (frozenset({"training"}), lambda record: bool(record.topics), "no topics"),
    "danger": (frozenset({"procedure", "step"}), lambda record: "danger" in _signals(record), "no danger"),
    "warning": (frozenset({"procedure", "step"}), lambda record: "warning" in _signals(record), "no warning"),
    "caution": (frozenset({"procedure", "step"}), lambda record: "caution" in _signals(record), "no caution"),
    "notice": (frozenset({"procedure", "step"}), lambda record: "notice" in _signals(record), "no notice"),
    "question": (frozenset({"procedure", "step"}), _asks, "no question whose no leads elsewhere"),
    "figure": (frozenset({"procedure", "step"}), _figures, "no figure"),
    "note": (
        frozenset({"procedure", "step", "task", "log", "training", "device", "supply", "item", "area", "role"}),
        lambda record: bool(record.notes), "no note",
    ),
    "citation": (
        frozenset({"procedure", "step", "task", "log", "training", "device", "program", "supply", "item"}),
        lambda record: bool(record.citations), "no citation",
    ),
}  # fmt: skip
"""What a thing can have: which things, how it is seen, and what is said when it is not there."""


def having(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    lacking = [
        listed([FEATURES[name][2] for name in group], "and")
        for group in trait.groups
        if not any(FEATURES[name][1](thing.record) for name in group)
    ]
    if not lacking:
        return YES
    timeless = thing.kind == "supply" and lacking == [FEATURES["contact"][2]]
    return no(f"it has {listed(lacking)}", f"no contact time {thing.name}" if timeless else "")


def citing(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    records = [thing.record, *(thing.record.steps() if isinstance(thing.record, Procedure) else ())]
    cited = {citation.source for record in records for citation in record.citations}
    known = ground.office.sources
    cited |= {known[name].authority for name in cited if name in known}
    wanted = trait.groups[0]
    return when(
        bool(cited.intersection(wanted)),
        f"it does not cite {listed([title(known, name) for name in wanted], 'or')}",
    )


# ── What is said ────────────────────────────────────────────────────────────────────────────────


def saying(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    texts = [text for text in said_of(thing.record) if text]
    found = any(says(phrase, text) for phrase in trait.texts for text in texts)
    return when(found, f"it does not say {listed([f'“{word}”' for word in trait.texts], 'or')}")


def _stands_in(word: str, text: str) -> bool:
    """Whether a word, or the beginning of one, stands in a text; capitals do not count."""
    if not (word.isascii() and text.isascii()):
        return re.search(rf"(?<!\w){re.escape(word)}", text, re.IGNORECASE) is not None
    word, text = word.lower(), text.lower()
    at = text.find(word)
    while at > 0 and (text[at - 1].isalnum() or text[at - 1] == "_"):
        at = text.find(word, at + 1)
    return at >= 0
