"""Invented procedures, as charts, that the drawing tests share."""

from __future__ import annotations

from itertools import pairwise

from sopc.render.flowchart import Caution, Chart, Edge, EdgeKind, Node, Signal, Symbol

MAIN, EXCEPTION, SIDE, LOOP = EdgeKind.MAIN, EdgeKind.EXCEPTION, EdgeKind.SIDE, EdgeKind.LOOP
FOOTER = (
    "Follow the maker's instructions, local codes and licensed practice where they ask for more than this chart.",
)


def _line(*nodes: Node) -> tuple[Edge, ...]:
    return tuple(Edge(a.id, b.id) for a, b in pairwise(nodes))


def _step(number: int, text: str, who: str = "Assistant", time: str = "", **more: object) -> Node:
    symbol = more.pop("symbol", Symbol.PROCESS)
    assert isinstance(symbol, Symbol)
    return Node(f"s{number:02d}", symbol, text, who, time, str(number), **more)  # type: ignore[arg-type]


def _chart(name: str, title: str, nodes: tuple[Node, ...], edges: tuple[Edge, ...]) -> Chart:
    return Chart(name, title, nodes, edges, "3", ("In force from 1 December 2026",), FOOTER)


START = Node("begin", Symbol.TERMINATOR, "Last patient has left the room")
END = Node("end", Symbol.TERMINATOR, "Ready for the next patient")


def linear() -> Chart:
    """Fourteen steps in a row, three of them with safety messages."""
    sharps = Caution(Signal.WARNING, "Sharp tips can pierce gloves. Handle tips with forceps only.")
    splash = Caution(Signal.CAUTION, "Splashes irritate eyes. Keep the shield down.")
    spoil = Caution(Signal.NOTICE, "A wet tray spoils the label.")
    burn = Caution(Signal.DANGER, "Steam burns to the bone. Never force the door.")
    steps = (
        _step(1, "Put on utility gloves, mask and eyewear", time="1 min"),
        _step(2, "Carry the closed cassette to the cleaning area", time="2 min"),
        _step(3, "Remove all tips from the handles", time="1 min", cautions=(sharps,)),
        _step(4, "Mix the alkaline detergent 1 part to 49 parts water", cautions=(splash,)),
        _step(5, "Soak the tips in the bath", symbol=Symbol.DELAY, time="10 min"),
        _step(6, "Rinse under running water", time="1 min"),
        _step(7, "Dry with a lint-free towel", time="2 min", symbol=Symbol.MANUAL_OPERATION),
        _step(8, "Look at each tip under the magnifier", time="3 min"),
        _step(9, "Lay the tips on the tray", cautions=(spoil,)),
        _step(10, "Write date, load number and initials on the label", symbol=Symbol.DOCUMENT),
        _step(11, "Load the steam sterilizer", time="2 min", notes=("Paper side of pouches up.",)),
        _step(12, "Run program \u201cwrapped\u201d, 132\u00a0\u00b0C for 4\u00a0min", time="52 min"),
        _step(13, "Open the door when the pressure shows zero", cautions=(burn,)),
        _step(14, "Store packages, see SOP-07", symbol=Symbol.PREDEFINED_PROCESS, who=""),
    )
    return _chart("SOP-03", "Reprocess scaler tips", (START, *steps, END), _line(START, *steps, END))


def inspection() -> Chart:
    """A check that sends back twice at most, and an aside for what is worn out."""
    wash = _step(1, "Run the bath with the lid on", time="5\u201315 min")
    rinse = _step(2, "Rinse and dry the instruments", time="4 min")
    clean = Node("q1", Symbol.DECISION, "Free of debris under the magnifier?", number="3")
    worn = Node("q2", Symbol.DECISION, "Cracked, bent or rusted?", number="4")
    pack = _step(5, "Seal each set in a pouch with an indicator inside", time="3 min")
    sort_out = Node("out1", Symbol.PROCESS, "Put aside in the red tray", "Assistant", "", "6")
    record = Node("out2", Symbol.DOCUMENT, "Write it in the repair log", "Office lead", "", "7")
    gone = Node("out3", Symbol.TERMINATOR, "Out of use")
    edges = (
        Edge("begin", "s01"),
        *_line(wash, rinse, clean),
        Edge("q1", "q2", "Yes"),
        Edge("q1", "s01", "No, at most 2 times", LOOP),
        Edge("q1", "out1", "No, third time", EXCEPTION),
        Edge("q2", "s05", "No"),
        Edge("q2", "out1", "Yes", EXCEPTION),
        Edge("s05", "end"),
        *_line(sort_out, record, gone),
    )
    nodes = (START, wash, rinse, clean, worn, pack, END, sort_out, record, gone)
    return _chart("SOP-04", "Inspect and pack", nodes, edges)


