"""Turns the courses of a page's flow lines into heights, tracks and widths that keep clear of each other."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from sopc.render import fonts
from sopc.render.flowchart.arrange import Arrangement, Lane
from sopc.render.flowchart.columns import SIDE_AT, Columns, centre
from sopc.render.flowchart.routes import Channel, Entry, Form, Run
from sopc.render.flowchart.shapes import Unit
from sopc.render.flowchart.spacing import Spacing, label_height, label_width

_SIDEWAYS = (Form.STUB, Form.TRACK, Form.ELBOW, Form.LEVEL)


@dataclass(frozen=True, slots=True)
class Lead:
    """A level stretch in the gap above a symbol by which a line or an entry connector joins the flow into it."""

    target: str
    right: bool
    run: Run | None = None
    entry: Entry | None = None


@dataclass(slots=True)
class Settled:
    """All measures of one page relative to the middle of the main line and the top of the content."""

    unit_at: dict[str, tuple[float, float]] = field(default_factory=dict)
    lead_y: dict[Lead, float] = field(default_factory=dict)
    track_x: dict[tuple[str, str, str], float] = field(default_factory=dict)
    stub_x: dict[tuple[Channel, bool], float] = field(default_factory=dict)
    top_circle_y: float = 0.0
    foot_circle_y: float = 0.0
    height: float = 0.0
    left: float = 0.0
    right: float = 0.0
    side_shift: float = 0.0
    gaps: int = 0


class Settler:
    """Works out one page; `stretch` is added to every gap between rows."""

    def __init__(
        self,
        arrangement: Arrangement,
        units: Mapping[str, Unit],
        columns: Columns,
        space: Spacing,
        rows: range,
        runs: Sequence[Run],
        entries: Mapping[str, Entry],
        on_top: Sequence[str],
        stretch: float = 0.0,
    ) -> None:
        self._arrangement, self._units, self._columns = arrangement, units, columns
        self._space, self._rows, self._runs = space, rows, runs
        self._entries, self._on_top, self._stretch = entries, on_top, stretch
        self._cells = arrangement.cells
        self._out = Settled()

    def settle(self) -> Settled:
        """Return the measures."""
        self._set_heights()
        self._set_tracks()
        return self._out

    # Heights ------------------------------------------------------------------------------------------

    def _set_heights(self) -> None:
        out, space = self._out, self._space
        y = 0.0
        if self._on_top:
            out.top_circle_y = space.circle
            y = 2 * space.circle
        members = self._arrangement.row_members()
        for row in self._rows:
            slots = self._slots(row)
            first = row == self._rows.start
            y = self._set_gap(row, y, slots, first)
            lowered = self._lowered(members[row])
            above, below = self._overhang(members[row], lowered)
            y += above
            for node in members[row]:
                out.unit_at[node] = (self._columns.span(self._cells[node])[0], y + lowered[node])
            y += max((self._units[node].height + lowered[node] for node in members[row]), default=0.0) + below
        if any(run.form is Form.FOOT for run in self._runs):
            y += max(space.bare_gap, self._label_room(self._rows.stop - 1) + 0.5 * space.arrow)
            out.foot_circle_y = y + space.circle
            y += 2 * space.circle
        out.height = y

    def _lowered(self, nodes: Sequence[str]) -> dict[str, float]:
        """Return how far each symbol of a row stands below its top, so that what is level with another meets it."""
        lowered = dict.fromkeys(nodes, 0.0)
        for node in nodes:
            beside = self._arrangement.level.get(node)
            if beside in lowered:
                middles = {each: self._units[each].side_exit(True, False)[1] for each in (node, beside)}
                lowered.update({each: max(middles.values()) - at for each, at in middles.items()})
        return lowered

    def _set_gap(self, row: int, y: float, slots: list[list[Lead]], first: bool) -> float:
        space = self._space
        empty = first and not self._on_top
        if not empty:
            self._out.gaps += 1
            y += self._stretch / 2
        label = self._label_room(row - 1) if not first else 0.0
        if not slots:
            tall = max(space.bare_gap, label + 0.55 * space.arrow)
            return y if empty else y + tall + self._stretch / 2
        y += label or (0.0 if empty else 0.3 * space.arrow)
        for slot in slots:
            height = max(self._slot_height(lead) for lead in slot)
            up = max(self._slot_rise(lead) for lead in slot)
            for lead in slot:
                self._out.lead_y[lead] = y + up
            y += height
        return y + space.arrow * 0.75 + (0.0 if empty else self._stretch / 2)

    def _slot_rise(self, lead: Lead) -> float:
        return self._space.circle + 2 if lead.entry else self._space.track / 2

    def _slot_height(self, lead: Lead) -> float:
        if lead.entry:
            return 2 * self._space.circle + 4 + self._space.reference * 1.15
        return self._space.track

    def _slots(self, row: int) -> list[list[Lead]]:
        """Return the leads of the gap above a row from top to bottom; opposite leads share a level.

        Lines from above come first, nearest track first; then lines from below, farthest track first: so
        no line has to cross another to reach its level.
        """
        slots: list[list[Lead]] = []
        for node, cell in sorted(self._cells.items()):
            if cell.row != row:
                continue
            sides = [self._leads(node, right) for right in (False, True)]
            for index in range(max(len(side) for side in sides)):
                slots.append([side[index] for side in sides if index < len(side)])
        return slots

    def _leads(self, target: str, right: bool) -> list[Lead]:
        row = self._cells[target].row
        above: list[tuple[int, str, Lead]] = []
        below: list[tuple[int, str, Lead]] = []
        entry = self._entries.get(target)
        if entry and target not in self._on_top and self._entry_side(target, entry) == right:
            above.append((-2, "", Lead(target, right, entry=entry)))
        for run in self._runs:
            if run.edge.target != target or run.form not in (Form.TRACK, Form.DROP):
                continue
            if self._arrives_right(run) != right:
                continue
            source = self._cells[run.edge.source].row
            lead = Lead(target, right, run=run)
            near = -1 if run.form is Form.DROP else row - source
            (above if source < row else below).append((abs(near) if source >= row else near, run.edge.label, lead))
        above.sort(key=lambda item: item[:2])
        below.sort(key=lambda item: item[:2], reverse=True)
        return [item[2] for item in above + below]

    def _entry_side(self, target: str, entry: Entry) -> bool:
        if self._cells[target].lane is Lane.BRANCH:
            return self._cells[target].column > 0
        return self._cells[target].lane is Lane.SIDE or not entry.later

    def entry_channel(self, target: str, right: bool) -> Channel:
        """Return the channel in which an entry connector beside the flow stands."""
        if self._cells[target].lane is Lane.SIDE:
            return Channel.RIGHT if right else Channel.INNER
        if not right:
            return Channel.LEFT
        return Channel.INNER if self._arrangement.side_lane else Channel.RIGHT

    def _arrives_right(self, run: Run) -> bool:
        """Tell whether a run comes to its target's middle from the right."""
        if run.form is Form.DROP:
            return run.right
        order = {Channel.LEFT: -1, Channel.INNER: 1, Channel.RIGHT: 3}
        place = 2 if self._cells[run.edge.target].lane is Lane.SIDE else 0
        return order[run.channel] > place

    def _label_room(self, row: int) -> float:
        heights = [
            label_height(run.edge, self._space)
            for run in self._runs
            if run.form in (Form.STRAIGHT, Form.FOOT, Form.DROP) and self._cells[run.edge.source].row == row
        ]
        return max(heights, default=0.0)

    def _overhang(self, chosen: Collection[str], lowered: Mapping[str, float]) -> tuple[float, float]:
        """Return how far labels and connectors beside the symbols stand out above and below the row."""
        above = below = 0.0
        high = max((self._units[node].height + lowered[node] for node in chosen), default=0.0)
        for run in self._runs:
            if run.edge.source not in chosen or run.form not in _SIDEWAYS:
                continue
            y = lowered[run.edge.source] + self._units[run.edge.source].side_exit(run.right, run.second)[1]
            above = max(above, label_height(run.edge, self._space) + 2 - y)
            if run.form is Form.STUB:
                above = max(above, self._space.circle + 2 - y)
                low = y + self._space.circle + self._space.reference * 1.25
                below = max(below, low - high)
        return above, below

    # Tracks and widths ---------------------------------------------------------------------------------

    def _set_tracks(self) -> None:
        out = self._out
        reach = self._columns.reach(self._arrangement)
        left_zone = self._zone(Channel.LEFT, False, -reach)
        tracks = self._assign(Channel.LEFT)
        self._place(tracks, Channel.LEFT, -reach - left_zone, -1)
        out.left = reach + left_zone + self._breadth(tracks)
        edge = reach
        if self._arrangement.side_lane:
            edge = self._set_inner(reach)
            if not any(self._cells[node].lane is Lane.SIDE for node in out.unit_at):
                edge -= self._columns.side
        zone = self._zone(Channel.RIGHT, True, edge)
        tracks = self._assign(Channel.RIGHT)
        self._place(tracks, Channel.RIGHT, edge + zone, 1)
        out.right = edge + zone + self._breadth(tracks)

    def _set_inner(self, reach: float) -> float:
        """Set the channel between main line and side lane; return the right edge of the side lane."""
        out = self._out
        near = self._zone(Channel.INNER, True, reach)
        tracks = self._assign(Channel.INNER)
        self._place(tracks, Channel.INNER, reach + near, 1)
        far = self._zone(Channel.INNER, False, SIDE_AT)
        start = reach + near + max(self._breadth(tracks), self._space.track) + far
        out.side_shift = start - SIDE_AT
        if (Channel.INNER, False) in out.stub_x:
            out.stub_x[(Channel.INNER, False)] += out.side_shift
        for node, (x, y) in list(out.unit_at.items()):
            if self._cells[node].lane is Lane.SIDE:
                out.unit_at[node] = (x + out.side_shift, y)
        return start + self._columns.side

    def _breadth(self, tracks: list[list[Run]]) -> float:
        return len(tracks) * self._space.track + (0.3 * self._space.track if tracks else 0.0)

    def _place(self, tracks: list[list[Run]], channel: Channel, start: float, way: int) -> None:
        for index, track in enumerate(tracks):
            for run in track:
                self._out.track_x[run.key] = start + way * (index + 0.7) * self._space.track

    def _zone(self, channel: Channel, right: bool, edge: float) -> float:
        """Return how wide the strip next to the symbols must be for labels and connectors; place the latter."""
        space = self._space
        way = 1 if right else -1
        zone = 0.0
        stubs = False
        for run in self._runs:
            if run.right != right or run.channel is not channel or run.form not in _SIDEWAYS:
                continue
            stubs |= run.form is Form.STUB
            unit = self._units[run.edge.source]
            start = self._columns.span(self._cells[run.edge.source])[0]
            x = start + unit.side_exit(run.right, False)[0]
            zone = max(zone, way * (x - edge) + label_width(run.edge, space) + 0.55 * space.label)
        entered = [node for node in self._out.lead_y if node.entry and node.right == right]
        stubs |= any(self.entry_channel(lead.target, right) is channel for lead in entered)
        if stubs:
            half = max(space.circle, self._reference_width() / 2)
            zone = max(zone, 0.35 * space.arrow) + half
            self._out.stub_x[(channel, right)] = edge + way * zone
            zone += half + 1
        return zone

    def _reference_width(self) -> float:
        # Two digits at least: while pages are being cut their numbers are not known yet.
        pages = ["\u2192 p 88"]
        pages += [f"\u2192 p {run.exit.page}" for run in self._runs if run.exit]
        pages += [f"\u2190 p {', '.join(map(str, entry.pages))}" for entry in self._entries.values()]
        return max((fonts.text_width(text, self._space.reference) for text in pages), default=0.0)

    def _assign(self, channel: Channel) -> list[list[Run]]:
        """Share the runs of a channel out to tracks, the shortest nearest to the symbols, none overlapping."""
        spans = []
        for run in self._runs:
            if run.form is Form.TRACK and run.channel is channel:
                lead = next(lead for lead in self._out.lead_y if lead.run is run)
                ends = sorted((self.exit_y(run), self._out.lead_y[lead]))
                spans.append((ends[1] - ends[0], run.key, ends, run))
        tracks: list[list[Run]] = []
        taken: list[list[list[float]]] = []
        for _, _, ends, run in sorted(spans, key=lambda item: item[:2]):
            margin = 0.4 * self._space.track
            free = [
                index
                for index, used in enumerate(taken)
                if all(ends[1] + margin < other[0] or ends[0] - margin > other[1] for other in used)
            ]
            index = free[0] if free else len(tracks)
            if not free:
                tracks.append([])
                taken.append([])
            tracks[index].append(run)
            taken[index].append(ends)
        return tracks

    def exit_y(self, run: Run) -> float:
        """Return the height at which a run leaves its symbol sideways."""
        unit = self._units[run.edge.source]
        return self._out.unit_at[run.edge.source][1] + unit.side_exit(run.right, run.second)[1]


def middle(columns: Columns, arrangement: Arrangement, settled: Settled, node: str) -> float:
    """Return the x of a symbol's middle in the settled page."""
    cell = arrangement.cells[node]
    return centre(columns, cell) + (settled.side_shift if cell.lane is Lane.SIDE else 0.0)
