"""The parts of a procedure: steps, ways, branches, what follows on a no, limits between them."""

from __future__ import annotations

import string
from collections.abc import Iterable, Iterator

from sopc.findings import Finding, Note, Severity, alike
from sopc.language.syntax import Node, Token, span_of, text_of
from sopc.model.acts import bound_of, doing, figure, performers, performing, recording, signal, wearing_of
from sopc.model.entries import Clause, Entry, inner_clauses, reserved, said_twice, word_as_name
from sopc.model.nouns import (
    AnotherPerson,
    Branch,
    Check,
    Choice,
    Duration,
    GoTo,
    Limit,
    Outcome,
    Part,
    PerformThen,
    Point,
    Proceed,
    Repeat,
    Run,
    Step,
    Stop,
    Together,
    Way,
)
from sopc.model.values import Values, text
from sopc.source import Span
from sopc.trade.quantities import Dimension

FLOW = ("step", "choose", "together")
MOST_REPEATS = 20  # times a step can be repeated; nobody counts further
MOST_OUTCOMES = 8  # outcomes that follow one another by “then”


class Scribe:
    """Builds the parts of one procedure; knows its step names and its defaults."""

    def __init__(self, values: Values, entry: Entry) -> None:
        self.values = values
        self.entry = entry
        self.steps: dict[str, Span] = {}
        self.by = performers(values, entry.one("by"))
        worn = wearing_of(values, entry.one("wearing"))
        self.wearing, self.says_wearing = worn or (), worn is not None
        self.area = values.one_name(entry.one("in_area"), "area")
        self._collect([clause for clause in entry.clauses if clause.node.kind in FLOW])

    def _collect(self, clauses: list[Clause]) -> None:
        for clause in clauses:
            if clause.node.kind != "step":
                for arm in clause.node.nodes("way", "branch"):
                    self._collect([Clause(node, clause.file) for node in arm.nodes(*FLOW)])
                continue
            token = clause.node.tokens("NAME")[0]
            name, span = str(token), span_of(clause.file, token)
            if name in reserved():
                self.values.findings.append(word_as_name("step", name, span))
            if name in self.steps:
                self.values.findings.append(
                    Finding(
                        "N02",
                        Severity.ERROR,
                        span,
                        f"The step “{name}” is declared twice in “{self.entry.name}”.",
                        "A jump to it could lead to either.",
                        (),
                        "Rename one of them.",
                        (Note("first declared here", self.steps[name]),),
                    )
                )
            self.steps.setdefault(name, span)

    def step_name(self, token: Token, file: str) -> str | None:
        """The name of a step of this procedure, or None and a finding."""
        if str(token) in self.steps:
            return str(token)
        self.values.findings.append(unknown_step(token, file, self.entry.name, self.steps))
        return None

    def parts(self, clauses: list[Clause], prefix: str) -> tuple[Part, ...]:
        """The parts in order, numbered within `prefix`."""
        made: list[Part] = []
        for index, clause in enumerate(clauses, 1):
            number = f"{prefix}{index}"
            if clause.node.kind == "step":
                made.append(self.step(clause, number))
            elif clause.node.kind == "choose":
                made.append(self._choice(clause, number))
            else:
                made.append(self._together(clause, number))
        return tuple(made)

    def _choice(self, clause: Clause, number: str) -> Choice:
        ways = []
        for letter, node in zip(_letters(), clause.node.nodes("way"), strict=False):
            title, *when = (text_of(token) for token in node.tokens("STRING"))
            inner = [Clause(part, clause.file) for part in node.nodes(*FLOW)]
            ways.append(
                Way(
                    title,
                    when[0] if when else "",
                    self.parts(inner, f"{number}{letter}."),
                    span_of(clause.file, node),
                )
            )
        return Choice(text_of(clause.node.token("STRING")), tuple(ways), clause.span, number)

    def _together(self, clause: Clause, number: str) -> Together:
        branches = []
        for letter, node in zip(_letters(), clause.node.nodes("branch"), strict=False):
            inner = [Clause(part, clause.file) for part in node.nodes(*FLOW)]
            branches.append(
                Branch(
                    text_of(node.token("STRING")),
                    self.parts(inner, f"{number}{letter}."),
                    span_of(clause.file, node),
                )
            )
        return Together(tuple(branches), clause.span, number)

    def step(self, clause: Clause, number: str) -> Step:
        """One step with the procedure's defaults filled in."""
        values = self.values
        token = clause.node.tokens("NAME")[0]
        inner = Entry(
            "step",
            str(token),
            text_of(clause.node.token("STRING")),
            span_of(clause.file, token),
            clause.file,
            self.entry.pack,
            inner_clauses(clause),
            self.entry.overridden_in(f"step {token}"),
        )
        said_twice(values.findings, inner)
        if not inner.title:
            self._untitled(inner)
        runs = tuple(run for c in inner.all("runs") if (run := self._run(c)) is not None)
        wearing = wearing_of(values, inner.one("wearing"))
        onward = inner.one("onward")
        return Step(
            **values.common(inner),
            number=number,
            by=performers(values, inner.one("by")) or self.by,
            second_person=values.one_name(inner.one("second_person"), "role"),
            another=self._another(inner.one("another")),
            wearing=self.wearing if wearing is None else wearing,
            says_wearing=self.says_wearing or wearing is not None,
            area=values.one_name(inner.one("in_area"), "area") or self.area,
            does=tuple(done for c in inner.all("does") if (done := doing(values, c, "item")) is not None),
            runs=runs,
            using=tuple(name for c in inner.all("using") for name in values.names(c, "device", "supply")),
            performs=tuple(work for c in inner.all("perform") if (work := performing(values, c, "item")) is not None),
            takes=values.duration(inner.one("takes")) or self._program_time(runs),
            rewet=values.amount(inner.one("rewet"), Dimension.TIME),
            when=text(inner.one("when")),
            checks=tuple(self._check(c) for c in inner.all("check")),
            onward=self._outcome_in(onward) if onward else None,
            records=tuple(made for c in inner.all("record") if (made := recording(values, c)) is not None),
            signals=tuple(signal(c) for c in inner.all("signal")),
            figures=tuple(figure(c) for c in inner.all("figure")),
        )

    def _another(self, clause: Clause | None) -> AnotherPerson | None:
        listed = clause.node.node("names") if clause is not None else None
        if clause is None or listed is None:
            return None
        named = (self.step_name(token, clause.file) for token in listed.tokens("NAME"))
        return AnotherPerson(tuple(name for name in named if name), clause.span)

    def _untitled(self, inner: Entry) -> None:
        self.values.findings.append(
            Finding(
                "N03",
                Severity.ERROR,
                inner.span,
                f"The step “{inner.name}” has no title.",
                "The title is what the reader is told to do.",
                (),
                f'Write it behind the name: step {inner.name} "…".',
            )
        )

    def _run(self, clause: Clause) -> Run | None:
        device_token, program_token = clause.node.tokens("NAME")
        device = self.values.name(device_token, clause.file, "device")
        if device is None:
            return None
        programs = [str(c.node.token("NAME")) for c in self.values.entries.of("device")[device].all("program")]
        if str(program_token) not in programs:
            close = alike(str(program_token), programs)
            self.values.findings.append(
                Finding(
                    "N09",
                    Severity.ERROR,
                    span_of(clause.file, program_token),
                    f"Device “{device}” has no program “{program_token}”.",
                    "Staff would look for it on the panel in vain.",
                    (),
                    f"Did you mean “{close[0]}”?" if close else f"Its programs are {', '.join(programs) or 'none'}.",
                )
            )
            return None
        return Run(device, str(program_token), clause.span)

    def _program_time(self, runs: tuple[Run, ...]) -> Duration | None:
        for run in runs:
            for clause in self.values.entries.of("device")[run.device].all("program"):
                if str(clause.node.token("NAME")) == run.program:
                    lasts = next((c for c in inner_clauses(clause) if c.node.kind == "lasts"), None)
                    # What is wrong with the program's own time was told where it is declared.
                    return Values(self.values.entries).duration(lasts)
        return None

    def _check(self, clause: Clause) -> Check:
        lose = clause.node.node("lose")
        lost = Clause(lose, clause.file) if lose is not None else None
        return Check(
            text_of(clause.node.token("STRING")),
            self.values.names(lost, "condition"),
            self._outcome_in(clause),
            clause.span,
        )

    def _outcome_in(self, clause: Clause) -> Outcome | None:
        node = _outcome_node(clause.node)
        depth, last = 0, node
        while last is not None:
            depth, last = depth + 1, _outcome_node(last)
        if node is not None and depth > MOST_OUTCOMES:
            self.values.findings.append(
                Finding(
                    "N16",
                    Severity.ERROR,
                    span_of(clause.file, node),
                    f"{depth} outcomes follow one another here.",
                    "Nobody can keep more than two or three in mind.",
                    (),
                    "Make steps of them.",
                )
            )
            return None
        return self._outcome(node, clause.file) if node is not None else None

    def _outcome(self, node: Node, file: str) -> Outcome | None:
        span = span_of(file, node)
        if node.kind == "stop":
            return Stop(text_of(node.token("STRING")), span)
        if node.kind == "proceed":
            return Proceed(span)
        if node.kind == "go_to":
            target = self.step_name(node.tokens("NAME")[0], file)
            return GoTo(target, span) if target else None
        inner = _outcome_node(node)
        afterwards = self._outcome(inner, file) if inner is not None else None
        if node.kind == "perform_then":
            name = self.values.name(node.tokens("NAME")[0], file, "procedure")
            return PerformThen(name, afterwards, span) if name and afterwards else None
        target = self.step_name(node.tokens("NAME")[0], file)
        number = node.token("NUMBER")
        at_most = self.values.whole_token(number, file, MOST_REPEATS, 1) if number else None
        return Repeat(target, at_most, afterwards, span) if target else None

    def limit(self, clause: Clause) -> Limit | None:
        """A limit between two points; None when a point or a quantity is wrong."""
        values = self.values
        later, earlier = (self._point(node, clause.file) for node in clause.node.nodes("point"))
        amounts = bound_of(values, clause)
        if later is None or earlier is None or amounts is None:
            return None
        least, most = amounts
        listed = clause.node.node("names")
        unless = tuple(
            name for token in (listed.tokens("NAME") if listed else []) if (name := self.step_name(token, clause.file))
        )
        inner = inner_clauses(clause)
        because = next((c for c in inner if c.node.kind == "because"), None)
        return Limit(later, earlier, least, most, unless, values.citations(inner), text(because), clause.span)

    def _point(self, node: Node, file: str) -> Point | None:
        edge = str(node.token("EDGE"))
        name = node.token("NAME")
        if name is None:
            return Point(None, edge, span_of(file, node))
        step = self.step_name(name, file)
        return Point(step, edge, span_of(file, node)) if step else None


