"""What a requirement asks of the office's texts: sentences of a thing, what it is chosen by, and what must hold."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from sopc.source import Span
from sopc.trade.quantities import Quantity

Groups = tuple[tuple[str, ...], ...]
"""Names of which each group asks for one: gown and (eyewear or face_shield)."""


@dataclass(frozen=True, slots=True)
class Needed:
    """A column that a log must have."""

    kind: str  # date, initials, temperature, …; or a unit as written
    saying: tuple[str, ...]  # one of these stands in its title; empty: any title
    limited: bool  # it must accept only part of what could be written
    least: Fraction | None
    most: Fraction | None
    accept: str = ""  # the one choice that is in order


@dataclass(frozen=True, slots=True)
class Trait:
    """One thing that must be so, or that a thing is chosen by. `kind` is the grammar's name for it."""

    kind: str
    text: str  # as written
    span: Span
    groups: Groups = ()  # names: actions, equipment, conditions, sources, devices; or features
    requirement: str = ""  # the requirement that must be met, `this` resolved
    word: str = ""  # trained, two, role; least, most; patient, load; week, month; directly, start, visit; a property
    number: int | None = None  # days, years
    quantity: Quantity | None = None
    texts: tuple[str, ...] = ()
    needed: tuple[Needed, ...] = ()
    unless: tuple[str, ...] = ()  # actions whose steps may lift a limit
    parts: Fraction | None = None  # of the diluent to one of the concentrate


@dataclass(frozen=True, slots=True)
class Thing:
    """Things of one kind, chosen by what they are, do or meet."""

    kind: str  # procedure, step, task, log, training, device, program, supply, item, area, role, source, phone, …
    which: tuple[Trait, ...]
    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence. `kind` is there_is, each_one, for_each, none_such, in_order or along.

    `must_exist`: that there is no such thing leaves it open. `otherwise`: sentences of which one is enough.
    """

    kind: str
    text: str
    span: Span
    subject: Thing | None = None
    other: Thing | None = None  # for each subject one of these
    must_exist: bool = True
    traits: tuple[Trait, ...] = ()
    order: Groups = ()  # actions, each group before the next; steps of `procedure`, each group then the next
    procedure: str = ""
    otherwise: tuple[Sentence, ...] = ()
