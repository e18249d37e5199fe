"""The long form of a code, for `sopc explain` and for the reference page of codes."""

from __future__ import annotations

import textwrap

from sopc.findings.registry import Code, codes

WIDTH = 92


def long_form(entry: Code) -> str:
    """Title, explanation and source of one code, wrapped for a terminal; indented examples stay as they are."""
    lines = [f"{entry.code}  {entry.title}  ({entry.severity.value})", ""]
    for paragraph in entry.explanation.strip().split("\n\n"):
        first = paragraph.split("\n", 1)[0]
        if first.startswith(("    ", "```", "- ")):
            lines += paragraph.rstrip().split("\n")
        else:
            lines += textwrap.wrap(" ".join(paragraph.split()), WIDTH)
        lines.append("")
    lines.append(f"Source of the rule: {entry.source}.")
    return "\n".join(lines) + "\n"


def as_written(name: str) -> str:
    """A code as it is registered: capitals, and letters typed for the digits they look like set right."""
    plain = name.strip().upper()
    return plain[:1] + plain[1:].replace("O", "0").replace("I", "1").replace("L", "1")


def listing() -> str:
    """Every code with its severity and title, one line each."""
    return "".join(f"{entry.code:<5} {entry.severity.value:<8} {entry.title}\n" for entry in codes().values())
