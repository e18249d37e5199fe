"""A wall chart says what its procedure says: every way, every limit, who does it, and how often it is done again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import networkx as nx

import sopc
from sopc.checks.paths import NodeKind, paths_of
from sopc.documents.charts import asked_again, chart_of
from sopc.model.nouns import Office
from sopc.render.flowchart import PAPERS, Chart, DoesNotFit, EdgeKind, Symbol, TypeSizes, draw
from sopc.render.flowchart.faults import faults, missing

TODAY = date(2026, 12, 2)
DEMO = Path(sopc.__file__).resolve().parents[1] / "protocols" / "larkspur_pass" / "2026-12"


def _chart(office: Office, name: str = "reprocess") -> Chart:
    return chart_of(office, office.procedures[name], TODAY, "")


def _exits(chart: Chart, question: str) -> dict[str, EdgeKind]:
    asked = next(node.id for node in chart.nodes if node.text == question)
    return {edge.label.replace("\u00a0", " "): edge.kind for edge in chart.edges if edge.source == asked}


def test_how_often_a_step_is_done_again_stands_at_the_exit_of_its_question(office: Office) -> None:
    assert _exits(_chart(office), "Free of debris?") == {
        "Yes": EdgeKind.MAIN,
        "No: again, twice at most": EdgeKind.LOOP,
        "Still no": EdgeKind.EXCEPTION,
    }


def test_who_stands_once_over_the_chart_and_only_where_another_does_it_at_the_step(office: Office) -> None:
    chart = _chart(office)
    assert any("Dental assistant or dental hygienist" in line for line in chart.header)
    assert any(line.startswith("Wear ") and "gloves" in line for line in chart.header)
    by = {node.text: node.who for node in chart.nodes}
    assert by["Fill the water tank to the mark"] == "Dental hygienist"
    assert by["Rinse under running water and dry"] == ""


def test_limits_and_other_equipment_stand_at_their_steps(office: Office) -> None:
    notes = {node.text: [note.replace("\u00a0", " ") for note in node.notes] for node in _chart(office).nodes}
    bath = notes["Run the ultrasonic bath with the lid on"]
    assert "Start within 60 min after step 1 ends. Does not apply if step 2B.1 was done" in bath
    assert "Start no sooner than 5 min after step 7 ends" in notes["Let the pouches cool in the chamber"]
    assert "Wear surgical mask" in notes["Look at each instrument under the lamp"]


def test_every_way_of_a_procedure_is_a_way_of_its_chart(office: Office) -> None:
    for procedure in office.procedures.values():
        paths = paths_of(procedure)
        whole = nx.MultiDiGraph((edge.source, edge.target) for edge in paths.edges if edge.source in paths.reachable())
        counted = {node.index: asked for node in paths.nodes if (asked := asked_again(paths, node.index)) is not None}
        for counter, asked in counted.items():
            whole = nx.contracted_nodes(whole, asked, counter, self_loops=False, copy=False)
        drawn = nx.MultiDiGraph(
            (int(edge.source[1:]), int(edge.target[1:])) for edge in _chart(office, procedure.name).edges
        )
        assert nx.utils.edges_equal(nx.DiGraph(whole).edges, nx.DiGraph(drawn).edges)


def test_a_count_that_several_questions_share_keeps_its_own_symbol(rewritten: Callable[..., Office]) -> None:
    was = 'check "Whole and sharp?" else stop "Put it in the repair box"'
    now = 'check "Whole and sharp?" else perform hands then repeat from carry at most 3 times then stop "Repair"'
    office = rewritten("procedures.sop", {was: now})
    paths = paths_of(office.procedures["reprocess"])
    counters = [node for node in paths.nodes if node.kind is NodeKind.REPEAT]
    assert [asked_again(paths, node.index) is not None for node in counters] == [True, False]
    assert _exits(_chart(office), "Repeated 3\u00a0times already?") == {
        "No: again": EdgeKind.LOOP,
        "Yes": EdgeKind.MAIN,
    }


def test_the_way_through_the_sterilizer_hangs_beside_it_on_three_sheets() -> None:
    """One for loading, one for the cycle, one for the release; each stop beside the question that leads to it."""
    demo, _ = sopc.load(DEMO)
    assert demo is not None
    chart = _chart(demo, "sterilization")
    drawings = draw(chart, PAPERS["tabloid"], TypeSizes.for_steps(23))
    assert not isinstance(drawings, DoesNotFit)
    scenes = [drawing.scene for drawing in drawings]
    assert faults(scenes) + missing(chart, scenes) == []
    assert len(drawings) <= 3
    page = {outline.node: drawing.page for drawing in drawings for outline in drawing.scene.outlines}
    stops = {node.id for node in chart.nodes if node.text == "Stop"}
    assert stops
    assert all(page[edge.source] == page[edge.target] for edge in chart.edges if edge.target in stops)


def test_no_sheet_of_the_spore_test_hangs_there_without_a_step() -> None:
    demo, _ = sopc.load(DEMO)
    assert demo is not None
    chart = _chart(demo, "spore_testing")
    drawings = draw(chart, PAPERS["tabloid"], TypeSizes.for_steps(23))
    assert not isinstance(drawings, DoesNotFit)
    assert len(drawings) > 1
    steps = {node.id for node in chart.nodes if node.symbol is not Symbol.TERMINATOR}
    assert all(steps & {outline.node for outline in drawing.scene.outlines} for drawing in drawings)
