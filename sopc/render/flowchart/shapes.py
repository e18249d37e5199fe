"""Sets the text of one step into its symbol and panels, and says how large they come out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from sopc.render import fonts
from sopc.render.flowchart.chart import Caution, Node, Signal, Symbol, TypeSizes
from sopc.render.flowchart.scene import Outline, Panel, Rect, Text
from sopc.render.fonts import LINE_PITCH, Weight

_STEP_WEIGHT = Weight.SEMIBOLD
DIAMOND_SHARE = 0.86
_ROUND = 1.55
_BAR = 0.38
_SEPARATOR = "  \u00b7  "


@dataclass(frozen=True, slots=True)
class Unit:
    """A step as set: its symbol and the panels on top of it, in points from the unit's top left corner."""

    node: Node
    width: float
    height: float
    outline: Outline
    panels: tuple[Panel, ...]
    texts: tuple[Text, ...]
    widest_word: float

    @property
    def fits(self) -> bool:
        """Tell whether every word stands inside without being cut."""
        return self.widest_word <= 0

    @property
    def foot(self) -> float:
        """Where the flow line begins below: within the bounds of a document, whose lower edge is waved."""
        hidden = 0.1 * self.outline.rect.height if self.node.symbol is Symbol.DOCUMENT else 0.0
        return self.height - hidden

    def side_exit(self, right: bool, second: bool) -> tuple[float, float]:
        """Return where a flow line leaves sideways; a diamond has a second place on its lower edge."""
        rect = self.outline.rect
        middle = (rect.top + rect.bottom) / 2
        edge = rect.right if right else rect.left
        way = 1 if right else -1
        if second:
            # Far enough down for a connector at each of the two exits, still on the slanted edge.
            return (rect.left + rect.right) / 2 + way * rect.width / 6, middle + rect.height / 3
        inset = self.slant / 2 if self.node.symbol is Symbol.MANUAL_OPERATION else 0.0
        return edge - way * inset, middle

    @property
    def slant(self) -> float:
        """How far the slanted sides of a manual operation or a preparation run in, in points."""
        return slant_of(self.outline.rect)


def slant_of(rect: Rect) -> float:
    """Return the run-in of slanted sides for a symbol of this size."""
    return min(rect.height * 0.28, rect.width * 0.12)


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    points: float
    weight: Weight


@lru_cache(maxsize=4096)
def set_unit(node: Node, width: float, sizes: TypeSizes, crowded: bool = False, share: float = DIAMOND_SHARE) -> Unit:
    """Set a step into a column of `width` points.

    `crowded` makes a diamond tall enough for two exits on one side; `share` is how much of the column's
    width it may take.
    """
    em = sizes.step
    panels, texts, top, excess = set_panels(node.cautions, node.id, width, sizes)
    if node.symbol is Symbol.PARALLEL_MODE:
        rect = Rect(0, top, width, top + 0.3 * em)
        return Unit(node, width, rect.bottom, _outline(node, rect, em), panels, texts, excess)
    if node.symbol is Symbol.DECISION:
        rect, lines, too_wide = _diamond(node, width, sizes, crowded, share)
        texts += _centred(node.id, lines, rect.moved(0, top))
        texts += _corner_number(node, rect.moved(0, top), em)
    elif node.symbol is Symbol.TERMINATOR:
        rect, lines, too_wide = _stadium(node, width, sizes)
        texts += _centred(node.id, lines, rect.moved(0, top))
    else:
        rect, inside, too_wide = _box(node, width, sizes)
        texts += tuple(text.moved(0, top) for text in inside)
    rect = rect.moved(0, top)
    return Unit(node, width, rect.bottom, _outline(node, rect, em), panels, texts, max(excess, too_wide))


def _outline(node: Node, rect: Rect, em: float) -> Outline:
    """Round the ends of a terminator fully up to two lines of text; beyond that its corners would cut the text."""
    inset = 0.0
    if node.symbol is Symbol.TERMINATOR:
        inset = min(rect.height / 2, _ROUND * em)
    elif node.symbol is Symbol.PREDEFINED_PROCESS:
        inset = _BAR * em
    return Outline(node.id, node.symbol.value, rect, inset)


