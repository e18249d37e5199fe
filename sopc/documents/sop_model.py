"""The page model of a procedure on paper: plain texts, already worded, in reading order."""

from __future__ import annotations

from dataclasses import dataclass

from sopc.documents.frame import Frame


@dataclass(frozen=True, slots=True)
class Panel:
    """A signal panel. `level` is its style; the triangle stands for injury only."""

    level: str  # danger, warning, caution, notice
    word: str
    triangle: bool
    text: str  # Markdown


@dataclass(frozen=True, slots=True)
class Fact:
    label: str
    value: str


@dataclass(frozen=True, slots=True)
class Clock:
    """A box for a time of day, written by pen, with what it means."""

    label: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class LimitLine:
    """A time limit at the step where it ends: the order, when it is lifted, why, and boxes for times."""

    order: str
    lifted: str
    because: str
    clocks: tuple[Clock, ...]


@dataclass(frozen=True, slots=True)
class CheckLine:
    question: str
    on_no: str
    passes: tuple[int, ...]  # one box for each time the steps may be done again


@dataclass(frozen=True, slots=True)
class OfficeValue:
    """Where the office departs from its pack: both wordings and why."""

    office: str
    pack: str
    because: str


@dataclass(frozen=True, slots=True)
class Picture:
    file: str
    caption: str


@dataclass(frozen=True, slots=True)
class StepBlock:
    kind: str  # "step"
    number: str
    inner: bool  # inside a way or a branch, where numbers are longer
    title: str
    only: str  # the condition under which it is done at all
    panels: tuple[Panel, ...]
    facts: tuple[tuple[Fact, ...], ...]  # rows of one or two
    limits: tuple[LimitLine, ...]
    clocks: tuple[Clock, ...]
    checks: tuple[CheckLine, ...]
    records: tuple[str, ...]
    onward: str
    notes: tuple[str, ...]  # Markdown
    cited: str
    pictures: tuple[Picture, ...]
    second_person: str
    office_values: tuple[OfficeValue, ...]


@dataclass(frozen=True, slots=True)
class WayBlock:
    letter: str
    title: str
    when: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class ChoiceBlock:
    kind: str  # "choice"
    question: str
    ways: tuple[WayBlock, ...]


@dataclass(frozen=True, slots=True)
class TogetherBlock:
    """Branches side by side. `rows` holds the steps in pairs when there are two plain branches, else nothing."""

    kind: str  # "together"
    branches: tuple[WayBlock, ...]
    rows: tuple[tuple[tuple[StepBlock, ...], tuple[StepBlock, ...]], ...]


Block = StepBlock | ChoiceBlock | TogetherBlock


@dataclass(frozen=True, slots=True)
class Material:
    name: str
    mix: str
    contact: str
    keeps: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LimitRow:
    order: str
    lifted: str
    why: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    number: str
    title: str
    places: str
    marks: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    revision: str
    effective: str
    what: str


@dataclass(frozen=True, slots=True)
class Signer:
    task: str  # Prepared by, Approved by
    role: str


@dataclass(frozen=True, slots=True)
class SopPage:
    """One procedure, ready for the template."""

    frame: Frame
    control: tuple[Fact, ...]
    signers: tuple[Signer, ...]
    changed: str
    changes: tuple[ChangeRow, ...]
    brief: tuple[tuple[str, tuple[str, ...]], ...]  # label, paragraphs in Markdown
    wear: tuple[str, ...]  # protective equipment in the order of putting on
    materials: tuple[Material, ...]
    also: str  # materials that need no more than their name
    panels: tuple[Panel, ...]
    pictures: tuple[Picture, ...]
    clocks: tuple[Clock, ...]  # for the start of the procedure, where a limit counts from it
    blocks: tuple[Block, ...]
    limits: tuple[LimitRow, ...]
    timing_svg: str
    timing_text: str
    flowcharts: tuple[str, ...]
    notes: tuple[str, ...]
    office_values: tuple[OfficeValue, ...]
    sources: tuple[SourceRow, ...]
    meets: tuple[tuple[str, str], ...]  # requirement, its title
    changes_last: bool = False  # under the flowchart, where there is room, else before it
