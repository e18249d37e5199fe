"""An office's overrides laid over a pack's clauses, with both wordings kept for print."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from sopc.findings import Finding, Note, Severity, alike
from sopc.language import table
from sopc.language.syntax import Node, Token, span_of, text_of, wording
from sopc.model.entries import (
    PROCESSES,
    SCHEDULES,
    Clause,
    Entries,
    Entry,
    FiledNode,
    clauses_of,
    inner_clauses,
    missing,
)
from sopc.model.nouns import Overridden
from sopc.source import Span

MERGED = frozenset({"step", "program"})  # blocks of their own: overridden clause by clause
PROPERTIES = {"CATEGORY": "category", "HEAT": "heat", "SHAPE": "shape", "LOAD_KIND": "shape", "SINGLE": "single use"}


def override(entries: Entries, node: Node, file: str, pack: str) -> None:
    """Apply one override; `pack` is the pack whose text holds it, empty for the office's own."""
    token = node.token("NAME")
    assert token is not None
    span = span_of(file, token)
    entry = entries.of(node.kind).get(str(token))
    if entry is None:
        close = alike(str(token), entries.of(node.kind))
        fix = f"Did you mean “{close[0]}”?" if close else "An override names something that a pack declares."
        place = entries.unread.where(str(token), (node.kind,))
        if place is not None:
            fix = f"It stands in {place.title}, which nothing uses: write `{place.use}` in office.sop."
        entries.findings.append(
            Finding(
                "N04",
                Severity.ERROR,
                span,
                f"There is no {node.kind} “{token}” to override.",
                "The office's own value would be lost, and the pack's would be printed.",
                (),
                fix,
                (),
                place.cause if place else missing(str(token)),
            )
        )
        return
    if entry.pack == pack:
        entries.findings.append(
            Finding(
                "N14",
                Severity.ERROR,
                span,
                f"The {node.kind} “{token}” is {'the office’s own' if not pack else 'this pack’s own'}; "
                "only what a pack declares can be overridden.",
                "Paper would speak of a departure where there is none.",
                (),
                "Change it where it is declared.",
                (Note("declared here", entry.span),),
            )
        )
        return
    _Layer(entries, entry, node, file).apply()


def key_of(clause: Clause) -> str:
    """What makes two clauses speak of the same thing."""
    node = clause.node
    if node.kind in SCHEDULES:
        return "schedule"
    if node.kind in PROCESSES:
        return "process"
    if node.kind in ("step", "program", "column"):
        return f"{node.kind} {node.token('NAME')}"
    if node.kind in ("limit", "way_limit"):
        return "limit " + " ".join(wording(point) for point in node.nodes("point", "way_point"))
    if node.kind == "property":
        return PROPERTIES[node.first_token().type]
    return node.kind


def label_of(clause: Clause) -> str:
    """The clause as a reader would call it: its leading words."""
    key = key_of(clause)
    if " " in key or clause.node.kind in ("property", *SCHEDULES, *PROCESSES):
        return key
    leading: list[str] = []
    for token in clause.node.words():
        if not table.words_of(token.type) or token.type == "SIGNAL_WORD":
            break
        leading.append(str(token))
    return " ".join(leading) or key