def set_panels(
    cautions: Sequence[Caution], owner: str, width: float, sizes: TypeSizes, points: float = 0.0
) -> tuple[tuple[Panel, ...], tuple[Text, ...], float, float]:
    """Set safety messages one under the other, in `points` if not as large as a step.

    Also return their height and by how much a word is too broad.
    """
    size, weight = (points, _STEP_WEIGHT) if points else (sizes.step, Weight.REGULAR)
    em = sizes.step
    panels: list[Panel] = []
    texts: list[Text] = []
    top = 0.0
    excess = 0.0
    pad = 0.45 * em
    for caution in cautions:
        head = 1.32 * em
        bar = caution.signal is Signal.NOTICE
        inner = width - 2 * pad - (0.2 * em if bar else 0.0)
        left = pad + (0.2 * em if bar else 0.0)
        lines = fonts.balanced(caution.text, size, weight, inner)
        excess = max(excess, fonts.longest_word(caution.text, size, weight) - inner)
        height = head + 0.2 * em + len(lines) * LINE_PITCH * size + 0.28 * em
        word_left = left if bar else left + 1.32 * em
        texts.append(Text(word_left, top + 0.98 * em, caution.signal.value, em * 0.92, Weight.BOLD, owner=owner))
        for index, line in enumerate(lines):
            base = top + head + 0.2 * em + (0.95 + index * LINE_PITCH) * size
            texts.append(Text(left, base, line, size, weight, owner=owner))
        panels.append(Panel(owner, caution.signal.value, Rect(0, top, width, top + height), head))
        top += height
    return tuple(panels), tuple(texts), top, excess


def _detail(node: Node) -> str:
    return _SEPARATOR.join(
        part.replace(" ", "\u00a0") if len(part) < 14 else part for part in (node.who, node.time) if part
    )


def _box(node: Node, width: float, sizes: TypeSizes) -> tuple[Rect, tuple[Text, ...], float]:
    """Set a box-like symbol: hanging number, step text flush left, then who, time and notes."""
    em = sizes.step
    height = 0.0
    # The run-in of slanted and rounded sides depends on the height, the height on the run-in.
    for _ in range(3):
        left, right = _insets(node.symbol, width, height, em)
        texts, used, excess = _column(node, left, width - left - right, sizes)
        height = used + _foot(node.symbol, used)
    return Rect(0, 0, width, height), texts, excess


def _insets(symbol: Symbol, width: float, height: float, em: float) -> tuple[float, float]:
    pad = 0.5 * em
    slant = slant_of(Rect(0, 0, width, height))
    if symbol is Symbol.PREDEFINED_PROCESS:
        return pad + _BAR * em, pad + _BAR * em
    if symbol is Symbol.MANUAL_OPERATION:
        return pad * 0.7 + slant, pad * 0.7 + slant
    if symbol is Symbol.PREPARATION:
        return pad * 0.5 + slant, pad * 0.5 + slant
    if symbol is Symbol.DELAY:
        return pad, max(pad, 0.3 * min(height, 4 * em))
    return pad, pad


def _foot(symbol: Symbol, used: float) -> float:
    """Extra depth for the wave under a document."""
    return 0.14 * used if symbol is Symbol.DOCUMENT else 0.0


def _column(node: Node, left: float, width: float, sizes: TypeSizes) -> tuple[tuple[Text, ...], float, float]:
    em = sizes.step
    hang = fonts.text_width(node.number, em, Weight.BOLD) + 0.5 * em if node.number else 0.0
    x, inner = left + hang, width - hang
    texts: list[Text] = []
    y = 0.36 * em
    if node.number:
        texts.append(Text(left, y + 0.92 * em, node.number, em, Weight.BOLD, owner=node.id))
    excess = 0.0
    blocks = [(node.text, sizes.step, _STEP_WEIGHT), (_detail(node), sizes.detail, Weight.REGULAR)]
    blocks += [(note, sizes.detail, Weight.REGULAR) for note in node.notes]
    for text, points, weight in blocks:
        if not text:
            continue
        excess = max(excess, fonts.longest_word(text, points, weight) - inner)
        if points != sizes.step:
            y += 0.1 * em
        for line in fonts.balanced(text, points, weight, inner):
            texts.append(Text(x, y + 0.92 * points, line, points, weight, owner=node.id))
            y += LINE_PITCH * points
    return tuple(texts), y + 0.3 * em, excess


