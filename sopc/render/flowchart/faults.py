"""Checks finished chart pages for what a reader would trip over: overlaps, lines through text, lost letters."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from math import hypot

from sopc.render.flowchart.chart import Chart, Symbol
from sopc.render.flowchart.scene import Connector, Flow, Outline, Rect, Role, Scene, Text

_TOUCH = 0.6

Point = tuple[float, float]


def faults(scenes: Sequence[Scene]) -> list[str]:
    """Return a sentence for every fault on the pages of one chart; an empty list means none.

    Per page: 1 nothing lies outside the margins; 2 symbols, panels and connectors do not overlap; 3 no flow
    line passes through one; 4 none passes through a text; 5 texts do not overlap; 6 a step's text lies inside
    its symbol or panel; 7 lines of different flows do not lie on each other unless they lead to one symbol.
    Over all pages: 8 every exit of a decision with several is labelled; 9 every connector letter has exactly
    one entry and at least one exit, and their page numbers agree.
    """
    found: list[str] = []
    for scene in scenes:
        for check in (_outside, _overlaps, _through_shapes, _through_texts, _texts_meet, _text_out, _on_line):
            found += [f"page {scene.page}: {fault}" for fault in check(scene)]
    found += _unlabelled(scenes)
    found += _unmatched(scenes)
    return found


def missing(chart: Chart, scenes: Sequence[Scene]) -> list[str]:
    """Return a sentence for every symbol or flow line of the chart that is not drawn exactly once."""
    drawn = [outline.node for scene in scenes for outline in scene.outlines]
    lines = [flow.edge for scene in scenes for flow in scene.flows if flow.edge[0]]
    found = [f"{node.id} is drawn {drawn.count(node.id)} times" for node in chart.nodes if drawn.count(node.id) != 1]
    for edge in chart.edges:
        times = lines.count((edge.source, edge.target, edge.label))
        if times != 1:
            found.append(f"the line {edge.source} to {edge.target} is drawn {times} times")
    return found


def _outside(scene: Scene) -> Iterator[str]:
    room = scene.bounds.shrunk(-_TOUCH)
    for outline in scene.outlines:
        if not room.holds(outline.rect):
            yield f"{outline.node} lies outside the margins"
    for connector in scene.connectors:
        if not room.holds(connector.rect):
            yield f"connector {connector.letter} lies outside the margins"
    for text in scene.texts:
        if not room.holds(text.box):
            yield f"text {text.content!r} lies outside the margins"
    for flow in scene.flows:
        for x, y in flow.points:
            if not room.holds(Rect(x, y, x, y)):
                yield f"the line {_named(flow)} lies outside the margins"


def _solids(scene: Scene) -> list[tuple[str, Rect]]:
    solids = [(outline.node, outline.rect) for outline in scene.outlines]
    solids += [(f"{panel.signal} panel of {panel.node}", panel.rect) for panel in scene.panels]
    return solids + [(f"connector {c.letter}", c.rect) for c in scene.connectors]


def _overlaps(scene: Scene) -> Iterator[str]:
    for (one, rect), (other, second) in combinations(_solids(scene), 2):
        if rect.shrunk(_TOUCH / 2).meets(second.shrunk(_TOUCH / 2)):
            yield f"{one} and {other} overlap"


def _through_shapes(scene: Scene) -> Iterator[str]:
    diamonds = {o.node: o.rect for o in scene.outlines if o.shape == Symbol.DECISION.value}
    for flow in scene.flows:
        for start, end in pairwise(flow.points):
            segment = _segment(start, end)
            for name, rect in _solids(scene):
                if not segment.meets(rect.shrunk(_TOUCH)):
                    continue
                if name in diamonds and not _enters_diamond(segment, rect.shrunk(_TOUCH)):
                    continue
                if _leaves_uneven_edge(scene, flow, start, name):
                    continue
                yield f"the line {_named(flow)} runs through {name}"


def _leaves_uneven_edge(scene: Scene, flow: Flow, start: Point, name: str) -> bool:
    """A manual operation and a document do not fill their bounds where a line leaves them."""
    return any(
        outline.node == name == flow.edge[0]
        and outline.shape in (Symbol.MANUAL_OPERATION.value, Symbol.DOCUMENT.value)
        and start == flow.points[0]
        for outline in scene.outlines
    )


def _segment(start: Point, end: Point) -> Rect:
    return Rect(min(start[0], end[0]), min(start[1], end[1]), max(start[0], end[0]), max(start[1], end[1]))


def _enters_diamond(segment: Rect, rect: Rect) -> bool:
    """Tell whether a level or upright segment goes inside: it does if its point nearest the middle does."""
    x, y = rect.centre
    near_x = min(max(x, segment.left), segment.right)
    near_y = min(max(y, segment.top), segment.bottom)
    return abs(near_x - x) / (rect.width / 2) + abs(near_y - y) / (rect.height / 2) < 0.99


def _through_texts(scene: Scene) -> Iterator[str]:
    for flow in scene.flows:
        for start, end in pairwise(flow.points):
            segment = _segment(start, end)
            for text in scene.texts:
                if segment.meets(text.box.shrunk(0.2)):
                    yield f"the line {_named(flow)} runs through the text {text.content!r}"


def _texts_meet(scene: Scene) -> Iterator[str]:
    for one, other in combinations(scene.texts, 2):
        if one.box.shrunk(_TOUCH / 2).meets(other.box.shrunk(_TOUCH / 2)):
            yield f"the texts {one.content!r} and {other.content!r} overlap"
    for text in scene.texts:
        if text.role is not Role.STEP:
            yield from _text_on_solid(scene, text)


def _text_on_solid(scene: Scene, text: Text) -> Iterator[str]:
    diamonds = {o.node for o in scene.outlines if o.shape == Symbol.DECISION.value}
    for name, rect in _solids(scene):
        if not text.box.shrunk(0.2).meets(rect):
            continue
        if name not in diamonds or _enters_diamond(text.box.shrunk(0.2), rect):
            yield f"the text {text.content!r} lies on {name}"


def _text_out(scene: Scene) -> Iterator[str]:
    homes: dict[str, list[Rect]] = {}
    shapes: dict[str, Outline] = {}
    for outline in scene.outlines:
        homes.setdefault(outline.node, []).append(outline.rect)
        shapes[outline.node] = outline
    for panel in scene.panels:
        homes.setdefault(panel.node, []).append(panel.rect)
    for text in scene.texts:
        if text.role is not Role.STEP:
            continue
        shape = shapes.get(text.owner)
        if shape is not None and shape.shape == Symbol.DECISION.value and text.anchor == "end":
            continue
        if not any(rect.holds(text.box.shrunk(_TOUCH)) for rect in homes[text.owner]):
            yield f"the text {text.content!r} stands out of {text.owner}"
        elif shape is not None and _corner_out(shape, text):
            yield f"the text {text.content!r} cuts the edge of {text.owner}"


def _corner_out(outline: Outline, text: Text) -> bool:
    box = text.box.shrunk(_TOUCH)
    if not outline.rect.meets(box):
        return False
    x, y = outline.rect.centre
    away_x = max(abs(box.left - x), abs(box.right - x))
    away_y = max(abs(box.top - y), abs(box.bottom - y))
    if outline.shape == Symbol.PREDEFINED_PROCESS.value:
        return away_x > outline.rect.width / 2 - outline.inset
    if outline.shape == Symbol.DECISION.value:
        return away_x / (outline.rect.width / 2) + away_y / (outline.rect.height / 2) > 1.01
    into_x = away_x - (outline.rect.width / 2 - outline.inset)
    into_y = away_y - (outline.rect.height / 2 - outline.inset)
    return into_x > 0 and into_y > 0 and hypot(into_x, into_y) > outline.inset


def _on_line(scene: Scene) -> Iterator[str]:
    for one, other in combinations(scene.flows, 2):
        if one.edge[1] == other.edge[1]:
            continue
        if any(_lie_together(first, second) for first in _segments(one) for second in _segments(other)):
            yield f"the lines {_named(one)} and {_named(other)} lie on each other"


def _segments(flow: Flow) -> Iterable[Rect]:
    return [_segment(start, end) for start, end in pairwise(flow.points)]


def _lie_together(one: Rect, other: Rect) -> bool:
    """Tell whether two segments of the same direction share more than a point."""
    long_x = min(one.right, other.right) - max(one.left, other.left)
    long_y = min(one.bottom, other.bottom) - max(one.top, other.top)
    level = one.height < 0.01 and other.height < 0.01 and abs(one.top - other.top) < 1
    upright = one.width < 0.01 and other.width < 0.01 and abs(one.left - other.left) < 1
    return (level and long_x > 1) or (upright and long_y > 1)


def _unlabelled(scenes: Sequence[Scene]) -> list[str]:
    decisions = {o.node for s in scenes for o in s.outlines if o.shape == Symbol.DECISION.value}
    labelled = {text.edge for s in scenes for text in s.texts if text.edge}
    exits = [flow.edge for s in scenes for flow in s.flows if flow.edge[0] in decisions]
    several = {edge[0] for edge in exits if sum(other[0] == edge[0] for other in exits) > 1}
    return [
        f"the exit of {edge[0]} to {edge[1]} has no label"
        for edge in exits
        if edge[0] in several and edge not in labelled
    ]


def _unmatched(scenes: Sequence[Scene]) -> list[str]:
    found: list[str] = []
    places: dict[str, list[tuple[int, Connector]]] = {}
    for scene in scenes:
        for connector in scene.connectors:
            places.setdefault(connector.letter, []).append((scene.page, connector))
    for letter, members in sorted(places.items()):
        entries = [(page, c) for page, c in members if c.entry]
        exits = [(page, c) for page, c in members if not c.entry]
        if len(entries) != 1 or not exits:
            found.append(f"connector {letter} has {len(entries)} entries and {len(exits)} exits")
            continue
        page, entry = entries[0]
        if any(c.pages != (page,) for _, c in exits):
            found.append(f"an exit {letter} names another page than {page}")
        if set(entry.pages) != {from_page for from_page, _ in exits}:
            found.append(f"the entry {letter} names other pages than its exits are on")
    return found


def _named(flow: Flow) -> str:
    return f"{flow.edge[0] or flow.edge[2]} to {flow.edge[1]}"
