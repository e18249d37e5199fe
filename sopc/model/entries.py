"""Declarations gathered by kind and name, with an office's overrides laid over the pack's clauses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from lark import Token

from sopc.findings import Finding, Note, Severity, alike
from sopc.language.read import Reading
from sopc.language.syntax import Node, span_of, text_of, wording
from sopc.model.nouns import Overridden
from sopc.source import Span

SCHEDULES = frozenset(
    ["each_patient", "each_load", "start_of_day", "end_of_day", "at_time", "every_day", "every_week", "every_month", "every_quarter", "every_year", "every_days", "after_event"]
)
NESTED = frozenset({"step", "program", "column"})  # clauses with a name of their own
REPEATABLE = (
    frozenset(
        ["cite", "meets", "note", "signal", "figure", "step", "limit", "program", "column", "history", "does", "runs", "perform", "check", "record", "property", "closed", "open", "phone", "choose", "together", "using"]
    )
    | SCHEDULES
)
NAMED = frozenset(
    ["source", "role", "zone", "area", "kind", "device", "item", "condition", "supply", "ppe", "action", "procedure", "task", "log", "training", "requirement"]
)


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

    def one(self, kind: str) -> Clause | None:
        """The clause of this kind, or None."""
        return next(self.all(kind), None)


def clauses_of(node: Node, file: str) -> list[Clause]:
    """The clauses of a block's node: every child node, with single tokens of a property kept inside theirs."""
    return [Clause(child, file) for child in node.nodes()]


def key_of(clause: Clause) -> str:
    """What makes two clauses speak of the same thing."""
    node = clause.node
    if node.kind in SCHEDULES:
        return "schedule"
    if node.kind in NESTED:
        return f"{node.kind} {node.token('NAME')}"
    if node.kind == "limit":
        return "limit " + " ".join(wording(point) for point in node.nodes("point"))
    if node.kind == "property":
        token = node.first_token()
        return f"property {'SHAPE' if token.type in ('SHAPE', 'LOAD_KIND') else token.type}"
    return node.kind


@dataclass(slots=True)
class Entries:
    """All declared things by kind and name, in the order of the text, and what was wrong with the declarations."""

    by_kind: dict[str, dict[str, Entry]] = field(default_factory=lambda: {kind: {} for kind in NAMED})
    findings: list[Finding] = field(default_factory=list)

    def of(self, kind: str) -> dict[str, Entry]:
        """The entries of one kind."""
        return self.by_kind[kind]


def gather(reading: Reading) -> Entries:
    """Collect the named declarations; each name once, overrides applied."""
    entries = Entries()
    overrides: list[tuple[Node, str, str]] = []
    for declaration in reading.declarations:
        node = declaration.node
        if node.kind == "override":
            overrides.extend((inner, declaration.file, declaration.pack) for inner in node.nodes())
        elif node.kind in NAMED:
            _declare(entries, node, declaration.file, declaration.pack)
    for node, file, _ in overrides:
        _override(entries, node, file)
    for entry in (entry for kind in entries.by_kind.values() for entry in kind.values()):
        _said_twice(entries, entry)
    return entries


def _declare(entries: Entries, node: Node, file: str, pack: str) -> None:
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


def _override(entries: Entries, node: Node, file: str) -> None:
    token = node.token("NAME")
    assert token is not None
    span = span_of(file, token)
    known = entries.of(node.kind)
    entry = known.get(str(token))
    if entry is None:
        close = alike(str(token), known)
        entries.findings.append(
            Finding(
                "N04",
                Severity.ERROR,
                span,
                f"There is no {node.kind} “{token}” to override.",
                "",
                (),
                f"Did you mean “{close[0]}”?" if close else "An override names something that a pack declares.",
            )
        )
        return
    title = text_of(node.token("STRING"))
    because = node.node("because")
    reason = text_of(because.token("STRING")) if because is not None else ""
    if not reason:
        entries.findings.append(
            Finding(
                "N06",
                Severity.ERROR,
                span,
                f"The override of {node.kind} “{token}” gives no reason.",
                "An auditor will ask why the office departs from the pack.",
                (),
                'Add: because "…".',
            )
        )
    if title:
        entry.overridden.append(Overridden("title", entry.title, title, entry.span, span, reason))
        entry.title = title
    fresh = [clause for clause in clauses_of(node, file) if clause.node.kind != "because"]
    entry.clauses = _lay_over(entry, entry.clauses, fresh, reason, "")


def _lay_over(entry: Entry, base: list[Clause], fresh: list[Clause], reason: str, where: str) -> list[Clause]:
    """Replace base clauses by fresh ones of the same key; steps and programs are merged clause by clause."""
    merged = list(base)
    seen: set[str] = set()
    for clause in fresh:
        key = key_of(clause)
        old = [other for other in merged if key_of(other) == key] if key not in seen else []
        if clause.node.kind in ("step", "program") and old:
            inner = _lay_over(
                entry,
                clauses_of(old[0].node, old[0].file),
                [c for c in clauses_of(clause.node, clause.file) if c.node.kind != "because"],
                _reason(clause.node) or reason,
                f"{key}: ",
            )
            merged[merged.index(old[0])] = Clause(_rebuilt(old[0].node, inner), old[0].file)
            continue
        seen.add(key)
        if old:
            entry.overridden.append(
                Overridden(
                    where + key.replace("_", " "),
                    "; ".join(wording(c.node) for c in old),
                    wording(clause.node),
                    old[0].span,
                    clause.span,
                    reason,
                )
            )
            place = merged.index(old[0])
            merged = [other for other in merged if other not in old]
            merged.insert(place, clause)
        else:
            entry.overridden.append(
                Overridden(where + key.replace("_", " "), "", wording(clause.node), entry.span, clause.span, reason)
            )
            merged.append(clause)
    return merged


def _reason(node: Node) -> str:
    because = node.node("because")
    return text_of(because.token("STRING")) if because is not None else ""


class FiledNode(Node):
    """A node put together from clauses of several files; each clause knows its own."""

    __slots__ = ("files",)

    def __init__(self, kind: str, children: list[Node | Token], files: dict[int, str]) -> None:
        super().__init__(kind, children)
        self.files = files


def _rebuilt(node: Node, clauses: list[Clause]) -> Node:
    heads = [child for child in node.children if isinstance(child, Token) and child.type != "RBRACE"]
    tail = [child for child in node.children if isinstance(child, Token) and child.type == "RBRACE"]
    files = {id(clause.node): clause.file for clause in clauses}
    return FiledNode(node.kind, [*heads, *(clause.node for clause in clauses), *tail], files)


def inner_clauses(clause: Clause) -> list[Clause]:
    """The clauses inside a clause with a block of its own, each with the file it came from."""
    files = clause.node.files if isinstance(clause.node, FiledNode) else {}
    return [Clause(node, files.get(id(node), clause.file)) for node in clause.node.nodes()]


def _said_twice(entries: Entries, entry: Entry) -> None:
    seen: dict[str, Clause] = {}
    for clause in entry.clauses:
        kind = clause.node.kind
        if kind in REPEATABLE:
            continue
        if kind in seen:
            entries.findings.append(
                Finding(
                    "N05",
                    Severity.ERROR,
                    clause.span,
                    f"“{clause.node.first_token()!s}” is said twice of {entry.kind} “{entry.name}”.",
                    "Only one of the two can be followed.",
                    (),
                    "Delete one of them.",
                    (Note("first said here", seen[kind].span),),
                )
            )
        seen.setdefault(kind, clause)
