"""Read an office's texts, follow what they use, and hand over the declarations with their files."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field

from sopc.findings import Finding, Severity, alike
from sopc.language.folder import Folder, tidy
from sopc.language.parse import parse
from sopc.language.syntax import Node, span_of, text_of, wording
from sopc.language.unread import Unread, file_place
from sopc.source import NOWHERE, Problem, SourceFile, Span

MOST_FILES = 2000
DEEPEST_USE = 50


@dataclass(frozen=True, slots=True)
class Declaration:
    """One declaration: its syntax, the file it stands in, and the pack it belongs to (empty: the office's own)."""

    node: Node
    file: str
    pack: str


@dataclass(slots=True)
class Reading:
    """What a folder says, before its meaning is worked out. `readable` is False when anything is missing from it."""

    declarations: list[Declaration] = field(default_factory=list)
    files: dict[str, SourceFile] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    packs: list[str] = field(default_factory=list)
    packs_used_at: dict[str, Span] = field(default_factory=dict)
    unread: Unread = field(default_factory=Unread)

    @property
    def readable(self) -> bool:
        return not any(finding.severity is Severity.ERROR for finding in self.findings)

    @property
    def digest(self) -> str:
        """SHA-256 over names and texts of all files read, hexadecimal."""
        total = hashlib.sha256()
        for name in sorted(self.files):
            total.update(name.encode() + b"\0" + self.files[name].text.encode() + b"\0")
        return total.hexdigest()


PROBLEMS = {
    "R01": (
        "This file is {detail} large; the largest that is read is 8 MiB.",
        "A text of that size is not a protocol.",
        "Keep pictures and records elsewhere, and split long texts by `use`.",
    ),
    "R02": (
        "This file cannot be read: {detail}.",
        "Nothing from it reaches paper.",
        "See that it is an ordinary file you may open.",
    ),
    "R03": (
        "This file is not in UTF-8 ({detail}).",
        "Its letters cannot be told for certain.",
        "Save it again with the encoding UTF-8.",
    ),
    "R04": (
        "This file is not text: it holds NUL bytes.",
        "Nothing from it reaches paper.",
        "Give it another name than .sop, or save the text again.",
    ),
    "R11": (
        "“{name}” is a link that leads out of the office folder.",
        "What it points to could change without anyone seeing it here.",
        "Copy the file into the folder.",
    ),
    "R12": ("There is no file “{name}”.", "What it should say is missing from every paper.", ""),
}


def read_office(folder: Folder) -> Reading:
    """Read every top-level text and all that they use, each once, in order."""
    reading = Reading()
    reading.unread = Unread(folder, reading.files, reading.packs)
    names = folder.top_level()
    if not names:
        reading.findings.append(
            Finding(
                "R09",
                Severity.ERROR,
                NOWHERE,
                "There is no .sop file in this folder.",
                "There is nothing to print.",
                (),
                "Name the office's folder, or begin one with `sopc init FOLDER`.",
            )
        )
    for name in names:
        _read_file(reading, folder, name, "", NOWHERE, ())
    if reading.readable:
        _left_out(reading, folder)
    return reading


def _left_out(reading: Reading, folder: Folder) -> None:
    """Tell of texts in the folder that nothing uses; packs may lie there unused."""
    for name in folder.known():
        if name not in reading.files and not name.startswith("packs/"):
            reading.findings.append(
                Finding(
                    "R07",
                    Severity.WARNING,
                    Span(name, 1, 1, 1, 1),
                    f"Nothing uses the file “{name}”.",
                    "What it says is on no paper.",
                    (),
                    f'Write in office.sop: use "{name}"; or delete the file.',
                    (),
                    file_place(name).cause,
                )
            )


def _read_file(reading: Reading, folder: Folder, name: str, pack: str, where: Span, trail: tuple[str, ...]) -> None:
    if name in trail:
        chain = " → ".join([*trail[trail.index(name) :], name])
        reading.findings.append(
            Finding(
                "R13",
                Severity.ERROR,
                where,
                f"These files use each other in a circle: {chain}.",
                "Nobody could tell which of them is read first.",
                (),
                "Delete this line.",
            )
        )
        return
    if name in reading.files:
        return
    if len(trail) >= DEEPEST_USE:
        reading.findings.append(
            Finding(
                "R16",
                Severity.ERROR,
                where,
                f"Files use each other more than {DEEPEST_USE} deep.",
                "Nobody could find what stands where.",
                (),
                "Let one file, such as office.sop, use all the others.",
            )
        )
        return
    if len(reading.files) >= MOST_FILES:
        reading.findings.append(
            Finding(
                "R14",
                Severity.ERROR,
                where,
                f"More than {MOST_FILES} files are read.",
                "An office's program fills a few dozen.",
                (),
                "See that this folder holds one office, and nothing else that ends in .sop.",
            )
        )
        return
    fetched = folder.fetch(name)
    if isinstance(fetched, Problem):
        reading.findings.append(_tell(fetched, where, folder))
        return
    reading.files[name] = fetched
    tree, findings = parse(fetched)
    reading.findings.extend(findings)
    if tree is None:
        return
    used: set[str] = set()
    for node in tree.nodes():
        if node.kind == "use":
            _twice(reading, folder, node, name, used)
            _follow(reading, folder, node, name, pack, (*trail, name))
        else:
            reading.declarations.append(Declaration(node, name, pack))


def _tell(problem: Problem, where: Span, folder: Folder) -> Finding:
    sentence, floor, fix = PROBLEMS[problem.code]
    span = Span(problem.name, problem.line, problem.column, problem.line, problem.column + 1)
    if problem.code in ("R11", "R12") and where is not NOWHERE:
        span = where
    if problem.code == "R12":
        close = alike(problem.name, folder.known())
        fix = f"Did you mean “{close[0]}”?" if close else "Names are given from the office folder on."
    return Finding(
        problem.code,
        Severity.ERROR,
        span,
        sentence.format(detail=problem.detail, name=problem.name),
        floor,
        (),
        fix,
    )


def _twice(reading: Reading, folder: Folder, node: Node, file: str, used: set[str]) -> None:
    """Tell of a `use` that adds nothing: said before in this file, or naming a text that is read anyway."""
    asked = wording(node)
    text = node.token("STRING")
    at_top = text is not None and "/" not in file and tidy(text_of(text)) in folder.top_level()
    if asked in used or (at_top and tidy(text_of(text)) != file):
        why = "is said before in this file" if asked in used else "names a file beside this one, which is read anyway"
        reading.findings.append(
            Finding(
                "R06",
                Severity.WARNING,
                span_of(file, node),
                f"This use adds nothing: it {why}.",
                "Nothing goes wrong.",
                (),
                "Delete the line.",
            )
        )
    used.add(asked)


def _follow(reading: Reading, folder: Folder, node: Node, file: str, pack: str, trail: tuple[str, ...]) -> None:
    where = span_of(file, node)
    name = node.token("NAME")
    if name is not None:
        texts = folder.pack(str(name))
        if texts is None:
            close = alike(str(name), folder.packs())
            known = ", ".join(folder.packs())
            fix = f"Did you mean “{close[0]}”?" if close else f"Known packs: {known}."
            floor = "All that the pack declares would be missing."
            reading.findings.append(
                Finding("R15", Severity.ERROR, where, f"There is no pack “{name}”.", floor, (), fix)
            )
            return
        if str(name) not in reading.packs:
            reading.packs.append(str(name))
            reading.packs_used_at[str(name)] = where
        for text in texts:
            _read_file(reading, folder, text, str(name), where, trail)
        return
    asked = text_of(node.token("STRING"))
    inside = tidy(asked)
    if inside is None:
        reading.findings.append(
            Finding(
                "R10",
                Severity.ERROR,
                where,
                f"“{asked}” lies outside the office folder.",
                "What is printed must all be in the folder that is kept and signed.",
                (),
                "Copy the file into the office folder and name it from there.",
            )
        )
        return
    _read_file(reading, folder, inside, pack, where, trail)


def nodes_of(reading: Reading, *kinds: str) -> Iterator[Declaration]:
    """The declarations of these kinds in the order of the text."""
    for declaration in reading.declarations:
        if declaration.node.kind in kinds:
            yield declaration
