"""What stands on one chart page, as plain shapes in points from the top left corner."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from sopc.render import fonts
from sopc.render.fonts import Weight


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its left, top, right and bottom in points, y growing downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def centre(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def moved(self, x: float, y: float) -> Rect:
        """Return the rectangle shifted."""
        return Rect(self.left + x, self.top + y, self.right + x, self.bottom + y)

    def shrunk(self, by: float) -> Rect:
        """Return the rectangle with every side moved inwards."""
        return Rect(self.left + by, self.top + by, self.right - by, self.bottom - by)

    def meets(self, other: Rect) -> bool:
        """Tell whether the insides overlap."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def holds(self, other: Rect) -> bool:
        """Tell whether the other lies wholly inside."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and self.right >= other.right
            and self.bottom >= other.bottom
        )


class Role(Enum):
    """What a text on the page is for."""

    STEP = "step"
    LABEL = "label"
    CONNECTOR = "connector"
    FURNITURE = "furniture"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text at its base line; `anchor` is start, middle or end as in SVG; `owner` is a node id."""

    x: float
    y: float
    content: str
    points: float
    weight: Weight = Weight.REGULAR
    anchor: str = "start"
    owner: str = ""
    role: Role = Role.STEP
    edge: tuple[str, str, str] | None = None
    colour: str = "#000000"

    @property
    def box(self) -> Rect:
        """The ink of the line, from cap height to below the base line."""
        width = fonts.text_width(self.content, self.points, self.weight)
        shift = {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        left = self.x - shift
        return Rect(left, self.y - 0.7 * self.points, left + width, self.y + 0.2 * self.points)

    def moved(self, x: float, y: float) -> Text:
        """Return the text shifted."""
        return Text(
            self.x + x,
            self.y + y,
            self.content,
            self.points,
            self.weight,
            self.anchor,
            self.owner,
            self.role,
            self.edge,
            self.colour,
        )


@dataclass(frozen=True, slots=True)
class Outline:
    """The symbol of a node; `shape` is the name of its ISO 5807 symbol.

    `inset` is the radius of a terminator's ends, or how far in a predefined process has its upright bars.
    """

    node: str
    shape: str
    rect: Rect
    inset: float = 0.0

    def moved(self, x: float, y: float) -> Outline:
        """Return the symbol shifted."""
        return Outline(self.node, self.shape, self.rect.moved(x, y), self.inset)


@dataclass(frozen=True, slots=True)
class Panel:
    """A safety panel: the strip with the signal word on top, the message under it."""

    node: str
    signal: str
    rect: Rect
    head: float


@dataclass(frozen=True, slots=True)
class Flow:
    """One flow line as a chain of right-angled points, with an arrowhead at its last point."""

    edge: tuple[str, str, str]
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Connector:
    """A circle with a letter where the flow leaves for, or comes from, other pages."""

    letter: str
    x: float
    y: float
    radius: float
    entry: bool
    pages: tuple[int, ...]
    node: str

    @property
    def rect(self) -> Rect:
        """The square round the circle."""
        r = self.radius
        return Rect(self.x - r, self.y - r, self.x + r, self.y + r)


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight rule of page furniture."""

    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Scene:
    """All that one page shows; `bounds` is the area inside the margins."""

    width: float
    height: float
    bounds: Rect
    page: int
    outlines: tuple[Outline, ...] = ()
    panels: tuple[Panel, ...] = ()
    texts: tuple[Text, ...] = ()
    flows: tuple[Flow, ...] = ()
    connectors: tuple[Connector, ...] = ()
    rules: tuple[Rule, ...] = ()
    legend: tuple[Outline, ...] = field(default=())