def _stadium(node: Node, width: float, sizes: TypeSizes) -> tuple[Rect, list[_Line], float]:
    em = sizes.step
    inner = width - 1.6 * em
    blocks = [(node.text, em, _STEP_WEIGHT), (_detail(node), sizes.detail, Weight.REGULAR)]
    blocks += [(note, sizes.detail, _STEP_WEIGHT) for note in node.notes]
    lines = [
        _Line(line, points, weight)
        for text, points, weight in blocks
        if text or points == em
        for line in fonts.balanced(text, points, weight, inner)
    ]
    height = sum(line.points * LINE_PITCH for line in lines) + 0.62 * em
    widest = max(fonts.text_width(line.text, line.points, line.weight) for line in lines)
    breadth = min(width, max(widest + 1.6 * em, 7 * em))
    left = (width - breadth) / 2
    excess = max(fonts.longest_word(text, points, weight) for text, points, weight in blocks) - inner
    return Rect(left, 0, left + breadth, height), lines, excess


def _diamond(
    node: Node, width: float, sizes: TypeSizes, crowded: bool, share: float
) -> tuple[Rect, list[_Line], float]:
    """Find the flattest diamond that holds the text; a line may be as long as the diamond is wide there."""
    em = sizes.step
    breadth = width * share
    detail = _detail(node)
    height = (7.2 if crowded else 3.0) * em
    left = (width - breadth) / 2
    while height < 16 * em:
        for count in range(1, 9):
            lines = _fill_diamond(node.text, detail, sizes, breadth, height, count)
            if lines is not None:
                return Rect(left, 0, left + breadth, height), lines, 0.0
        height += 0.2 * em
    lines = [_Line(text, em, _STEP_WEIGHT) for text in fonts.wrap(node.text, em, _STEP_WEIGHT, breadth / 2)]
    return Rect(left, 0, left + breadth, height), lines, max(1.0, em)


def _corner_number(node: Node, rect: Rect, em: float) -> tuple[Text, ...]:
    """Put a decision's number outside its upper left edge, close to it and clear of the corner's label."""
    if not node.number:
        return ()
    base = 0.8 * em
    edge = (rect.left + rect.right) / 2 - rect.width * (base / rect.height)
    return (Text(edge - 0.35 * em, rect.top + base, node.number, em, Weight.BOLD, "end", node.id),)


def _fill_diamond(
    text: str, detail: str, sizes: TypeSizes, breadth: float, height: float, count: int
) -> list[_Line] | None:
    em = sizes.step
    depth = count * LINE_PITCH * em + (LINE_PITCH * sizes.detail if detail else 0.0)
    if depth > height * 0.9:
        return None
    rest = text
    lines: list[_Line] = []
    y = -depth / 2
    for index in range(count):
        room = _chord(breadth, height, y + 0.2 * em, y + 1.12 * em) - 0.8 * em
        pieces = fonts.wrap(rest, em, _STEP_WEIGHT, room) if room > em else []
        if not pieces or fonts.text_width(pieces[0], em, _STEP_WEIGHT) > room or _cut_word(rest, pieces[0]):
            return None
        lines.append(_Line(pieces[0], em, _STEP_WEIGHT))
        rest = rest.lstrip(" ")[len(pieces[0]) :].lstrip(" \n")
        if not rest and index + 1 < count:
            return None
        y += LINE_PITCH * em
    if rest:
        return None
    if detail:
        room = _chord(breadth, height, y + 0.2 * sizes.detail, y + 1.12 * sizes.detail) - 0.6 * em
        if fonts.text_width(detail, sizes.detail, Weight.REGULAR) > room:
            return None
        lines.append(_Line(detail, sizes.detail, Weight.REGULAR))
    return lines


def _cut_word(text: str, head: str) -> bool:
    """Tell whether taking `head` off the text would cut a word between letters."""
    after = text.lstrip(" ")[len(head) :]
    return bool(after) and after[0] not in " \n" and head[-1] not in "-\u2013\u2014/"


def _chord(breadth: float, height: float, top: float, bottom: float) -> float:
    """Return how wide a diamond is over the whole of a row, heights measured from its middle."""
    away = max(abs(top), abs(bottom))
    return max(0.0, breadth * (1 - 2 * away / height))


def _centred(owner: str, lines: list[_Line], rect: Rect) -> tuple[Text, ...]:
    x, middle = rect.centre
    y = middle - sum(line.points * LINE_PITCH for line in lines) / 2
    texts = []
    for line in lines:
        texts.append(Text(x, y + 0.92 * line.points, line.text, line.points, line.weight, "middle", owner))
        y += line.points * LINE_PITCH
    return tuple(texts)
