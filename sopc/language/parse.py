"""Text to syntax tree: what is mended before reading, and the run itself."""

from __future__ import annotations

import re
from typing import Any

from sopc.findings import Finding, Severity
from sopc.language.braces import DEEPEST, PIECES, too_deep
from sopc.language.mistakes import mistake
from sopc.language.place import span_at
from sopc.language.recovery import Recovery, take_up_again
from sopc.language.straight import straight
from sopc.language.syntax import Node
from sopc.source import CURLY, SourceFile, Span

_QUOTES = re.compile(PIECES.pattern.removesuffix("|[{}]") + r"|[“”„«»]")
_SPACES = re.compile("[\u00a0\u2007\u2009\u202f\u3000]")  # web pages and word processors leave these
_COMMENT = re.compile(r"#[^\n]*")


def parse(file: SourceFile) -> tuple[Node | None, list[Finding]]:
    """Parse one file. The tree is complete only when no finding is an error."""
    recovery = Recovery(file, _SPACES.sub(" ", file.text) if not file.text.isascii() else file.text)
    _straight_quotes(recovery)
    _tabs(recovery)
    if not _COMMENT.sub("", recovery.text).strip():
        recovery.findings.append(
            Finding(
                "R08",
                Severity.WARNING,
                Span(file.name, 1, 1, 1, 1),
                "This file says nothing.",
                "Nothing from it reaches paper.",
                (),
                "Write the office's text here, or delete the file.",
            )
        )
        return Node("start", []), recovery.findings
    deep = too_deep(recovery.text) if recovery.text.count("{") > DEEPEST else None
    if deep is not None:
        recovery.tell(
            mistake(
                "F12",
                span_at(file.name, recovery.text, deep, 1),
                f"More than {DEEPEST} blocks lie inside one another here.",
                "No reader could follow it on paper.",
                "Look for a missing } further up, or make a procedure of the inner part and `perform` it.",
            )
        )
        return None, recovery.findings
    tree = straight(recovery.text) or _read(recovery)
    return (None if recovery.gave_up else tree), recovery.findings


def _read(recovery: Recovery) -> Node | None:
    """Read by lark, which says where something does not fit."""
    from lark.exceptions import UnexpectedInput

    from sopc.language.grammar import parser

    try:
        tree: Any = parser().parse(recovery.text, on_error=lambda error: take_up_again(recovery, error))
    except UnexpectedInput:
        return None
    return tree if isinstance(tree, Node) else None


def _straight_quotes(recovery: Recovery) -> None:
    """Replace curly double quotes that stand where straight ones should; report the first and their number."""
    text = recovery.text
    if not any(curly in text for curly in CURLY):
        return
    places = [match.start() for match in _QUOTES.finditer(text) if match.group() in CURLY]
    if not places:
        return
    many = f" (and {len(places) - 1} more in this file)" if len(places) > 1 else ""
    recovery.tell(
        mistake(
            "F05",
            span_at(recovery.file.name, text, places[0], 1),
            f'A curly quotation mark {text[places[0]]} stands where a straight one (") belongs{many}.',
            "A word processor put it there; the text cannot be told from its surroundings.",
            'Replace curly marks by straight ones: "like this".',
        )
    )
    changed = list(text)
    for place in places:
        changed[place] = '"'
    recovery.text = "".join(changed)


def _tabs(recovery: Recovery) -> None:
    """Tell about tabs: harmless, but the text lines up differently from one screen to the next."""
    if "\t" not in recovery.text:
        return
    for number, line in enumerate(recovery.file.lines, 1):
        if "\t" in line[: len(line) - len(line.lstrip())]:
            at = line.index("\t") + 1
            recovery.findings.append(
                Finding(
                    "R05",
                    Severity.REMARK,
                    Span(recovery.file.name, number, at, number, at + 1),
                    "This file is indented with tabs.",
                    "Nothing goes wrong; but the text lines up differently on another screen.",
                    (),
                    "Use two spaces for each level.",
                )
            )
            return
