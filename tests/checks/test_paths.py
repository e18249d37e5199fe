"""The graph of what can follow what in a procedure."""

from __future__ import annotations

from sopc.checks.paths import EdgeKind, NodeKind, Paths, paths_of
from tests.checks.small_offices import office, procedure


def paths(body: str) -> Paths:
    return paths_of(office(procedure(body)).procedures["work"])


def ways(graph: Paths, index: int) -> list[tuple[EdgeKind, str]]:
    return [(edge.kind, graph.nodes[edge.target].text) for edge in graph.after[index]]


def test_steps_follow_each_other_from_start_to_end() -> None:
    graph = paths('step a "A"\nstep b "B"\n')
    assert [node.kind for node in graph.nodes] == [NodeKind.START, NodeKind.STEP, NodeKind.STEP, NodeKind.END]


def test_a_step_done_only_then_can_be_gone_round() -> None:
    graph = paths('step a "A" { when "so" }\nstep b "B"\n')
    assert ways(graph, graph.entries["a"]) == [(EdgeKind.DO, "A"), (EdgeKind.SKIP, "B")]


def test_a_jump_to_a_step_done_only_then_asks_first() -> None:
    graph = paths('step a "A" { when "so" }\nstep b "B" { check "Ok?" else go to a }\n')
    jump = next(edge for edge in graph.edges if edge.kind is EdgeKind.GO_TO)
    assert graph.nodes[jump.target].kind is NodeKind.WHEN


def test_a_check_answers_yes_or_no() -> None:
    graph = paths('step a "A" { check "Ok?" else stop "x" }\n')
    assert ways(graph, 2) == [(EdgeKind.YES, "Work"), (EdgeKind.NO, "x")] or len(graph.after[2]) == 2


def test_a_repeat_goes_back_or_is_used_up() -> None:
    graph = paths('step a "A" { check "Ok?" else repeat from a at most 2 times then stop "x" }\n')
    (again,) = [node for node in graph.nodes if node.kind is NodeKind.REPEAT]
    assert ways(graph, again.index) == [(EdgeKind.USED_UP, "x"), (EdgeKind.AGAIN, "A")]


def test_a_performed_procedure_as_an_outcome_has_a_place_of_its_own() -> None:
    graph = paths('step a "A" { check "Ok?" else perform work then continue }\n')
    assert [node.performs for node in graph.nodes if node.kind is NodeKind.PERFORM] == ["work"]


def test_ways_stand_in_the_order_of_the_text_even_when_empty() -> None:
    graph = paths('choose "Which?" { way "None" { } way "Some" { step a "A" } }\nstep b "B"\n')
    assert [edge.label for edge in graph.after[1]] == ["None", "Some"]


def test_branches_wait_for_each_other() -> None:
    graph = paths('together { branch "X" { step a "A" } branch "Y" { step b "B" } }\n')
    (join,) = graph.forks
    assert len(graph.before[join]) == 2


def test_nothing_follows_branches_of_which_one_never_ends() -> None:
    graph = paths('together { branch "X" { step a "A" { next stop "x" } } branch "Y" { step b "B" } }\nstep c "C"\n')
    assert graph.entries["c"] not in graph.reachable()
