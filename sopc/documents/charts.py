"""Flowcharts of procedures: from what can follow what to symbols and lines, for the wall and for the binder."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from sopc.checks.paths import JUMPS, NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.checks.paths import EdgeKind as Way
from sopc.documents import wording
from sopc.documents.frame import Status, fingerprint, status_of
from sopc.documents.markdown import plain
from sopc.model.nouns import Decider, Office, Procedure, Signal, Step
from sopc.render.flowchart.chart import Caution, Chart, Edge, EdgeKind, Node, Symbol
from sopc.render.flowchart.chart import Signal as SignalWord

GRAVEST = list(SignalWord)

WALL_CAUTION = (
    "The makers’ instructions and the law of the place govern. If anything is unclear, stop and ask the "
    "infection-control officer. Check the revision against the binder before use."
)


def chart_of(office: Office, procedure: Procedure, today: date, source: str) -> Chart:
    """Return the procedure as a flowchart; `source` is the document's fingerprint that every page shows."""
    paths = paths_of(procedure)
    shown = paths.reachable()
    nodes = tuple(_node(office, procedure, node) for node in paths.nodes if node.index in shown)
    edges = tuple(_edge(paths, edge) for index in sorted(shown) for edge in paths.after[index])
    status = status_of(procedure, today)
    revision = "" if procedure.revision is None else str(procedure.revision)
    return Chart(
        id=procedure.id or procedure.name,
        title=procedure.title,
        nodes=nodes,
        edges=tuple(edge for edge in edges if edge is not None),
        revision=revision,
        header=(_header(office, procedure),),
        footer=(WALL_CAUTION, _footer(office, procedure, status, source)),
    )


def sourced_chart_of(office: Office, procedure: Procedure, today: date) -> Chart:
    """Return the flowchart with its own fingerprint as its source."""
    chart = chart_of(office, procedure, today, "")
    source = fingerprint(chart.nodes, chart.edges, chart.title, chart.revision)
    return replace(chart, footer=(WALL_CAUTION, _footer(office, procedure, status_of(procedure, today), source)))


def _header(office: Office, procedure: Procedure) -> str:
    parts = [wording.large(procedure.done), wording.people(office, procedure.by)]
    if procedure.wearing:
        parts.append("Wear " + wording.in_series(map(wording.small, wording.titles(office.ppe, procedure.wearing))))
    return " · ".join(part for part in parts if part)


def _footer(office: Office, procedure: Procedure, status: Status, source: str) -> str:
    effective = f"effective {wording.day(procedure.effective)}" if procedure.effective else "no effective date"
    parts = (office.premises.name, effective, status.value, f"source {source}")
    return " · ".join(part for part in parts if part)


def _id(index: int) -> str:
    return f"n{index:03d}"


def _node(office: Office, procedure: Procedure, node: PathNode) -> Node:
    name = _id(node.index)
    if node.kind is NodeKind.START:
        cautions = tuple(sorted(map(_caution, procedure.signals), key=lambda each: GRAVEST.index(each.signal)))
        return Node(name, Symbol.TERMINATOR, "Start", cautions=cautions)
    if node.kind is NodeKind.END:
        return Node(name, Symbol.TERMINATOR, "Done")
    if node.kind is NodeKind.STOP:
        lead = "" if node.text.lower().startswith("stop") else "Stop. "
        return Node(name, Symbol.TERMINATOR, lead + node.text)
    if node.kind in (NodeKind.FORK, NodeKind.JOIN):
        return Node(name, Symbol.PARALLEL_MODE)
    if node.kind is NodeKind.WHEN:
        return Node(name, Symbol.DECISION, _question(node.text))
    if node.kind in (NodeKind.CHECK, NodeKind.CHOICE):
        return Node(name, Symbol.DECISION, _question(node.text))
    if node.kind is NodeKind.REPEAT:
        times = {1: "once", 2: "twice"}.get(node.at_most or 0, f"{node.at_most} times")
        return Node(name, Symbol.DECISION, f"Repeated {times} already?")
    if node.kind is NodeKind.PERFORM:
        other = office.procedures.get(node.performs)
        return Node(name, Symbol.PREDEFINED_PROCESS, wording.document_reference(other, node.performs))
    return _step(office, procedure, node, name)


def _question(text: str) -> str:
    asked = wording.large(text.strip().rstrip("."))
    return asked if asked.endswith("?") else asked + "?"


def _step(office: Office, procedure: Procedure, node: PathNode, name: str) -> Node:
    step = node.step
    assert step is not None
    return Node(
        name,
        _symbol(step),
        step.title,
        who=wording.people(office, step.by),
        time=_time(step),
        number=step.number,
        cautions=tuple(_caution(signal) for signal in step.signals),
        notes=_notes(office, procedure, step),
    )


def _symbol(step: Step) -> Symbol:
    if step.performs:
        return Symbol.PREDEFINED_PROCESS
    if step.takes is not None and step.takes.contingent and not step.does and not step.using and not step.runs:
        return Symbol.DELAY
    if step.records and not (step.does or step.runs or step.using):
        return Symbol.DOCUMENT
    return Symbol.PROCESS


def _time(step: Step) -> str:
    text = wording.duration(step.takes)
    if step.takes is not None and step.takes.decider is Decider.MACHINE:
        text += " (machine)"
    return text


def _notes(office: Office, procedure: Procedure, step: Step) -> tuple[str, ...]:
    found = []
    for performing in step.performs:
        other = office.procedures.get(performing.procedure)
        found.append("See " + wording.document_reference(other, performing.procedure))
    for run in step.runs:
        device = office.devices.get(run.device)
        if device is not None and run.program in device.programs:
            found.append(f"Program: {device.programs[run.program].title}")
    for recording in step.records:
        log = office.logs.get(recording.log)
        if log is not None:
            found.append(f"Record in {log.id or log.title}")
    if step.second_person:
        found.append(f"Second person checks: {wording.title_of(office.roles, step.second_person)}")
    if step.another:
        found.append(f"Not by the one who did {wording.steps_named(procedure, step.another.steps)}")
    return tuple(found)


def _caution(signal: Signal) -> Caution:
    return Caution(SignalWord[signal.word.name], plain(signal.text))


LABELS = {
    Way.YES: "Yes",
    Way.NO: "No",
    Way.DO: "Yes",
    Way.SKIP: "No",
    Way.AGAIN: "No: again",
    Way.USED_UP: "Yes",
}


def _edge(paths: Paths, edge: PathEdge) -> Edge | None:
    source, target = paths.nodes[edge.source], paths.nodes[edge.target]
    label = edge.label if edge.kind in (Way.WAY, Way.BRANCH) else LABELS.get(edge.kind, "")
    if not label:
        # An edge that leaves a decision by a jump still answers its question.
        asked = source.kind
        label = {NodeKind.CHECK: "No", NodeKind.WHEN: "Yes", NodeKind.REPEAT: "No: again"}.get(asked, "")
        if edge.completes is not None and asked is NodeKind.CHECK:
            label = "Yes"
    return Edge(_id(source.index), _id(target.index), label, _kind(paths, edge))


def _kind(paths: Paths, edge: PathEdge) -> EdgeKind:
    if edge.kind in JUMPS and paths.back(edge):
        return EdgeKind.LOOP
    if edge.kind in (Way.NO, Way.SKIP) or edge.fails is not None:
        return EdgeKind.EXCEPTION
    if edge.kind is Way.GO_TO:
        return EdgeKind.SIDE
    return EdgeKind.MAIN