def branches() -> Chart:
    """Two pieces of work done at the same time by two people."""
    fork, join = Node("fork", Symbol.PARALLEL_MODE), Node("join", Symbol.PARALLEL_MODE)
    first = _step(1, "Take off the used barriers", time="1 min")
    left = (
        _step(2, "Wipe chair, lamp and tray", time="2 min"),
        _step(3, "Keep surfaces wet", symbol=Symbol.DELAY, time="3 min"),
    )
    right = (
        _step(4, "Flush the water lines", "Hygienist", "2 min"),
        _step(5, "Empty the trap", "Hygienist", "1 min"),
        _step(6, "Refill soap and towels", "Hygienist", ""),
    )
    last = _step(7, "Put on new barriers", time="2 min")
    edges = (
        *_line(START, first, fork),
        Edge("fork", "s02"),
        Edge("fork", "s04"),
        *_line(*left, join),
        *_line(*right, join),
        *_line(join, last, END),
    )
    return _chart("SOP-01", "Turn over a treatment room", (START, first, fork, *left, *right, join, last, END), edges)


def choice() -> Chart:
    """Three ways by the kind of item, meeting again before storage."""
    ask = Node("kind", Symbol.DECISION, "Which kind of item?", number="2")
    first = _step(1, "Sort the instruments by kind", time="2 min", symbol=Symbol.PREPARATION)
    wrapped = _step(3, "Wrap in two sheets and tape", time="2 min")
    pouch = _step(4, "Seal in a pouch", time="1 min")
    bare = _step(5, "Place bare on the tray", time="1 min")
    use_now = _step(6, "Use within the hour")
    last = _step(7, "Load the sterilizer", time="2 min")
    edges = (
        *_line(START, first, ask),
        Edge("kind", "s03", "Cassette"),
        Edge("kind", "s04", "Single", EXCEPTION),
        Edge("kind", "s05", "For now", EXCEPTION),
        Edge("s03", "s07"),
        Edge("s04", "s07", kind=SIDE),
        Edge("s05", "s06"),
        Edge("s06", "s07", kind=SIDE),
        *_line(last, END),
    )
    return _chart(
        "SOP-05", "Choose the packaging", (START, first, ask, wrapped, pouch, bare, use_now, last, END), edges
    )


def long() -> Chart:
    """Twenty-four steps with a check whose loop and exception span pages."""
    words = (
        "Fill the tank to the mark", "Add the cleaning solution", "Degas the bath", "Load the basket loosely",
        "Close the lid", "Start the timer", "Lift the basket out", "Rinse over the sink", "Drain on the rack",
        "Dry with compressed air", "Oil the hinges", "Open and close each hinge", "Sort by tray card",
        "Count against the card", "Place the indicator strip", "Close the cassette", "Wrap with the long edge down",
        "Tape and label", "Set on the left rack", "Empty the tank", "Wipe the tank dry", "Wash your hands",
    )  # fmt: skip
    steps = tuple(_step(n + 1, word, time=f"{n % 4 + 1} min") for n, word in enumerate(words))
    check = Node("check", Symbol.DECISION, "Clean at every hinge?")
    stop = Node("stop", Symbol.PROCESS, "Tell the office lead and label the tray \u201chold\u201d", "Assistant")
    held = Node("held", Symbol.TERMINATOR, "Tray on hold")
    edges = (
        *_line(START, *steps[:12], check),
        Edge("check", "s13", "Yes"),
        Edge("check", "s04", "No", LOOP),
        Edge("check", "stop", "Third time", EXCEPTION),
        *_line(*steps[12:], END),
        *_line(stop, held),
    )
    return _chart("SOP-09", "Clean hinged instruments", (START, *steps, check, END, stop, held), edges)


ALL = {"linear": linear, "inspection": inspection, "branches": branches, "choice": choice, "long": long}
