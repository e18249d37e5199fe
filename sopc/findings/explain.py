"""The long form of a code, for `sopc explain` and for the reference page of codes."""

from __future__ import annotations

import textwrap

from sopc.findings.registry import Code, families

WIDTH = 92
VERBATIM = ("    ", "```", "- ")
PREFACE = """# What sopc can say

Every finding has a code. `sopc explain O01` prints one entry of this page, `sopc explain` lists all codes. An **error**
stops the printing, a **warning** does not, a **remark** only tells. This page is made by `sopc explain --all`.
"""


def paragraphs(entry: Code) -> list[str]:
    """The explanation's paragraphs as they are written, examples among them."""
    return entry.explanation.strip("\n").rstrip().split("\n\n")


def long_form(entry: Code) -> str:
    """Title, explanation and source of one code, wrapped for a terminal; indented examples stay as they are."""
    lines = [f"{entry.code}  {entry.title}  ({entry.severity.value})", ""]
    for paragraph in paragraphs(entry):
        if paragraph.split("\n", 1)[0].startswith(VERBATIM):
            lines += paragraph.rstrip().split("\n")
        else:
            lines += textwrap.wrap(" ".join(paragraph.split()), WIDTH)
        lines.append("")
    lines.append(f"Source of the rule: {entry.source}.")
    return "\n".join(lines) + "\n"


def as_markdown(entry: Code) -> str:
    """Explanation and source of one code as Markdown, without a heading."""
    return "\n\n".join([*paragraphs(entry), f"Source of the rule: {entry.source}."])


def as_written(name: str) -> str:
    """A code as it is registered: capitals, and letters typed for the digits they look like set right."""
    plain = name.strip().upper()
    return plain[:1] + plain[1:].replace("O", "0").replace("I", "1").replace("L", "1")


def listing() -> str:
    """Every code with its severity and title, one line each, under the heading of its family."""
    blocks = [
        "\n".join([heading, *(f"  {entry.code:<5} {entry.severity.value:<8} {entry.title}" for entry in entries)])
        for heading, entries in families().items()
    ]
    return "\n\n".join([*blocks, "sopc explain CODE says more about one of them."]) + "\n"


def page() -> str:
    """All codes as one page of Markdown, with a list of links at its head."""
    contents = [
        f"- {heading}: " + ", ".join(f"[{entry.code}](#{entry.code.lower()})" for entry in entries)
        for heading, entries in families().items()
    ]
    parts = [PREFACE, "\n".join(contents) + "\n"]
    for heading, entries in families().items():
        parts.append(f"## {heading}\n")
        for entry in entries:
            parts.append(f'<a id="{entry.code.lower()}"></a>\n')
            parts.append(f"### {entry.code} · {entry.title} · {entry.severity.value}\n")
            parts.append(f"{as_markdown(entry)}\n")
    return "\n".join(parts).rstrip("\n") + "\n"