class _Layer:
    """One override block on its way into one entry."""

    def __init__(self, entries: Entries, entry: Entry, node: Node, file: str) -> None:
        self.entries = entries
        self.entry = entry
        self.node = node
        self.file = file
        self.earlier = {done.clause: done for done in entry.overridden}

    def apply(self) -> None:
        """Replace what the block says anew."""
        name = self.node.tokens("NAME")[0]
        span = span_of(self.file, name)
        reason = _reason(self.node)
        fresh = _changes(self.node, self.file)
        if not reason and not (fresh and all(_reason(clause.node) for clause in fresh)):
            self._tell(
                "N06",
                span,
                f"The override of {self.node.kind} “{name}” gives no reason.",
                "An auditor will ask why the office departs from the pack.",
                'Add: because "…".',
            )
        title = text_of(self.node.token("STRING"))
        if title:
            self._keep(Overridden("title", self.entry.title, title, self.entry.span, span, reason))
            self.entry.title = title
        self.entry.clauses = self._lay(self.entry.clauses, fresh, reason, "")

    def _lay(self, base: list[Clause], fresh: list[Clause], reason: str, where: str) -> list[Clause]:
        merged = list(base)
        seen: set[str] = set()
        for clause in fresh:
            key = key_of(clause)
            old = [] if key in seen else [other for other in merged if key_of(other) == key]
            if clause.node.kind in ("choose", "together"):
                self._no_ways(clause)
            elif clause.node.kind == "step":
                merged = self._step(merged, clause, reason)
            elif clause.node.kind in MERGED and old:
                merged[merged.index(old[0])] = self._merged(old[0], clause, reason)
            else:
                merged = self._replaced(merged, old, clause, reason, where)
            seen.add(key)
        return merged

    def _replaced(
        self, merged: list[Clause], old: list[Clause], clause: Clause, reason: str, where: str
    ) -> list[Clause]:
        before = "; ".join(wording(other.node) for other in old)
        span = old[0].span if old else self.entry.span
        self._keep(Overridden(where + label_of(clause), before, wording(clause.node), span, clause.span, reason))
        place = merged.index(old[0]) if old else len(merged)
        kept = [other for other in merged if other not in old]
        return [*kept[:place], clause, *kept[place:]]

    def _merged(self, old: Clause, fresh: Clause, reason: str) -> Clause:
        """A step or program with some of its clauses said anew."""
        reason = _reason(fresh.node) or reason
        where = f"{key_of(old)}: "
        title = fresh.node.token("STRING")
        if title is not None and text_of(title) != text_of(old.node.token("STRING")):
            before = text_of(old.node.token("STRING"))
            spans = (old.span, span_of(fresh.file, title))
            self._keep(Overridden(where + "title", before, text_of(title), *spans, reason))
        inner = self._lay(inner_clauses(old), _changes(fresh.node, fresh.file), reason, where)
        return Clause(_rebuilt(old.node, inner, title), old.file)

    def _merged_node(self, file: str, fresh: Clause, reason: str, node: Node) -> Node:
        return self._merged(Clause(node, file), fresh, reason).node

    def _step(self, merged: list[Clause], fresh: Clause, reason: str) -> list[Clause]:
        """The parts of a procedure with one step changed, wherever it stands in ways and branches."""
        name = str(fresh.node.token("NAME"))
        for index, clause in enumerate(merged):
            if clause.node.kind not in ("step", "choose", "together"):
                continue
            changed = _with_step(clause.node, name, partial(self._merged_node, clause.file, fresh, reason))
            if changed is not None:
                return [*merged[:index], Clause(changed, clause.file), *merged[index + 1 :]]
        steps = [str(node.token("NAME")) for clause in merged for node in _steps(clause.node)]
        close = alike(name, steps)
        self._tell(
            "N04",
            span_of(fresh.file, fresh.node.tokens("NAME")[0]),
            f"There is no step “{name}” in “{self.entry.name}” to override.",
            "A new step would have no place in the order.",
            f"Did you mean “{close[0]}”?" if close else f"Its steps are {', '.join(steps) or 'none'}.",
        )
        return merged

    def _no_ways(self, clause: Clause) -> None:
        self._tell(
            "N15",
            span_of(clause.file, clause.node.first_token()),
            f"An override cannot put a “{clause.node.first_token()}” into a procedure.",
            "Its place in the order of the steps could not be told.",
            "Override single steps by their names, or write the whole procedure anew under a name of your own.",
        )

    def _keep(self, change: Overridden) -> None:
        before = self.earlier.get(change.clause)
        if before is not None:
            note = Note("first overridden here", before.office_span)
            sentence = f"“{change.clause}” of {self.entry.kind} “{self.entry.name}” is overridden twice."
            self.entries.findings.append(
                Finding(
                    "N05",
                    Severity.ERROR,
                    change.office_span,
                    sentence,
                    "Only one of the two can be followed.",
                    (),
                    "Delete one of them.",
                    (note,),
                )
            )
        self.entry.overridden.append(change)

    def _tell(self, code: str, span: Span, sentence: str, floor: str, fix: str) -> None:
        self.entries.findings.append(Finding(code, Severity.ERROR, span, sentence, floor, (), fix))


def _reason(node: Node) -> str:
    because = node.node("because")
    return text_of(because.token("STRING")) if because is not None else ""


def _changes(node: Node, file: str) -> list[Clause]:
    return [clause for clause in clauses_of(node, file) if clause.node.kind != "because"]


def _steps(node: Node) -> list[Node]:
    if node.kind == "step":
        return [node]
    if node.kind not in ("choose", "together", "way", "branch"):
        return []
    return [step for child in node.nodes() for step in _steps(child)]


def _with_step(node: Node, name: str, change: Callable[[Node], Node]) -> Node | None:
    """The node with the step of that name changed, or None when the step is not in it."""
    if node.kind == "step":
        return change(node) if str(node.token("NAME")) == name else None
    if node.kind not in ("choose", "together", "way", "branch"):
        return None
    for index, child in enumerate(node.children):
        changed = _with_step(child, name, change) if isinstance(child, Node) else None
        if changed is not None:
            return Node(node.kind, [*node.children[:index], changed, *node.children[index + 1 :]])
    return None


def _rebuilt(node: Node, clauses: list[Clause], title: Token | None) -> Node:
    """The node with other clauses in its block; it still spans the pack's text."""
    own = [child for child in node.children if isinstance(child, Token)]
    heads = [child for child in own if child.type != "RBRACE"]
    if title is not None:
        heads = [child for child in heads if child.type not in ("STRING", "LBRACE")]
        heads = [*heads, title]
    files = {id(clause.node): clause.file for clause in clauses}
    return FiledNode(node.kind, [*heads, *(clause.node for clause in clauses)], files, own[-1])
