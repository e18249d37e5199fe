"""The page check sees each kind of fault that would mislead a reader."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from sopc.render.flowchart import PAPERS, DoesNotFit, TypeSizes, draw
from sopc.render.flowchart.faults import faults, missing
from sopc.render.flowchart.scene import Flow, Rect, Role, Scene
from tests.render import charts

Spoil = Callable[[list[Scene]], list[Scene]]


@pytest.fixture(scope="module")
def scenes() -> list[Scene]:
    drawings = draw(charts.inspection(), PAPERS["letter"], TypeSizes.for_steps(26))
    assert not isinstance(drawings, DoesNotFit)
    return [drawing.scene for drawing in drawings]


def _first(scenes: list[Scene], **changes: object) -> list[Scene]:
    return [replace(scenes[0], **changes), *scenes[1:]]  # type: ignore[arg-type]


def _outside(scenes: list[Scene]) -> list[Scene]:
    moved = replace(scenes[0].outlines[0], rect=scenes[0].outlines[0].rect.moved(-400, 0))
    return _first(scenes, outlines=(moved, *scenes[0].outlines[1:]))


def _overlap(scenes: list[Scene]) -> list[Scene]:
    one, two, *rest = scenes[0].outlines
    return _first(scenes, outlines=(one, replace(two, rect=one.rect.moved(5, 5)), *rest))


def _line_through(scenes: list[Scene]) -> list[Scene]:
    rect = scenes[0].outlines[1].rect
    flow = Flow(("x", "y", ""), ((rect.left - 9, rect.centre[1]), (rect.right + 9, rect.centre[1])))
    return _first(scenes, flows=(*scenes[0].flows, flow))


def _line_through_text(scenes: list[Scene]) -> list[Scene]:
    text = next(t for t in scenes[0].texts if t.role is Role.FURNITURE)
    x, y = text.box.centre
    flow = Flow(("x", "y", ""), ((x, y - 20), (x, y + 20)))
    return _first(scenes, flows=(*scenes[0].flows, flow))


def _texts_meet(scenes: list[Scene]) -> list[Scene]:
    text = scenes[0].texts[-1]
    return _first(scenes, texts=(*scenes[0].texts, text.moved(3, 1)))


def _text_out(scenes: list[Scene]) -> list[Scene]:
    texts = scenes[0].texts
    step = next(t for t in texts if t.role is Role.STEP)
    return _first(scenes, texts=(step.moved(180, 0), *(t for t in texts if t is not step)))


def _lines_together(scenes: list[Scene]) -> list[Scene]:
    points = scenes[0].flows[0].points
    return _first(scenes, flows=(*scenes[0].flows, Flow(("x", "elsewhere", ""), points)))


def _no_label(scenes: list[Scene]) -> list[Scene]:
    return [replace(s, texts=tuple(t for t in s.texts if t.role is not Role.LABEL)) for s in scenes]


def _no_entry(scenes: list[Scene]) -> list[Scene]:
    return [replace(s, connectors=tuple(c for c in s.connectors if not c.entry)) for s in scenes]


def _wrong_page(scenes: list[Scene]) -> list[Scene]:
    return [replace(s, connectors=tuple(replace(c, pages=(7,)) for c in s.connectors)) for s in scenes]


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (_outside, "outside the margins"),
        (_overlap, "overlap"),
        (_line_through, "runs through"),
        (_line_through_text, "runs through the text"),
        (_texts_meet, "overlap"),
        (_text_out, "stands out of"),
        (_lines_together, "lie on each other"),
        (_no_label, "has no label"),
        (_no_entry, "0 entries"),
        (_wrong_page, "names another page"),
    ],
)
def test_fault_is_seen(scenes: list[Scene], spoil: Spoil, words: str) -> None:
    assert faults(scenes) == []
    assert any(words in fault for fault in faults(spoil(scenes)))


def test_missing_step_and_line_are_seen(scenes: list[Scene]) -> None:
    chart = charts.inspection()
    assert missing(chart, scenes) == []
    found = missing(chart, scenes[1:])
    assert "begin is drawn 0 times" in found
    assert "the line begin to s01 is drawn 0 times" in found


def test_rectangles_that_only_touch_do_not_meet() -> None:
    assert not Rect(0, 0, 10, 10).meets(Rect(10, 0, 20, 10))


def test_text_on_the_bars_of_a_predefined_process_is_seen() -> None:
    drawings = draw(charts.linear(), PAPERS["letter"], TypeSizes.for_steps(26))
    assert not isinstance(drawings, DoesNotFit)
    last = drawings[-1].scene
    moved = tuple(t.moved(-16, 0) if t.owner == "s14" else t for t in last.texts)
    assert any("cuts the edge of s14" in fault for fault in faults([replace(last, texts=moved)]))


def test_text_in_the_rounded_corner_of_a_terminator_is_seen() -> None:
    drawings = draw(charts.linear(), PAPERS["letter"], TypeSizes.for_steps(26))
    assert not isinstance(drawings, DoesNotFit)
    first = drawings[0].scene
    rect = next(outline.rect for outline in first.outlines if outline.node == "begin")
    moved = tuple(
        t.moved(rect.left + 3 - t.box.left, rect.top + 2 - t.box.top) if t.owner == "begin" else t for t in first.texts
    )
    assert any("cuts the edge of begin" in fault for fault in faults([replace(first, texts=moved)]))
