"""A chart keeps to the rules of its symbols, its sizes of type and its pages."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from itertools import pairwise

import pytest

from sopc.render.flowchart import (
    PAPERS,
    Caution,
    Chart,
    DoesNotFit,
    Drawing,
    Edge,
    EdgeKind,
    Node,
    Profile,
    Signal,
    Symbol,
    TypeSizes,
    draw,
    draw_compact,
)
from sopc.render.flowchart.faults import faults, missing
from sopc.render.flowchart.scene import Flow, Outline, Role
from tests.render import charts

WALL = TypeSizes.for_steps(26)
PAPER_POINTS = [("letter", 26.0), ("a4", 26.0), ("a3", 36.0), ("tabloid", 36.0), ("tabloid", 26.0)]


def _drawn(chart: Chart, paper: str = "letter", points: float = 26) -> tuple[Drawing, ...]:
    result = draw(chart, PAPERS[paper], TypeSizes.for_steps(points))
    assert not isinstance(result, DoesNotFit), result
    return result


def _outlines(drawings: tuple[Drawing, ...]) -> dict[str, tuple[int, Outline]]:
    return {outline.node: (d.page, outline) for d in drawings for outline in d.scene.outlines}


def _flow(drawings: tuple[Drawing, ...], source: str, label: str) -> Flow:
    flows = [f for d in drawings for f in d.scene.flows if (f.edge[0], f.edge[2]) == (source, label)]
    return flows[0]


@pytest.mark.parametrize("name", sorted(charts.ALL))
@pytest.mark.parametrize(("paper", "points"), PAPER_POINTS)
def test_wall_charts_have_no_faults(name: str, paper: str, points: float) -> None:
    chart = charts.ALL[name]()
    scenes = [drawing.scene for drawing in _drawn(chart, paper, points)]
    assert faults(scenes) + missing(chart, scenes) == []


@pytest.mark.parametrize("name", sorted(charts.ALL))
def test_binder_charts_have_no_faults(name: str) -> None:
    chart = charts.ALL[name]()
    drawings = draw_compact(chart, 165, 230, TypeSizes.for_steps(9.5))
    assert not isinstance(drawings, DoesNotFit)
    scenes = [drawing.scene for drawing in drawings]
    assert faults(scenes) + missing(chart, scenes) == []


@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_step_text_has_the_size_asked_for_on_every_paper(paper: str) -> None:
    steps = [
        text for d in _drawn(charts.linear(), paper) for text in d.scene.texts if text.content.startswith("Rinse under")
    ]
    assert {text.points for text in steps} == {26}


def test_sheet_has_its_size_in_millimetres() -> None:
    drawing = _drawn(charts.linear(), "tabloid", 36)[0]
    assert (drawing.width_mm, drawing.height_mm) == pytest.approx((279.4, 431.8))
    root = ElementTree.fromstring(drawing.svg)
    assert root.attrib["width"] == "279.4mm"


def test_every_page_repeats_title_identity_and_page_number() -> None:
    drawings = _drawn(charts.long())
    assert len(drawings) >= 4
    for drawing in drawings:
        shown = " ".join(text.content for text in drawing.scene.texts)
        assert "Clean hinged instruments" in shown
        assert "SOP-09" in shown
        assert "Revision 3" in shown
        assert f"Page {drawing.page} of {len(drawings)}" in shown
        assert "Follow the maker's instructions" in shown


def test_main_flow_leaves_a_decision_straight_down() -> None:
    down = _flow(_drawn(charts.inspection()), "q1", "Yes").points
    assert len({x for x, _ in down}) == 1
    assert down[0][1] < down[-1][1]


def test_way_back_leaves_on_the_left_and_the_exception_on_the_right() -> None:
    drawings = _drawn(charts.inspection())
    middle = _outlines(drawings)["q1"][1].rect.centre[0]
    assert _flow(drawings, "q1", "No, at most 2 times").points[0][0] < middle
    assert _flow(drawings, "q1", "No, third time").points[0][0] > middle


def test_flow_lines_are_level_or_upright() -> None:
    for make in charts.ALL.values():
        for drawing in _drawn(make()):
            for flow in drawing.scene.flows:
                for (x1, y1), (x2, y2) in pairwise(flow.points):
                    assert abs(x1 - x2) < 0.01 or abs(y1 - y2) < 0.01


def test_exit_labels_stand_outside_the_diamond_next_to_its_exit() -> None:
    drawings = _drawn(charts.inspection())
    page, outline = _outlines(drawings)["q2"]
    texts = drawings[page - 1].scene.texts
    yes = next(t for t in texts if t.role is Role.LABEL and t.owner == "q2" and t.content == "Yes")
    assert outline.rect.right < yes.box.left < outline.rect.right + 26


def test_safety_panel_stands_on_top_of_its_symbol_on_the_same_page() -> None:
    drawings = _drawn(charts.linear())
    places = _outlines(drawings)
    panels = [(d.page, panel) for d in drawings for panel in d.scene.panels]
    assert len(panels) == 4
    for page, panel in panels:
        assert places[panel.node][0] == page
        assert panel.rect.bottom == pytest.approx(places[panel.node][1].rect.top)


def test_flow_into_a_cautioned_step_passes_the_caution_first() -> None:
    drawings = _drawn(charts.linear())
    for drawing in drawings:
        for panel in drawing.scene.panels:
            ends = [flow.points[-1][1] for flow in drawing.scene.flows if flow.edge[1] == panel.node]
            assert ends == [pytest.approx(panel.rect.top)]


def test_levels_differ_without_colour() -> None:
    drawn: dict[Signal, str] = {}
    for signal in Signal:
        node = Node("a", Symbol.PROCESS, "Open the door", cautions=(Caution(signal, "Hot."),))
        result = draw_compact(Chart("x", "t", (node,), ()), 165, 230, WALL, Profile.MONO)
        assert not isinstance(result, DoesNotFit)
        drawn[signal] = result[0].svg.replace(signal.value, "WORD")
    assert len(set(drawn.values())) == 4
    coloured = {colour for svg in drawn.values() for colour in ("#9b2423", "#005387", "#f9c534") if colour in svg}
    assert coloured == set()


def test_branches_stand_side_by_side_between_double_bars() -> None:
    drawings = _drawn(charts.branches(), "tabloid", 26)
    places = _outlines(drawings)
    left, right = places["s02"][1].rect, places["s04"][1].rect
    assert left.top == right.top
    assert left.right < right.left
    bar = places["fork"][1].rect
    assert bar.left <= left.left
    assert bar.right >= right.right


def test_branches_too_narrow_for_their_words_are_stacked() -> None:
    chart = charts.branches()
    nodes = tuple(
        replace(node, text="Decontaminate the electrosurgical handpieces") if node.id == "s02" else node
        for node in chart.nodes
    )
    places = _outlines(_drawn(replace(chart, nodes=nodes)))
    assert places["s02"][1].rect.width > 250


def test_choice_of_three_stands_in_three_columns_where_the_paper_is_broad() -> None:
    places = _outlines(_drawn(charts.choice(), "tabloid", 26))
    tops = {places[node][1].rect.top for node in ("s03", "s04", "s05")}
    assert len(tops) == 1


def test_compact_chart_sets_asides_beside_the_main_line() -> None:
    drawings = draw_compact(charts.inspection(), 165, 230, TypeSizes.for_steps(9.5))
    assert not isinstance(drawings, DoesNotFit)
    assert len(drawings) == 1
    places = _outlines(drawings)
    assert places["out1"][1].rect.left > places["q1"][1].rect.right


def test_letters_skip_those_taken_for_digits() -> None:
    steps = tuple(Node(f"n{i:02d}", Symbol.PROCESS, "Wash every hinge and joint under water") for i in range(60))
    chart = Chart("x", "Long", steps, tuple(Edge(a.id, b.id) for a, b in pairwise(steps)))
    letters = [c.letter for d in _drawn(chart) for c in d.scene.connectors if c.entry]
    assert len(letters) > 9
    assert not {"I", "O", "Q"} & set(letters)


def test_legend_explains_the_symbols_of_its_page_and_no_others() -> None:
    words = {Symbol.DELAY: "Timed wait", Symbol.DOCUMENT: "Written down", Symbol.DECISION: "Question"}
    compact = draw_compact(charts.linear(), 165, 230, TypeSizes.for_steps(9.5))
    assert not isinstance(compact, DoesNotFit)
    for drawing in (*_drawn(charts.linear()), *_drawn(charts.inspection()), *compact):
        shown = {text.content for text in drawing.scene.texts}
        for symbol, meaning in words.items():
            assert any(o.shape == symbol.value for o in drawing.scene.outlines) == (meaning in shown)
        assert bool(drawing.scene.connectors) == any("same letter" in content for content in shown)


def test_what_holds_for_all_steps_stands_across_the_first_page_only() -> None:
    chart = replace(charts.long(), cautions=(Caution(Signal.DANGER, "Steam burns. Keep away."),), header=("By two",))
    first, *others = _drawn(chart)
    (panel,) = first.scene.panels
    assert panel.rect.width == pytest.approx(first.scene.bounds.width)
    assert panel.rect.bottom < min(outline.rect.top for outline in first.scene.outlines)
    sizes = {text.points for text in first.scene.texts if text.content == "By two"}
    assert sizes == {WALL.detail}
    assert others
    assert not any(panel.node == "all steps" for d in others for panel in d.scene.panels)
    assert faults([d.scene for d in (first, *others)]) == []


def test_each_page_names_the_steps_that_stand_on_it() -> None:
    drawings = _drawn(charts.linear())
    for drawing in drawings:
        numbers = {node.id: int(node.number) for node in charts.linear().nodes if node.number}
        here = sorted(numbers[o.node] for o in drawing.scene.outlines if o.node in numbers)
        named = f"Step {here[0]}" if len(here) == 1 else f"Steps {here[0]} to {here[-1]}"
        assert [t.points for t in drawing.scene.texts if t.content == named] == [WALL.step]


def _stopping() -> Chart:
    steps = (
        Node("a", Symbol.PROCESS, "Read the printout", number="1"),
        Node("q", Symbol.DECISION, "Four minutes or more?"),
        Node("b", Symbol.PROCESS, "Draw the rack out", number="2"),
        Node("s", Symbol.TERMINATOR, "Stop", notes=("Keep the load apart and tell the coordinator. " * 3,)),
    )
    edges = (
        Edge("a", "q"),
        Edge("q", "b", "Yes"),
        Edge("q", "a", "No: again, twice at most", EdgeKind.LOOP),
        Edge("q", "s", "Still no", EdgeKind.EXCEPTION),
    )
    return Chart("x", "Stopping", steps, edges)


def test_what_only_one_question_leads_to_stands_level_with_it() -> None:
    drawings = _drawn(_stopping(), "tabloid")
    places = _outlines(drawings)
    asked, stop = places["q"][1].rect, places["s"][1].rect
    assert stop.left > asked.right
    assert stop.centre[1] == pytest.approx(asked.centre[1])
    assert faults([d.scene for d in drawings]) + missing(_stopping(), [d.scene for d in drawings]) == []


def test_pages_are_filled_evenly() -> None:
    steps = tuple(Node(f"n{i:02d}", Symbol.PROCESS, "Wash every hinge") for i in range(13))
    chart = Chart("x", "Long", steps, tuple(Edge(a.id, b.id) for a, b in pairwise(steps)))
    counts = [len(d.scene.outlines) for d in _drawn(chart, "tabloid", 36)]
    assert len(counts) > 1
    assert max(counts) - min(counts) <= 1


def test_step_too_high_for_a_page_is_named_and_not_shrunk() -> None:
    chart = charts.linear()
    nodes = tuple(
        replace(node, text="Rinse again and look. " * 40) if node.id == "s06" else node for node in chart.nodes
    )
    result = draw(replace(chart, nodes=nodes), PAPERS["letter"], WALL)
    assert isinstance(result, DoesNotFit)
    assert result.node == "s06"
    assert "Rinse again" in result.reason
    assert result.needed_mm > result.available_mm


def test_word_too_broad_for_the_paper_is_named() -> None:
    node = Node("a", Symbol.PROCESS, "Ultrasonic" * 6)
    result = draw(Chart("x", "t", (node,), ()), PAPERS["letter"], TypeSizes.for_steps(40))
    assert isinstance(result, DoesNotFit)
    assert result.node == "a"


def test_decision_with_more_ways_out_than_a_diamond_has_is_named() -> None:
    ends = tuple(Node(f"e{i}", Symbol.TERMINATOR, f"End {i}") for i in range(7))
    chart = Chart("x", "t", (Node("q", Symbol.DECISION, "Which?"), *ends), tuple(Edge("q", e.id, e.text) for e in ends))
    result = draw(chart, PAPERS["letter"], WALL)
    assert isinstance(result, DoesNotFit)
    assert result.node == "q"


def test_same_chart_gives_the_same_drawing() -> None:
    assert [d.svg for d in _drawn(charts.long())] == [d.svg for d in _drawn(charts.long())]


def test_text_of_any_letters_gives_well_formed_svg() -> None:
    odd = 'Wipe <b> & "quotes" \x00\x08 \u202f\u00b5L \U0001f9ea \u4e2d\u6587 \u0301'
    node = Node("a", Symbol.PROCESS, odd, odd, odd, "1", (Caution(Signal.DANGER, odd),), (odd,))
    result = draw(Chart("x", odd, (node,), (), odd, (odd,), (odd,)), PAPERS["a4"], TypeSizes.for_steps(14))
    assert not isinstance(result, DoesNotFit)
    ElementTree.fromstring(result[0].svg)


def test_drawing_needs_no_style_sheet() -> None:
    svg = _drawn(charts.linear())[0].svg
    assert "style=" not in svg
    assert "class=" not in svg
    assert "marker" not in svg


@pytest.mark.parametrize(
    ("nodes", "edges"),
    [
        ((), ()),
        ((Node("a", Symbol.PROCESS), Node("a", Symbol.PROCESS)), ()),
        ((Node("a", Symbol.PROCESS),), (Edge("a", "b"),)),
    ],
)
def test_chart_that_does_not_hold_together_is_refused(nodes: tuple[Node, ...], edges: tuple[Edge, ...]) -> None:
    with pytest.raises(ValueError):
        Chart("x", "t", nodes, edges)


def test_flow_line_given_twice_is_drawn_once() -> None:
    nodes = (Node("a", Symbol.PROCESS, "One"), Node("b", Symbol.PROCESS, "Two"))
    chart = Chart("x", "t", nodes, (Edge("a", "b"), Edge("a", "b")))
    assert missing(chart, [d.scene for d in _drawn(chart)]) == []
    assert len(chart.edges) == 1
