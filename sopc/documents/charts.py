"""Flowcharts of procedures: from what can follow what to symbols and lines, for the wall and for the binder."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from sopc.checks.paths import JUMPS, NodeKind, PathEdge, PathNode, Paths, paths_of
from sopc.checks.paths import EdgeKind as Way
from sopc.documents import way_limits, wording
from sopc.documents.frame import Status, fingerprint, status_of
from sopc.documents.markdown import plain
from sopc.model.nouns import Decider, Office, Procedure, Signal, Step
from sopc.render.flowchart.chart import Caution, Chart, Edge, EdgeKind, Node, Symbol
from sopc.render.flowchart.chart import Signal as SignalWord
from sopc.trade.quantities import NBSP

GRAVEST = list(SignalWord)

WALL_CAUTION = (
    "The makers’ instructions and the law of the place govern. If anything is unclear, stop and ask the "
    "infection-control officer. Check the revision against the binder before use."
)


def chart_of(office: Office, procedure: Procedure, today: date, source: str) -> Chart:
    """Return the procedure as a flowchart; `source` is the document's fingerprint that every page shows."""
    paths = paths_of(procedure)
    shown = paths.reachable()
    counted = {index: ask for index in sorted(shown) if (ask := asked_again(paths, index)) is not None}
    drawn = [index for index in sorted(shown) if index not in counted]
    nodes = tuple(_node(office, procedure, paths.nodes[index]) for index in drawn)
    edges = tuple(_edge(paths, edge, counted) for index in drawn for edge in _leaving(paths, index, counted))
    status = status_of(procedure, today)
    revision = "" if procedure.revision is None else str(procedure.revision)
    return Chart(
        id=procedure.id or procedure.name,
        title=procedure.title,
        nodes=nodes,
        edges=tuple(edge for edge in edges if edge is not None),
        revision=revision,
        header=_header(office, procedure),
        cautions=tuple(sorted(map(_caution, procedure.signals), key=lambda each: GRAVEST.index(each.signal))),
        footer=(WALL_CAUTION, _footer(office, procedure, status, source)),
    )


def sourced_chart_of(office: Office, procedure: Procedure, today: date) -> Chart:
    """Return the flowchart with its own fingerprint as its source."""
    chart = chart_of(office, procedure, today, "")
    source = fingerprint(chart.nodes, chart.edges, chart.title, chart.revision, chart.header, chart.cautions)
    return replace(chart, footer=(WALL_CAUTION, _footer(office, procedure, status_of(procedure, today), source)))


def asked_again(paths: Paths, index: int) -> int | None:
    """Return the check whose exits also say what a count of passes at this node decides; None when there is none.

    "Back to step 3, at most twice" is read at the question itself: one exit for again, one for still no. Only where
    passes are counted for several questions, or their end is not said, does the count keep a symbol of its own.
    """
    node = paths.nodes[index]
    if node.kind is not NodeKind.REPEAT or len(paths.before[index]) != 1 or len(paths.after[index]) != 2:
        return None
    asked = paths.before[index][0].source
    backward = all(paths.back(edge) for edge in paths.after[index] if edge.kind is Way.AGAIN)
    return asked if backward and paths.nodes[asked].kind is NodeKind.CHECK else None


def _leaving(paths: Paths, index: int, counted: Mapping[int, int]) -> Iterator[PathEdge]:
    """The ways on from a node, those of a count of passes drawn at it among them."""
    for edge in paths.after[index]:
        if edge.target in counted:
            yield from paths.after[edge.target]
        else:
            yield edge


def _header(office: Office, procedure: Procedure) -> tuple[str, ...]:
    """What holds for all steps: read from where the chart is read."""
    parts = [wording.large(procedure.done), wording.people(office, procedure.by)]
    worn = _worn(office, procedure.wearing)
    who = " · ".join(part for part in parts if part)
    return tuple(line for line in (who, f"Wear {worn}" if worn else "") if line)


def _worn(office: Office, pieces: Sequence[str]) -> str:
    return wording.in_series(map(wording.small, wording.titles(office.ppe, pieces)))


