"""From what was read to the office: names resolved, values checked, everything frozen."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from types import MappingProxyType
from typing import Any

from sopc.findings import Finding, Note, Severity
from sopc.language.read import Reading, nodes_of
from sopc.language.syntax import span_of, text_of
from sopc.model import cases, procedures, programs, requirements, things, work
from sopc.model.entries import Clause
from sopc.model.gather import gather
from sopc.model.nouns import NotApplicable, Office, Passage, SetAside, Term
from sopc.model.premises import premises
from sopc.model.values import Values

# What does nothing until something names it.
PASSIVE = frozenset(
    ["source", "role", "zone", "area", "kind", "device", "item", "condition", "supply", "ppe", "action"]
)


def build(reading: Reading) -> tuple[Office | None, list[Finding]]:
    """Build the office from a complete reading. Without errors the office is whole and every name in it resolves."""
    entries = gather(reading)
    values = Values(entries)
    place, calendar = premises(values, reading)
    made: dict[str, dict[str, Any]] = {
        kind: {name: builder(values, entry) for name, entry in entries.of(kind).items()}
        for kind, builder in things.BUILDERS.items()
    }
    made["device"] = _devices(values, reading)
    for kind, builder in (
        ("procedure", procedures.procedure),
        ("task", work.task),
        ("log", work.log),
        ("training", work.training),
        ("requirement", requirements.requirement),
        ("visit", cases.visit),
        ("circuit", cases.circuit),
        ("caseload", cases.caseload),
        ("minimum", programs.minimum),
        ("bounds", programs.bounds),
    ):
        made[kind] = {name: builder(values, entry) for name, entry in entries.of(kind).items()}
    office = Office(
        premises=place,
        calendar=calendar,
        sources=MappingProxyType(made["source"]),
        roles=MappingProxyType(made["role"]),
        zones=MappingProxyType(made["zone"]),
        flow=_flow(values, reading),
        areas=MappingProxyType(made["area"]),
        ppe=MappingProxyType(made["ppe"]),
        kinds=MappingProxyType(made["kind"]),
        devices=MappingProxyType(made["device"]),
        items=MappingProxyType(made["item"]),
        conditions=MappingProxyType(made["condition"]),
        supplies=MappingProxyType(made["supply"]),
        actions=MappingProxyType(made["action"]),
        procedures=MappingProxyType(made["procedure"]),
        tasks=MappingProxyType(made["task"]),
        logs=MappingProxyType(made["log"]),
        training=MappingProxyType(made["training"]),
        requirements=MappingProxyType(made["requirement"]),
        set_aside=_set_aside(values, reading),
        not_applicable=_not_applicable(values, reading),
        terms=_terms(reading),
        packs=tuple(reading.packs),
        digest=reading.digest,
        visits=MappingProxyType(made["visit"]),
        circuits=MappingProxyType(made["circuit"]),
        caseloads=MappingProxyType(made["caseload"]),
        minimums=MappingProxyType(made["minimum"]),
        bounds=MappingProxyType(made["bounds"]),
    )
    findings = [*entries.findings, *values.findings, *values.name_findings(), *_unused_packs(values, reading)]
    whole = not any(finding.severity is Severity.ERROR for finding in findings)
    return (office if whole else None), findings


def _unused_packs(values: Values, reading: Reading) -> Iterator[Finding]:
    """Tell of packs that the office names nothing of, and that bring nothing that counts by itself."""
    for pack in reading.packs:
        entries = [each for kind in values.entries.by_kind.values() for each in kind.values() if each.pack == pack]
        inside = {entry.file for entry in entries}
        named = {(kind, name) for kind, name, file in values.used if file not in inside}
        if any(each.kind not in PASSIVE or each.overridden or (each.kind, each.name) in named for each in entries):
            continue
        yield Finding(
            "N17",
            Severity.REMARK,
            reading.packs_used_at[pack],
            f"Nothing of the pack “{pack}” is used.",
            "Nothing goes wrong; but whoever reads the text looks for what it is for.",
            (),
            f"Delete `use pack {pack}`, or use what it declares.",
        )


def _devices(values: Values, reading: Reading) -> dict[str, Any]:
    kinds = {}
    for declaration in reading.declarations:
        node = declaration.node
        if node.kind == "device":
            tokens = node.tokens("NAME")
            kinds[str(tokens[0])] = values.name(tokens[1], declaration.file, "kind") if len(tokens) > 1 else None
    return {name: things.device(values, entry, kinds.get(name)) for name, entry in values.entries.of("device").items()}


def _flow(values: Values, reading: Reading) -> tuple[Passage, ...]:
    passages: dict[tuple[str, str], Passage] = {}
    for declaration in nodes_of(reading, "flow"):
        node, file = declaration.node, declaration.file
        names = [values.name(token, file, "zone") for token in node.tokens("NAME")]
        listed = node.node("names")
        asked = [values.name(token, file, "condition") for token in (listed.tokens("NAME") if listed else ())]
        only = tuple(name for name in asked if name is not None)
        for source, target in pairwise(names):
            if source is None or target is None:
                continue
            made = Passage(source, target, only, span_of(file, node))
            known = passages.setdefault((source, target), made)
            if known.only != only:
                values.findings.append(_told_otherwise(made, known))
    return tuple(passages.values())


def _told_otherwise(passage: Passage, known: Passage) -> Finding:
    return Finding(
        "N02",
        Severity.ERROR,
        passage.span,
        f"The flow from {passage.source} to {passage.target} is declared twice, not alike.",
        "Nobody could tell what may go this way.",
        (),
        "Keep one of the two.",
        (Note("first declared here", known.span),),
    )


def _set_aside(values: Values, reading: Reading) -> tuple[SetAside, ...]:
    found = []
    for declaration in nodes_of(reading, "set_aside"):
        node, file = declaration.node, declaration.file
        role = node.token("NAME")
        assert role is not None
        by = values.name(role, file, "role")
        until = values.day(node.token("DATE"), file)
        for name in values.names(Clause(node, file), "requirement"):
            if by and until:
                found.append(SetAside(name, until, by, text_of(node.token("STRING")), span_of(file, node)))
    return tuple(found)


def _not_applicable(values: Values, reading: Reading) -> tuple[NotApplicable, ...]:
    found = []
    for declaration in nodes_of(reading, "not_applicable"):
        node, file = declaration.node, declaration.file
        for name in values.names(Clause(node, file), "requirement"):
            found.append(NotApplicable(name, text_of(node.token("STRING")), span_of(file, node)))
    return tuple(found)


def _terms(reading: Reading) -> tuple[Term, ...]:
    terms = []
    for declaration in nodes_of(reading, "term"):
        word = declaration.node.tokens("STRING")[0]
        meaning = declaration.node.tokens("STRING", "LONG_TEXT")[-1]
        terms.append(Term(text_of(word), text_of(meaning), span_of(declaration.file, declaration.node)))
    return tuple(sorted(terms, key=lambda term: term.word.casefold()))
