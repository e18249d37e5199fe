"""An office as texts with their syntax trees: where clauses stand, and how to cut or change one of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from sopc.language.parse import parse
from sopc.language.syntax import Node, Token, text_of
from sopc.model.nouns import Office, Procedure, Step
from sopc.source import SourceFile

BLOCKS = frozenset(
    {"office", "source", "role", "area", "ppe", "device", "program", "item", "condition", "supply", "action"}
    | {"procedure", "step", "limit", "task", "log", "training", "requirement", "visit", "circuit", "caseload"}
    | {"minimum", "bounds", "way_limit"}
)
PUBLISHED = frozenset({"minimum", "bounds", "requires"})
"""What the texts are held against: only its source can tell that such a row or sentence was copied wrongly."""


@dataclass(frozen=True, slots=True)
class Text:
    """One file and its tree."""

    name: str
    text: str
    tree: Node

    @property
    def pack(self) -> bool:
        """Whether it belongs to a pack."""
        return self.name.startswith("packs/")


@dataclass(frozen=True, slots=True)
class Edit:
    """A stretch of one file, by character, and what stands there instead."""

    file: str
    start: int
    end: int
    new: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """A node and the nodes around it, outermost first."""

    text: Text
    node: Node
    around: tuple[Node, ...]

    @property
    def line(self) -> int:
        """The line on which it begins."""
        return self.node.first_token().line or 0

    def block(self) -> Node:
        """The innermost thing declared around it, itself included."""
        inside = (self.node, *reversed(self.around))
        return next((node for node in inside if node.kind in BLOCKS), self.node)

    def within(self, kind: str) -> Node | None:
        """The nearest node of this kind around it."""
        return next((node for node in reversed(self.around) if node.kind == kind), None)

    def where(self) -> str:
        """The names of what it stands in, as a reader would say them."""
        named = [name_of(node) for node in (*self.around, self.node) if node.kind in BLOCKS and name_of(node)]
        return f"{self.text.name}:{self.line} {' / '.join(dict.fromkeys(named))}"

    def drop(self) -> Edit:
        """The edit that takes this node out."""
        return cut(self.text, self.node)

    def replace(self, part: Node | Token, new: str) -> Edit:
        """The edit that puts other words in the place of a part of it."""
        start, end = ends(part)
        return Edit(self.text.name, start, end, new)


@dataclass(frozen=True, slots=True)
class Protocol:
    """All texts of an office that compiles, its packs included, and the office they make."""

    texts: tuple[Text, ...]
    office: Office
    others: Mapping[str, str] = field(default_factory=dict)

    def sites(self, *kinds: str, packs: bool = True) -> Iterator[Site]:
        """All nodes of these kinds, in the order of the texts."""
        for text in self.texts:
            if packs or not text.pack:
                yield from _sites(text, set(kinds))

    def procedure(self, site: Site) -> Procedure | None:
        """The procedure that this site stands in."""
        node = site.node if site.node.kind == "procedure" else site.within("procedure")
        return self.office.procedures.get(name_of(node)) if node is not None else None

    def step(self, site: Site) -> Step | None:
        """The step that this site is or stands in."""
        node = site.node if site.node.kind == "step" else site.within("step")
        procedure = self.procedure(site)
        return procedure.step(name_of(node)) if node is not None and procedure is not None else None

    def backed(self, site: Site) -> bool:
        """Whether the block it stands in rests on more than the office's own custom: a source or a requirement."""
        block = site.block()
        cited = (self.office.sources.get(name_of(cite)) for cite in block.nodes("cite"))
        sourced = any(source is not None and source.authority != "practice" for source in cited)
        return sourced or block.node("meets") is not None


def _sites(text: Text, kinds: set[str]) -> Iterator[Site]:
    waiting: list[tuple[Node, tuple[Node, ...]]] = [(text.tree, ())]
    while waiting:
        node, around = waiting.pop()
        if node.kind in kinds:
            yield Site(text, node, around)
        inside = [child for child in node.children if isinstance(child, Node) and child.kind not in PUBLISHED - kinds]
        waiting += [(child, (*around, node)) for child in reversed(inside)]


def name_of(node: Node) -> str:
    """The name a declaration or clause gives; empty when there is none."""
    return str(node.token("NAME") or "")


def title_of(node: Node) -> str:
    """The title of a declaration."""
    return text_of(node.token("STRING"))


def ends(part: Node | Token) -> tuple[int, int]:
    """First character and the one after the last."""
    first = part if isinstance(part, Token) else part.first_token()
    last = part if isinstance(part, Token) else part.last_token()
    assert first.start_pos is not None
    assert last.end_pos is not None
    return first.start_pos, last.end_pos


def cut(text: Text, part: Node | Token) -> Edit:
    """Take a part out, with its line when nothing else stands there."""
    start, end = ends(part)
    before = text.text.rfind("\n", 0, start) + 1
    after = text.text.find("\n", end)
    alone = not text.text[before:start].strip() and after >= 0 and not text.text[end:after].strip()
    return Edit(text.name, before, after + 1) if alone else Edit(text.name, start, end)


def wording(text: Text, part: Node | Token) -> str:
    """A part as it is written."""
    start, end = ends(part)
    return text.text[start:end]


def edited(texts: Mapping[str, str], edits: tuple[Edit, ...]) -> dict[str, str]:
    """The texts that an edit touches, as they read afterwards. Edits of one file do not overlap."""
    changed: dict[str, str] = {}
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        text = changed.get(edit.file, texts[edit.file])
        changed[edit.file] = text[: edit.start] + edit.new + text[edit.end :]
    return changed


def texts_of(folder: Path, packs: Path) -> dict[str, str]:
    """Every text of an office folder and of the shipped packs, by the name it has in the folder."""
    own = {path.relative_to(folder).as_posix(): path for path in sorted(folder.rglob("*.sop"))}
    lent = {f"packs/{path.relative_to(packs).as_posix()}": path for path in sorted(packs.rglob("*.sop"))}
    return {name: SourceFile.from_text(name, path.read_text("utf-8")).text for name, path in {**lent, **own}.items()}


def parsed(name: str, text: str) -> Text:
    """A text with its tree; it must be without mistakes."""
    tree, findings = parse(SourceFile.from_text(name, text))
    assert tree is not None, findings
    return Text(name, text, tree)