def steps_written(entry: Entry) -> tuple[str, ...]:
    """The names of all steps of a declared procedure."""
    found: list[str] = []
    waiting = [clause.node for clause in reversed(entry.clauses)]
    while waiting:
        node = waiting.pop()
        if node.kind == "step":
            found.append(str(node.token("NAME")))
        elif node.kind in ("choose", "way", "together", "branch"):
            waiting += reversed(list(node.nodes()))
    return tuple(found)


def unknown_step(token: Token, file: str, procedure: str, known: Iterable[str]) -> Finding:
    """The finding for a step that the procedure does not have."""
    close = alike(str(token), known)
    return Finding(
        "N08",
        Severity.ERROR,
        span_of(file, token),
        f"There is no step “{token}” in “{procedure}”.",
        "The reader would be sent to a step that is not there.",
        (),
        f"Did you mean “{close[0]}”?" if close else f"Its steps are {', '.join(known)}.",
        (),
        f"missing step {token} of {procedure}",
    )


def _outcome_node(node: Node) -> Node | None:
    return next(node.nodes("repeat", "go_to", "stop", "proceed", "perform_then"), None)


def _letters() -> Iterator[str]:
    """A, B … Z, AA, AB …"""
    alphabet = string.ascii_uppercase
    yield from alphabet
    yield from (first + second for first in alphabet for second in alphabet)
