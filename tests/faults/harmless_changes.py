"""Changes that do no harm: none of them may give a finding."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from tests.faults.kinds import Mutant, kind, mutant
from tests.faults.number_faults import most, shown, times
from tests.faults.protocol import Edit, Protocol, Site, ends, name_of

SMALLER = {"min": ("s", 60), "h": ("min", 60), "day": ("h", 24), "week": ("day", 7), "L": ("mL", 1000)}
LARGER = {"s": ("min", 60), "min": ("h", 60)}
ORDERED = frozenset(
    {"step", "choose", "together", "way", "branch", "does", "perform", "check", "limit", "signal", "figure", "note"}
    | {"cite", "column", "history", "open", "closed", "address", "phone", "requires", "every_week", "if_closed"}
)


@kind("harmless", "add a comment", harmful=False)
def comment(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step", "device", "log", "task"):
        start, _ = ends(site.node)
        yield mutant(site, "# a remark above", Edit(site.text.name, start, start, '# a remark { " } \n  '))


@kind("harmless", "set the lines differently", harmful=False)
def reflow(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step", "device", "supply", "action", "log", "task"):
        start, end = ends(site.node)
        text = site.text.text[start:end]
        if "#" in text or '"""' in text:
            continue
        pieces = re.split(r'("[^"\n]*")', text)
        flat = "".join(piece if place % 2 else re.sub(r"\s+", " ", piece) for place, piece in enumerate(pieces))
        yield mutant(site, "on one line", Edit(site.text.name, start, end, flat))


@kind("harmless", "change a title", harmful=False)
def retitle(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step", "device", "supply", "item", "area", "log", "task", "procedure"):
        word = site.node.token("STRING")
        if word is not None:
            yield mutant(site, "another title", site.replace(word, f'{str(word)[:-1]} (II)"'))


@kind("harmless", "declare in another order", harmful=False)
def reorder(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        declared = [node for node in text.tree.nodes() if node.kind not in ("use", "source", "ppe")]
        for one, other in pairwise(declared):
            (start, middle), (resume, end) = ends(one), ends(other)
            swapped = text.text[resume:end] + text.text[middle:resume] + text.text[start:middle]
            if "#" not in text.text[middle:resume] and not _same(one.kind, other.kind):
                here = Site(text, one, ())
                yield mutant(here, f"after {name_of(other)}", Edit(text.name, start, end, swapped))


def _same(one: str, other: str) -> bool:
    """The order of training, zones and of those who come first means something on paper only."""
    return "override" in (one, other)


@kind("harmless", "swap clauses that do not depend on each other", harmful=False)
def reorder_clauses(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step", "device", "supply", "task", "training"):
        clauses = [node for node in site.node.nodes() if node.kind != "names"]
        for one, other in pairwise(clauses):
            if one.kind == other.kind or {one.kind, other.kind} & ORDERED or _schedules(one.kind, other.kind):
                continue
            (start, middle), (resume, end) = ends(one), ends(other)
            text = site.text.text
            swapped = text[resume:end] + text[middle:resume] + text[start:middle]
            if "#" not in text[middle:resume]:
                yield mutant(site, f"{other.kind} before {one.kind}", Edit(site.text.name, start, end, swapped))


def _schedules(one: str, other: str) -> bool:
    return any(
        name.startswith(("every", "each", "start_of", "end_of", "at_time", "after_event")) for name in (one, other)
    )


@kind("harmless", "say the same quantity in another unit", harmful=False)
def same_quantity(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("quantity", "span"):
        found = site.node.tokens("NUMBER", "UNIT")
        values = [word for word in found if word.type == "NUMBER"]
        units = {str(word) for word in found if word.type == "UNIT"}
        if len(units) != 1:
            continue
        unit = units.pop()
        if unit not in SMALLER:
            continue
        new, factor = SMALLER[unit]
        edits = [site.replace(value, times(value, factor)) for value in values]
        edits += [site.replace(word, new) for word in found if word.type == "UNIT"]
        yield mutant(site, f"in {new}", *edits)


@kind("harmless", "rename throughout", harmful=False)
def rename(protocol: Protocol) -> Iterator[Mutant]:
    declared = {name_of(site.node) for site in protocol.sites(*RENAMED) if name_of(site.node)}
    for name in sorted(declared):
        edits = [
            Edit(text.name, *ends(word), f"{name}_n")
            for text in protocol.texts
            for word in text.tree.words()
            if word.type == "NAME" and str(word) == name
        ]
        yield Mutant(name, f"{name} → {name}_n", tuple(edits))


RENAMED = ("role", "area", "device", "item", "condition", "supply", "action", "procedure", "step", "log", "ppe", "zone")


@kind("harmless", "tighten a limit by a second", harmful=False)
def tighten(protocol: Protocol) -> Iterator[Mutant]:
    seconds = {"s": 1, "min": 60, "h": 3600, "day": 86400}
    for site in protocol.sites("limit"):
        number = most(site)
        bound = site.node.node("bound")
        if number is None or bound is None:
            continue
        unit = [word for word in bound.words() if word.type == "UNIT"][-1]
        size = seconds.get(str(unit))
        if size is None:
            continue
        new = shown(Fraction(str(number)) * size - 1)
        yield mutant(site, f"within {new} s", site.replace(number, new), site.replace(unit, "s"))


@kind("harmless", "move a declaration to the end of its file", harmful=False)
def move(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        for node in text.tree.nodes():
            if node.kind in ("procedure", "task", "log", "device", "supply"):
                start, end = ends(node)
                size = len(text.text)
                words = "\n" + text.text[start:end] + "\n"
                yield mutant(
                    Site(text, node, ()), "moved", Edit(text.name, start, end), Edit(text.name, size, size, words)
                )


@kind("harmless", "add a note", harmful=False)
def add_note(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step", "device", "supply", "log"):
        brace = site.node.token("LBRACE")
        if brace is not None:
            at = ends(brace)[1]
            yield mutant(site, "note added", Edit(site.text.name, at, at, ' note "Mind the step at the door."'))
