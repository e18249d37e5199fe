"""The plain data a flowchart is drawn from, and what drawing it gives back."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from sopc.render.flowchart.scene import Scene

POINTS_PER_MM = 72 / 25.4
LEAST_POINTS = 8.0
"""The smallest type on any chart: what is read with the paper in hand, from 40 cm (ISO 9241-303: 16 minutes of arc)."""


class Symbol(Enum):
    """Flowchart symbols by their names in ISO 5807:1985; DELAY is from work study and gets a legend."""

    TERMINATOR = "terminator"
    PROCESS = "process"
    PREDEFINED_PROCESS = "predefined process"
    DECISION = "decision"
    DOCUMENT = "document"
    MANUAL_OPERATION = "manual operation"
    PREPARATION = "preparation"
    PARALLEL_MODE = "parallel mode"
    DELAY = "delay"


class Signal(Enum):
    """Signal words of ANSI Z535.6, the gravest first."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"


class EdgeKind(Enum):
    """What a flow line means; it decides on which side of its symbol the line leaves.

    MAIN goes straight down, EXCEPTION and SIDE leave aside, LOOP goes back up.
    """

    MAIN = "main"
    EXCEPTION = "exception"
    SIDE = "side"
    LOOP = "loop"


class Profile(Enum):
    """How signal panels are inked: COLOUR fills their heads, MONO keeps them white with black rules."""

    COLOUR = "colour"
    MONO = "mono"


@dataclass(frozen=True, slots=True)
class Caution:
    """One safety message, drawn in a panel on top of its symbol."""

    signal: Signal
    text: str


@dataclass(frozen=True, slots=True)
class Node:
    """One symbol with its text; `who` and `time` share a smaller line under it, notes follow them."""

    id: str
    symbol: Symbol
    text: str = ""
    who: str = ""
    time: str = ""
    number: str = ""
    cautions: tuple[Caution, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Edge:
    """One flow line; each exit of a decision needs a label."""

    source: str
    target: str
    label: str = ""
    kind: EdgeKind = EdgeKind.MAIN


@dataclass(frozen=True, slots=True)
class Chart:
    """A whole flowchart; the first node is where it begins.

    A flow line given twice, with the same ends and label, is one line. `header` lines stand over the flow of the
    first page, as large as the smaller text of a step, with `cautions` that hold for all steps across the page under
    them; `footer` lines stand at the foot of every page.
    """

    id: str
    title: str
    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]
    revision: str = ""
    header: tuple[str, ...] = ()
    footer: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()

    def __post_init__(self) -> None:
        names = {node.id for node in self.nodes}
        if not names or len(names) < len(self.nodes):
            raise ValueError("a chart needs nodes, and each needs an id of its own")
        for edge in self.edges:
            if not {edge.source, edge.target} <= names:
                raise ValueError(f"flow line from {edge.source!r} to {edge.target!r} has an end that is no node")
        distinct = {(edge.source, edge.target, edge.label): edge for edge in reversed(self.edges)}
        if len(distinct) < len(self.edges):
            object.__setattr__(self, "edges", tuple(reversed(distinct.values())))


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet and its margins in millimetres; `line` is the width of rules and flow lines in points."""

    name: str
    width: float
    height: float
    margin: float = 12.0
    line: float = 1.0

    def landscape(self) -> Paper:
        """Return the sheet turned."""
        return Paper(self.name, self.height, self.width, self.margin, self.line)


PAPERS = {
    "a4": Paper("a4", 210.0, 297.0),
    "letter": Paper("letter", 215.9, 279.4),
    "a3": Paper("a3", 297.0, 420.0, line=1.4),
    "tabloid": Paper("tabloid", 279.4, 431.8, line=1.4),
}
"""Sheets by name; sizes of ISO 216 and ANSI/ASME Y14.1. Office printers leave about 5 mm unprinted."""


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """Sizes of type in points: step text, the who-and-time line, the title, and page identification."""

    step: float
    detail: float
    title: float
    small: float = 9.0

    @classmethod
    def for_steps(cls, step_points: float, detail_points: float | None = None) -> TypeSizes:
        """Return sizes that go with a size of step text."""
        detail = detail_points or max(7.0, round(step_points * 0.72, 1))
        return cls(step_points, detail, round(step_points * 1.25, 1), max(LEAST_POINTS, round(step_points * 0.4, 1)))


@dataclass(frozen=True, slots=True)
class DoesNotFit:
    """Why a chart cannot be drawn at the size asked for: a fault of the protocol, not of the program.

    `node` is the id of the step that is too large, or empty when it is the chart's breadth as a whole; `reason`
    is a whole sentence that names the step by its text.
    """

    node: str
    reason: str
    needed_mm: float
    available_mm: float


@dataclass(frozen=True, slots=True)
class Drawing:
    """One finished page: its size in millimetres, its SVG text, and the scene for checking."""

    width_mm: float
    height_mm: float
    svg: str
    page: int
    pages: int
    scene: Scene = field(repr=False)
