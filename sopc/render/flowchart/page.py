"""Puts one settled page together: symbols, flow lines, connectors, labels, within the frame of the page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sopc.render.flowchart.arrange import Arrangement
from sopc.render.flowchart.chart import Symbol
from sopc.render.flowchart.columns import Columns, is_bar
from sopc.render.flowchart.furniture import Frame
from sopc.render.flowchart.routes import Entry, Form, Run
from sopc.render.flowchart.scene import Connector, Flow, Outline, Panel, Role, Scene, Text
from sopc.render.flowchart.settle import Lead, Settled, Settler, middle
from sopc.render.flowchart.shapes import Unit
from sopc.render.flowchart.spacing import Spacing, label_lines
from sopc.render.fonts import LINE_PITCH, Weight


class PageMaker:
    """Draws one page as a scene, given its settled measures and where its content begins."""

    def __init__(
        self,
        arrangement: Arrangement,
        units: Mapping[str, Unit],
        columns: Columns,
        space: Spacing,
        settler: Settler,
        settled: Settled,
        origin: tuple[float, float],
    ) -> None:
        self._arrangement, self._units, self._columns, self._space = arrangement, units, columns, space
        self._settler, self._settled, self._origin = settler, settled, origin
        self._texts: list[Text] = []
        self._flows: list[Flow] = []
        self._connectors: list[Connector] = []
        self._entered: set[str] = set()

    def scene(
        self,
        around: Frame,
        page: int,
        runs: Sequence[Run],
        entries: Mapping[str, Entry],
        on_top: Sequence[str],
    ) -> Scene:
        """Return everything on the page."""
        outlines: list[Outline] = []
        panels = list(around.panels)
        for node, (x, y) in self._settled.unit_at.items():
            unit = self._units[node]
            dx, dy = x + self._origin[0], y + self._origin[1]
            outlines.append(unit.outline.moved(dx, dy))
            panels += [Panel(node, p.signal, p.rect.moved(dx, dy), p.head) for p in unit.panels]
            self._texts += [text.moved(dx, dy) for text in unit.texts]
        self._direct_runs(runs)
        for node in on_top:
            self._top_entry(node, entries[node])
        self._leads()
        for run in runs:
            if run.form is Form.STUB:
                self._stub(run)
        signs, meanings = self._legend(around, outlines)
        return Scene(
            around.width,
            around.height,
            around.bounds,
            page,
            tuple(outlines),
            tuple(panels),
            (*self._texts, *around.texts, *meanings),
            tuple(self._flows),
            tuple(self._connectors),
            around.rules,
            tuple(signs),
        )

    def _legend(self, around: Frame, outlines: Sequence[Outline]) -> tuple[list[Outline], list[Text]]:
        if around.legend is None:
            return [], []
        return around.legend.entries({Symbol(outline.shape) for outline in outlines}, bool(self._connectors))

    # Places -------------------------------------------------------------------------------------------

    def _middle(self, node: str) -> float:
        return middle(self._columns, self._arrangement, self._settled, node) + self._origin[0]

    def _top(self, node: str) -> float:
        return self._settled.unit_at[node][1] + self._origin[1]

    def _bottom(self, node: str) -> float:
        return self._top(node) + self._units[node].foot

    def _side(self, run: Run) -> tuple[float, float]:
        x, y = self._settled.unit_at[run.edge.source]
        dx, dy = self._units[run.edge.source].side_exit(run.right, run.second)
        return x + dx + self._origin[0], y + dy + self._origin[1]

    # Lines --------------------------------------------------------------------------------------------

    def _direct_runs(self, runs: Sequence[Run]) -> None:
        for run in runs:
            source, target = run.edge.source, run.edge.target
            if run.form is Form.STRAIGHT:
                bar = is_bar(self._units[source]) and not is_bar(self._units[target])
                x = self._middle(target if bar else source)
                self._down(run, [(x, self._bottom(source)), (x, self._top(target))])
                self._entered.add(target)
            elif run.form is Form.FOOT and run.exit:
                bar = is_bar(self._units[source])
                x = self._foot_x(run) if bar else self._middle(source)
                y = self._settled.foot_circle_y + self._origin[1]
                self._down(run, [(x, self._bottom(source)), (x, y - self._space.circle)])
                self._connect(run.exit.letter, x, y, False, (run.exit.page,), source, below=False)
            elif run.form is Form.LEVEL:
                start = self._side(run)
                x = self._settled.unit_at[target][0] + self._units[target].outline.rect.left + self._origin[0]
                self._flow(run, [start, (x, start[1])])
                self._side_label(run, start)
                self._entered.add(target)
            elif run.form is Form.ELBOW:
                x = self._middle(target)
                start = self._side(run)
                self._flow(run, [start, (x, start[1]), (x, self._top(target))])
                self._side_label(run, start)
                self._entered.add(target)

    def _foot_x(self, run: Run) -> float:
        cells = self._arrangement.cells
        branch = cells[run.edge.target].columns > 1 and not is_bar(self._units[run.edge.target])
        return self._middle(run.edge.target if branch else run.edge.source)

    def _down(self, run: Run, points: list[tuple[float, float]]) -> None:
        self._flow(run, points)
        x, y = points[0][0], self._top(run.edge.source) + self._units[run.edge.source].height
        for index, line in enumerate(label_lines(run.edge, self._space)):
            base = y + (0.9 + index * LINE_PITCH) * self._space.label
            self._label(run, x + 0.4 * self._space.label, base, line, "start")

    def _flow(self, run: Run, points: list[tuple[float, float]]) -> None:
        self._flows.append(Flow(run.key, tuple(points)))

    def _label(self, run: Run, x: float, y: float, line: str, anchor: str) -> None:
        self._texts.append(
            Text(x, y, line, self._space.label, Weight.SEMIBOLD, anchor, run.edge.source, Role.LABEL, run.key)
        )

    def _side_label(self, run: Run, start: tuple[float, float]) -> None:
        lines = label_lines(run.edge, self._space)
        way = 1 if run.right else -1
        x, y = start
        if run.second:
            # Beside the slanted edge the label has to start where its upper edge is clear of the diamond.
            rect = self._units[run.edge.source].outline.rect
            x += way * self._space.label * rect.width / rect.height
        x += way * 0.28 * self._space.label
        for index, line in enumerate(reversed(lines)):
            base = y - (0.3 + index * LINE_PITCH) * self._space.label
            self._label(run, x, base, line, "start" if run.right else "end")

    def _leads(self) -> None:
        """Draw what joins the flow above a symbol; the topmost runs on into it unless a line does already."""
        ordered = sorted(self._settled.lead_y.items(), key=lambda item: item[1])
        for lead, level in ordered:
            y = level + self._origin[1]
            x = self._middle(lead.target)
            end = [(x, y)]
            if lead.target not in self._entered:
                end.append((x, self._top(lead.target)))
                self._entered.add(lead.target)
            if lead.entry:
                self._side_entry(lead, y, end)
            elif lead.run:
                self._long_run(lead.run, y, end)

    def _long_run(self, run: Run, y: float, end: list[tuple[float, float]]) -> None:
        if run.form is Form.DROP:
            x = self._middle(run.edge.source)
            self._down(run, [(x, self._bottom(run.edge.source)), (x, y), *end])
            return
        start = self._side(run)
        x = self._settled.track_x[run.key] + self._origin[0]
        self._flow(run, [start, (x, start[1]), (x, y), *end])
        self._side_label(run, start)

    # Connectors ---------------------------------------------------------------------------------------

    def _connect(
        self, letter: str, x: float, y: float, entry: bool, pages: tuple[int, ...], node: str, below: bool
    ) -> None:
        space = self._space
        self._connectors.append(Connector(letter, x, y, space.circle, entry, pages, node))
        arrow = "\u2190" if entry else "\u2192"
        content = f"{arrow} p\u00a0{', '.join(map(str, pages))}"
        if below:
            place = (x, y + space.circle + 0.92 * space.reference, "middle")
        else:
            place = (x + 1.35 * space.circle, y + 0.33 * space.reference, "start")
        self._texts.append(
            Text(place[0], place[1], content, space.reference, Weight.REGULAR, place[2], node, Role.CONNECTOR)
        )

    def _top_entry(self, node: str, entry: Entry) -> None:
        x, y = self._middle(node), self._settled.top_circle_y + self._origin[1]
        key = ("", node, entry.letter)
        self._flows.append(Flow(key, ((x, y + self._space.circle), (x, self._top(node)))))
        self._entered.add(node)
        self._connect(entry.letter, x, y, True, entry.pages, node, below=False)

    def _side_entry(self, lead: Lead, y: float, end: list[tuple[float, float]]) -> None:
        if lead.entry is None:
            return
        channel = self._settler.entry_channel(lead.target, lead.right)
        x = self._settled.stub_x[(channel, lead.right)] + self._origin[0]
        start = x - self._space.circle if lead.right else x + self._space.circle
        self._flows.append(Flow(("", lead.target, lead.entry.letter), ((start, y), *end)))
        self._connect(lead.entry.letter, x, y, True, lead.entry.pages, lead.target, below=True)

    def _stub(self, run: Run) -> None:
        if run.exit is None:
            return
        start = self._side(run)
        x = self._settled.stub_x[(run.channel, run.right)] + self._origin[0]
        edge = x - self._space.circle if run.right else x + self._space.circle
        self._flow(run, [start, (edge, start[1])])
        self._side_label(run, start)
        self._connect(run.exit.letter, x, start[1], False, (run.exit.page,), run.edge.source, below=True)
