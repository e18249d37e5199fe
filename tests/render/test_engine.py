"""The built-in Graphviz gives the same layout each time, recovers from bad graphs, and starts fast."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from sopc.render import engine
from sopc.render.flowchart.arrange import arrange, dot_source
from sopc.render.flowchart.structure import read_structure
from tests.render import charts


@pytest.fixture(scope="module")
def graphviz(tmp_path_factory: pytest.TempPathFactory) -> engine.Graphviz:
    return engine.Graphviz(tmp_path_factory.mktemp("modules"))


def test_same_graph_gives_same_bytes(graphviz: engine.Graphviz) -> None:
    assert graphviz.layout("digraph { a -> b -> c }") == graphviz.layout("digraph { a -> b -> c }")


@pytest.mark.parametrize(("source", "output"), [("digraph { a -> ", "json"), ("digraph { a }", "png")])
def test_layout_goes_on_after_a_refused_graph(graphviz: engine.Graphviz, source: str, output: str) -> None:
    with pytest.raises(engine.GraphvizError):
        graphviz.layout(source, output)
    assert json.loads(graphviz.layout("digraph { a -> b }"))["objects"]


def test_compiled_module_is_kept_for_the_next_start(tmp_path: Path) -> None:
    first = engine.Graphviz(tmp_path).layout("digraph { a -> b }")
    assert len(list(tmp_path.glob("*.module"))) == 1
    assert engine.Graphviz(tmp_path).layout("digraph { a -> b }") == first


def test_damaged_module_is_compiled_anew(tmp_path: Path) -> None:
    engine.Graphviz(tmp_path)
    (kept,) = tmp_path.glob("*.module")
    kept.write_bytes(b"not a module")
    assert engine.Graphviz(tmp_path).layout("digraph { a }")


def test_folder_that_others_can_write_to_is_not_trusted(tmp_path: Path) -> None:
    tmp_path.chmod(0o777)
    assert engine.Graphviz(tmp_path).layout("digraph { a }")
    assert not list(tmp_path.glob("*.module"))


def test_folder_that_cannot_be_made_costs_speed_only(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    assert engine.Graphviz(tmp_path / "file" / "cache").layout("digraph { a }")


@pytest.mark.parametrize("name", sorted(charts.ALL))
def test_main_line_runs_down_the_page_without_gaps(name: str) -> None:
    arrangement = arrange(charts.ALL[name](), side_lane=False)
    rows = [arrangement.cells[node].row for node in arrangement.structure.spine]
    assert rows == sorted(rows)
    assert sorted({cell.row for cell in arrangement.cells.values()}) == list(range(arrangement.rows))


@pytest.mark.parametrize("name", sorted(charts.ALL))
def test_system_graphviz_where_there_is_one_finds_the_same_ranks(name: str) -> None:
    import graphviz as system

    chart = charts.ALL[name]()
    structure = read_structure(chart)
    names = {node.id: f"n{index:04d}" for index, node in enumerate(chart.nodes)}
    source = dot_source(chart, structure, True, structure.blocks, names)
    ours = _ranks(engine.layout(source))
    theirs = _ranks(system.Source(source).pipe("json")) if shutil.which("dot") else ours
    assert theirs == ours


def _ranks(answer: bytes) -> dict[str, int]:
    spots = {thing["name"]: float(thing["pos"].split(",")[1]) for thing in json.loads(answer)["objects"]}
    levels = sorted(set(spots.values()), reverse=True)
    return {name: levels.index(y) for name, y in spots.items()}
