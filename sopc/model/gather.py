"""From a reading to entries: each name declared once, an office's overrides laid over the pack's clauses."""

from __future__ import annotations

from sopc.language.read import Reading
from sopc.model.entries import NAMED, Entries, declare, said_twice
from sopc.model.overrides import override


def gather(reading: Reading) -> Entries:
    """Collect the named declarations; each name once, overrides applied."""
    entries = Entries(unread=reading.unread)
    for declaration in reading.declarations:
        if declaration.node.kind in NAMED:
            declare(entries, declaration.node, declaration.file, declaration.pack)
    for declaration in reading.declarations:
        if declaration.node.kind == "override":
            for node in declaration.node.nodes():
                override(entries, node, declaration.file, declaration.pack)
    for kind in entries.by_kind.values():
        for entry in kind.values():
            said_twice(entries.findings, entry)
    return entries