def _footer(office: Office, procedure: Procedure, status: Status, source: str) -> str:
    effective = f"effective {wording.day(procedure.effective)}" if procedure.effective else "no effective date"
    parts = (office.premises.name, effective, status.value, f"source {source}")
    return " · ".join(part for part in parts if part)


def _id(index: int) -> str:
    return f"n{index:03d}"


def _node(office: Office, procedure: Procedure, node: PathNode) -> Node:
    name = _id(node.index)
    if node.kind is NodeKind.START:
        return Node(name, Symbol.TERMINATOR, "Start")
    if node.kind is NodeKind.END:
        return Node(name, Symbol.TERMINATOR, "Done")
    if node.kind is NodeKind.STOP:
        return Node(name, Symbol.TERMINATOR, "Stop", notes=(wording.sentence(node.text),))
    if node.kind in (NodeKind.FORK, NodeKind.JOIN):
        return Node(name, Symbol.PARALLEL_MODE)
    if node.kind is NodeKind.WHEN:
        return Node(name, Symbol.DECISION, _question(node.text))
    if node.kind in (NodeKind.CHECK, NodeKind.CHOICE):
        return Node(name, Symbol.DECISION, _question(node.text))
    if node.kind is NodeKind.REPEAT:
        return Node(name, Symbol.DECISION, f"Repeated {_times(node)} already?")
    if node.kind is NodeKind.PERFORM:
        other = office.procedures.get(node.performs)
        return Node(name, Symbol.PREDEFINED_PROCESS, wording.document_reference(other, node.performs))
    return _step(office, procedure, node, name)


def _times(node: PathNode) -> str:
    return {1: "once", 2: "twice"}.get(node.at_most or 0, f"{node.at_most}{NBSP}times")


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
        who="" if step.by == procedure.by else wording.people(office, step.by),
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
    found = _limits(office, procedure, step)
    if step.wearing != procedure.wearing:
        found.append(f"Wear {_worn(office, step.wearing) or 'nothing special'}")
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


def _limits(office: Office, procedure: Procedure, step: Step) -> list[str]:
    own = [rule for rule in procedure.limits if rule.later.step == step.name]
    said = [(wording.limit(procedure, rule) + ".", wording.unless(procedure, rule)) for rule in own]
    said += [(line.order, line.lifted) for line in way_limits.lines(office, procedure, step)]
    return [f"{order} {lifted}".strip().removesuffix(".") for order, lifted in said]


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


def _edge(paths: Paths, edge: PathEdge, counted: Mapping[int, int]) -> Edge:
    number = counted.get(edge.source)
    if number is not None:
        kind = EdgeKind.LOOP if edge.kind is Way.AGAIN else EdgeKind.EXCEPTION
        return Edge(_id(number), _id(edge.target), _after_pass(paths.nodes[edge.source], edge), kind)
    return Edge(_id(edge.source), _id(edge.target), _label(paths, edge), _kind(paths, edge))


def _after_pass(counter: PathNode, edge: PathEdge) -> str:
    return f"No: again, {_times(counter)} at most" if edge.kind is Way.AGAIN else "Still no"


def _label(paths: Paths, edge: PathEdge) -> str:
    label = edge.label if edge.kind in (Way.WAY, Way.BRANCH) else LABELS.get(edge.kind, "")
    if label:
        return label
    # An edge that leaves a decision by a jump still answers its question.
    asked = paths.nodes[edge.source].kind
    if edge.completes is not None and asked is NodeKind.CHECK:
        return "Yes"
    return {NodeKind.CHECK: "No", NodeKind.WHEN: "Yes", NodeKind.REPEAT: "No: again"}.get(asked, "")


def _kind(paths: Paths, edge: PathEdge) -> EdgeKind:
    if edge.kind in JUMPS and paths.back(edge):
        return EdgeKind.LOOP
    if edge.kind in (Way.NO, Way.SKIP) or edge.fails is not None:
        return EdgeKind.EXCEPTION
    if edge.kind is Way.GO_TO:
        return EdgeKind.SIDE
    return EdgeKind.MAIN
