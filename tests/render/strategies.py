"""Random charts of the kinds that procedures take: lines, checks that send back, asides, branches, choices."""

from __future__ import annotations

from dataclasses import dataclass, field

from hypothesis import strategies as st

from sopc.render.flowchart import Caution, Chart, Edge, EdgeKind, Node, Signal, Symbol

_WORDS = (
    "rinse", "dry", "the", "tray", "carry", "instruments", "under", "running", "water", "lid", "look", "at",
    "each", "tip", "autoclavable", "write", "load", "number", "bath", "for", "10\u00a0min", "basket",
)  # fmt: skip
_SHAPES = (
    Symbol.PROCESS, Symbol.PROCESS, Symbol.PROCESS, Symbol.PREDEFINED_PROCESS, Symbol.DOCUMENT,
    Symbol.MANUAL_OPERATION, Symbol.PREPARATION, Symbol.DELAY,
)  # fmt: skip

words = st.lists(st.sampled_from(_WORDS), min_size=1, max_size=9).map(" ".join)
labels = st.sampled_from(("No", "Yes", "Too wet", "No, at most 2 times", "More than 60\u00a0min"))


@dataclass
class _Growing:
    draw: st.DrawFn
    nodes: list[Node] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    main: list[str] = field(default_factory=list)

    def add(self, symbol: Symbol | None = None, text: str | None = None) -> str:
        number = len(self.nodes) + 1
        cautions = ()
        if symbol is None:
            symbol = self.draw(st.sampled_from(_SHAPES))
            if self.draw(st.integers(0, 5)) == 0:
                cautions = (Caution(self.draw(st.sampled_from(Signal)), self.draw(words)),)
        name = f"n{number:03d}"
        who = self.draw(st.sampled_from(("", "Assistant")))
        time = self.draw(st.sampled_from(("", "5\u201315 min")))
        shown = self.draw(words) if text is None else text
        plain = symbol in (Symbol.TERMINATOR, Symbol.PARALLEL_MODE)
        self.nodes.append(
            Node(
                name, symbol, shown, "" if plain else who, "" if plain else time, "" if plain else str(number), cautions
            )
        )
        return name

    def join_on(self, name: str, label: str = "") -> str:
        if self.main:
            self.edges.append(Edge(self.main[-1], name, self._pending or label))
        self._pending = ""
        self.main.append(name)
        return name

    _pending: str = ""

    def step(self) -> None:
        self.join_on(self.add())

    def check(self) -> None:
        """A decision with one or two exits beside its straight one."""
        earlier = [name for name in self.main if name != self.main[0]]
        name = self.join_on(self.add(Symbol.DECISION))
        for exit_number in range(self.draw(st.integers(1, 2))):
            label = f"{self.draw(labels)}{' ' * exit_number}".strip() or "No"
            way = self.draw(st.sampled_from(("loop", "aside", "end")))
            if way == "loop" and earlier:
                target = self.draw(st.sampled_from(earlier))
                self.edges.append(Edge(name, target, label, EdgeKind.LOOP))
            elif way == "aside" and earlier:
                self._aside(name, label, self.draw(st.sampled_from(earlier)))
            else:
                self._aside(name, label, None)
        self._pending = "Good"

    def _aside(self, source: str, label: str, back: str | None) -> None:
        first = self.add()
        self.edges.append(Edge(source, first, label, EdgeKind.EXCEPTION))
        if back is None:
            self.edges.append(Edge(first, self.add(Symbol.TERMINATOR)))
        else:
            self.edges.append(Edge(first, back, "", EdgeKind.LOOP))

    def branches(self) -> None:
        fork = self.join_on(self.add(Symbol.PARALLEL_MODE, ""))
        join = self.add(Symbol.PARALLEL_MODE, "")
        for _ in range(self.draw(st.integers(2, 3))):
            before = fork
            for _ in range(self.draw(st.integers(1, 3))):
                name = self.add()
                self.edges.append(Edge(before, name))
                before = name
            self.edges.append(Edge(before, join))
        self.main.append(join)

    def choice(self) -> None:
        name = self.join_on(self.add(Symbol.DECISION))
        meet = self.add()
        for index, label in enumerate(("First", "Second", "Third kind")):
            kind = EdgeKind.MAIN if index == 0 else EdgeKind.EXCEPTION
            head = self.add()
            self.edges.append(Edge(name, head, label, kind))
            self.edges.append(Edge(head, meet, "", EdgeKind.MAIN if index == 0 else EdgeKind.SIDE))
        self.main.append(meet)


@st.composite
def charts(draw: st.DrawFn, most_parts: int = 9) -> Chart:
    """A chart with a beginning, some parts, and an end."""
    growing = _Growing(draw)
    growing.join_on(growing.add(Symbol.TERMINATOR))
    parts = draw(st.lists(st.sampled_from("ssssccbw"), min_size=1, max_size=most_parts))
    for part in parts:
        {"s": growing.step, "c": growing.check, "b": growing.branches, "w": growing.choice}[part]()
    growing.join_on(growing.add(Symbol.TERMINATOR))
    return Chart("SOP-99", draw(words), tuple(growing.nodes), tuple(growing.edges), "1", footer=("Foot.",))
