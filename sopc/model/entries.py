"""Declared things by kind and name, with the clauses that say what they are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cache

from sopc.findings import Finding, Note, Severity
from sopc.language import table
from sopc.language.syntax import Node, Token, span_of, text_of
from sopc.language.unread import Unread
from sopc.model.nouns import Overridden
from sopc.source import Span

# fmt: off
SCHEDULES = frozenset([
    "each_patient", "each_load", "start_of_day", "end_of_day", "at_time", "every_day", "every_week", "every_month",
    "every_quarter", "every_year", "every_days", "after_event",
])
NESTED = frozenset(["step", "program", "column"])  # clauses with a name of their own
FLOW = frozenset(["step", "choose", "together"])
PROCESSES = frozenset(["steam", "dry_heat", "chemical_vapor", "hot_water", "hot_air"])
REPEATABLE = SCHEDULES | PROCESSES | frozenset([
    "cite", "meets", "note", "signal", "figure", "step", "limit", "program", "column", "history", "does", "runs",
    "perform", "check", "record", "requires", "property", "closed", "open", "phone", "choose", "together", "using",
    "booked", "way_limit",
])
NAMED = (
    "source", "role", "zone", "area", "kind", "device", "item", "condition", "supply", "ppe", "action", "procedure",
    "task", "log", "training", "requirement", "visit", "circuit", "caseload", "minimum", "bounds",
)
# fmt: on


@dataclass(frozen=True, slots=True)
class Clause:
    """One clause and the file it stands in: after an override, the clauses of one block come from several files."""

    node: Node
    file: str

    @property
    def span(self) -> Span:
        return span_of(self.file, self.node)


@dataclass(slots=True)
class Entry:
    """One declared thing: its name, its clauses after overrides, and what was overridden."""

    kind: str
    name: str
    title: str
    span: Span
    file: str
    pack: str
    clauses: list[Clause]
    overridden: list[Overridden] = field(default_factory=list)

    def all(self, *kinds: str) -> Iterator[Clause]:
        """The clauses of these kinds, in order."""
        for clause in self.clauses:
            if clause.node.kind in kinds:
                yield clause

    def overridden_in(self, block: str) -> list[Overridden]:
        """What was overridden in one block inside, such as `step wash`; the clauses are named without it."""
        lead = f"{block}: "
        return [
            replace(done, clause=done.clause.removeprefix(lead))
            for done in self.overridden
            if done.clause.startswith(lead)
        ]

    def one(self, kind: str) -> Clause | None:
        """The clause of this kind, or None."""
        return next(self.all(kind), None)


@cache
def reserved() -> frozenset[str]:
    """Words that would be taken for the beginning of a clause, or for something else, if they were names."""
    clauses = table.clause_words("") | table.clause_words("procedure") | table.clause_words("step")
    return clauses | {"procedure", "nothing", "machine", "staff"}


def missing(name: str) -> str:
    """The cause of all that is told because nothing of this name is declared."""
    return f"missing {name}"


def word_as_name(kind: str, name: str, span: Span) -> Finding:
    """The finding for a name that is a word of the language."""
    return Finding(
        "N13",
        Severity.ERROR,
        span,
        f"“{name}” is a word of the language and cannot be the name of this {kind}.",
        "Where the name is used it would be read as something else.",
        (),
        f"Call it something longer: {name}_1, or what it is for.",
    )


def clauses_of(node: Node, file: str) -> list[Clause]:
    """The clauses of a block's node: every child node, with single tokens of a property kept inside theirs."""
    return [Clause(child, file) for child in node.nodes()]


@dataclass(slots=True)
class Entries:
    """All declared things by kind and name, in the order of the text, and what was wrong with the declarations."""

    by_kind: dict[str, dict[str, Entry]] = field(default_factory=lambda: {kind: {} for kind in NAMED})
    findings: list[Finding] = field(default_factory=list)
    unread: Unread = field(default_factory=Unread)

    def of(self, kind: str) -> dict[str, Entry]:
        """The entries of one kind."""
        return self.by_kind[kind]


def declare(entries: Entries, node: Node, file: str, pack: str) -> None:
    token = node.token("NAME")
    assert token is not None
    name = str(token)
    span = span_of(file, token)
    earlier = entries.of(node.kind).get(name)
    if earlier is not None:
        own = earlier.pack != "" and pack == ""
        fix = (
            f"Write `override {node.kind} {name} {{ … }}` to change the pack's."
            if own
            else "Rename or delete one of them."
        )
        entries.findings.append(
            Finding(
                "N02",
                Severity.ERROR,
                span,
                f"The {node.kind} “{name}” is declared twice.",
                "Nobody could tell which of the two the paper follows.",
                (),
                fix,
                (Note("first declared here", earlier.span),),
            )
        )
        return
    if name in reserved():
        entries.findings.append(word_as_name(node.kind, name, span))
    title = text_of(node.token("STRING"))
    if not title:
        entries.findings.append(
            Finding(
                "N03",
                Severity.ERROR,
                span,
                f"The {node.kind} “{name}” has no title.",
                "Readers of the paper would see only its short name.",
                (),
                f'Write the title behind the name: {node.kind} {name} "…".',
            )
        )
    entries.of(node.kind)[name] = Entry(node.kind, name, title, span, file, pack, clauses_of(node, file))


class FiledNode(Node):
    """A node put together from clauses of several files; each clause knows its own, and the node its own end."""

    __slots__ = ("end", "files")

    def __init__(self, kind: str, children: list[Node | Token], files: dict[int, str], end: Token) -> None:
        super().__init__(kind, children)
        self.files = files
        self.end = end

    def last_token(self) -> Token:
        """The last token of the text that the node was first written in."""
        return self.end


def inner_clauses(clause: Clause) -> list[Clause]:
    """The clauses inside a clause with a block of its own, each with the file it came from."""
    files = clause.node.files if isinstance(clause.node, FiledNode) else {}
    return [Clause(node, files.get(id(node), clause.file)) for node in clause.node.nodes()]


def said_twice(findings: list[Finding], entry: Entry) -> None:
    """Tell of clauses that may be said only once."""
    seen: dict[str, Clause] = {}
    for clause in entry.clauses:
        kind = clause.node.kind
        if kind in REPEATABLE:
            continue
        if kind in seen:
            findings.append(
                Finding(
                    "N05",
                    Severity.ERROR,
                    clause.span,
                    f"“{clause.node.first_token()}” is said twice of {entry.kind} “{entry.name}”.",
                    "Only one of the two can be followed.",
                    (),
                    "Delete one of them.",
                    (Note("first said here", seen[kind].span),),
                )
            )
        seen.setdefault(kind, clause)
