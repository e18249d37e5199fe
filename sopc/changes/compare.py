"""Says how two offices differ: every change once, nothing for mere reordering of files or reformatting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from sopc.changes.change import Change, How, Kind
from sopc.changes.fields import View, compare_fields
from sopc.changes.flow import Node, compare_flow, content, describe, stands_after
from sopc.changes.matching import matched, paired_elements, staying
from sopc.changes.meaning import field_key, key, merely_worded
from sopc.changes.saying import leaf_words, say_hours, say_limit
from sopc.model.nouns import (
    Branch,
    Choice,
    Column,
    Declared,
    Device,
    Item,
    Log,
    Office,
    Procedure,
    Step,
    Way,
)

DECLARED: tuple[tuple[Kind, str], ...] = (
    (Kind.SOURCE, "sources"),
    (Kind.ROLE, "roles"),
    (Kind.ZONE, "zones"),
    (Kind.AREA, "areas"),
    (Kind.PPE, "ppe"),
    (Kind.KIND, "kinds"),
    (Kind.DEVICE, "devices"),
    (Kind.ITEM, "items"),
    (Kind.CONDITION, "conditions"),
    (Kind.SUPPLY, "supplies"),
    (Kind.ACTION, "actions"),
    (Kind.PROCEDURE, "procedures"),
    (Kind.TASK, "tasks"),
    (Kind.LOG, "logs"),
    (Kind.TRAINING, "training"),
    (Kind.REQUIREMENT, "requirements"),
    (Kind.VISIT, "visits"),
    (Kind.CIRCUIT, "circuits"),
    (Kind.CASELOAD, "caseloads"),
    (Kind.MINIMUM, "minimums"),
    (Kind.BOUNDS, "bounds"),
)
LISTS = (
    (Kind.SET_ASIDE, "set_aside", "requirement"),
    (Kind.NOT_APPLICABLE, "not_applicable", "requirement"),
    (Kind.TERM, "terms", "word"),
)
"""Lists of an office whose elements go by one of their fields."""
PLAIN_LISTS = ((Kind.PACK, "packs"),)
INHERITED = ("by", "wearing", "says_wearing", "area")
"""What a step takes over from its procedure when it says nothing itself."""


@dataclass(frozen=True, slots=True)
class Pairing:
    """Old and new names of one kind of thing."""

    kind: Kind
    old: Mapping[str, Declared]
    new: Mapping[str, Declared]
    pairs: tuple[tuple[str, str], ...]


def compare(old: Office, new: Office) -> tuple[Change, ...]:
    """Return every difference between two offices, in the order of the kinds and of the new text."""
    pairings = [_pair(kind, getattr(old, name), getattr(new, name)) for kind, name in DECLARED]
    names = {one: two for pairing in pairings for one, two in pairing.pairs if one != two}
    changes = [*_premises(old, new, names)]
    for pairing in pairings:
        changes += _declared(old, new, names, pairing)
    changes += _lists(old, new, names)
    return tuple(changes)


def _pair(kind: Kind, old: Mapping[str, Declared], new: Mapping[str, Declared]) -> Pairing:
    return Pairing(kind, old, new, tuple(matched(old, new, lambda thing: leaf_words(thing)[:600])))


# ── The office itself ───────────────────────────────────────────────────────────────────────────


def _premises(old: Office, new: Office, names: Mapping[str, str]) -> Iterator[Change]:
    view = View(old, new, names, Kind.OFFICE, "office", new.premises.name)
    yield from compare_fields(view, old.premises, new.premises)
    hours = replace(view, kind=Kind.CALENDAR, name="calendar", title="Opening hours")
    if key(old.calendar.open_days) != key(new.calendar.open_days):
        change = hours.change(How.CHANGED, "open", None, None, old.premises.span, new.premises.span)
        yield replace(change, old=say_hours(old.calendar), new=say_hours(new.calendar))
    for one, two in paired_elements(old.calendar.closed, new.calendar.closed, key, key, say_closed):
        how = How.ADDED if one is None else How.REMOVED if two is None else How.CHANGED
        change = hours.change(how, "closed", None, None, old.premises.span, new.premises.span)
        yield replace(change, old=say_closed(one) if one else "", new=say_closed(two) if two else "")


def say_closed(stretch: tuple[object, object, str]) -> str:
    """A closed stretch in words: 2026-12-24 to 2027-01-01, winter break."""
    first, last, why = stretch
    days = f"{first} to {last}" if first != last else f"{first}"
    return f"{days}, {why}" if why else days


def _lists(old: Office, new: Office, names: Mapping[str, str]) -> Iterator[Change]:
    for kind, name, own in LISTS:
        one = {names.get(getattr(item, own), getattr(item, own)): item for item in getattr(old, name)}
        two = {getattr(item, own): item for item in getattr(new, name)}
        yield from _keyed(old, new, names, kind, one, two)
    yield from _keyed(old, new, names, Kind.FLOW, _ways(old, names), _ways(new, {}))
    for kind, name in PLAIN_LISTS:
        before, after = getattr(old, name), getattr(new, name)
        mapped = {key(item, names): item for item in before}
        fresh = {key(item): item for item in after}
        for item_key, item in {**mapped, **fresh}.items():
            if item_key in mapped and item_key in fresh:
                continue
            words = " to ".join(item) if isinstance(item, tuple) else str(item)
            how = How.ADDED if item_key in fresh else How.REMOVED
            yield Change(
                kind, words, words, how, old=words if how is How.REMOVED else "", new=words if how is How.ADDED else ""
            )


def _ways(office: Office, names: Mapping[str, str]) -> dict[str, object]:
    """The ways between zones by the zones they join, old names read as new ones."""
    return {f"{names.get(way.source, way.source)} to {names.get(way.target, way.target)}": way for way in office.flow}


def _keyed(
    old: Office, new: Office, names: Mapping[str, str], kind: Kind, one: Mapping[str, object], two: Mapping[str, object]
) -> Iterator[Change]:
    for name in {**one, **two}:
        view = View(old, new, names, kind, name, name)
        if name not in one or name not in two:
            present = one.get(name) or two.get(name)
            span = getattr(present, "span", None)
            if name in two:
                yield view.change(How.ADDED, "", None, present, None, span)
            else:
                yield view.change(How.REMOVED, "", present, None, span, None)
            continue
        yield from compare_fields(view, one[name], two[name], frozenset({"word", "requirement", "source", "target"}))


# ── Declared things ─────────────────────────────────────────────────────────────────────────────


def _declared(old: Office, new: Office, names: Mapping[str, str], pairing: Pairing) -> Iterator[Change]:
    partner = {two: one for one, two in pairing.pairs}
    for name, thing in pairing.new.items():
        view = View(old, new, names, pairing.kind, name, thing.title)
        if name not in partner:
            yield view.change(How.ADDED, "", None, thing, None, thing.span)
            continue
        before = pairing.old[partner[name]]
        if before.name != name:
            change = view.change(How.RENAMED, "name", before, thing, before.span, thing.span)
            yield replace(change, old=before.name, new=name)
        yield from _thing(view, before, thing)
    kept = set(partner.values())
    for name, thing in pairing.old.items():
        if name not in kept:
            view = View(old, new, names, pairing.kind, name, thing.title)
            yield view.change(How.REMOVED, "", thing, None, thing.span, None)


def _thing(view: View, before: Declared, after: Declared) -> Iterator[Change]:
    found: list[Change] = []
    if isinstance(before, Item) and isinstance(after, Item):
        found += compare_fields(view, before, after, frozenset({"properties"}))
        one, two = (item.properties - {item.category, f"heat {item.heat}"} for item in (before, after))
        if one != two:
            found.append(view.change(How.CHANGED, "properties", one, two, before.span, after.span))
    elif isinstance(before, Procedure) and isinstance(after, Procedure):
        found += _procedure(view, before, after)
    else:
        found += compare_fields(view, before, after)
    if isinstance(before, Device) and isinstance(after, Device):
        found += _named_parts(view, before.programs, after.programs, "program", ordered=False)
    if isinstance(before, Log) and isinstance(after, Log):
        columns = [{column.name: column for column in log.columns} for log in (before, after)]
        found += _named_parts(view, columns[0], columns[1], "column", ordered=True)
    if not found and _override_keys(before, view.names) != _override_keys(after):
        found.append(_override_change(view, before, after))
    yield from found


def _override_keys(thing: Declared, names: Mapping[str, str] | None = None) -> object:
    return frozenset((each.clause, key(each.because, names)) for each in thing.overridden)


def _override_change(view: View, before: Declared, after: Declared) -> Change:
    """An override that changes no value: its reason, or that it is there at all."""
    spans = [thing.overridden[0].office_span if thing.overridden else thing.span for thing in (before, after)]
    change = view.change(How.CHANGED, "reason for the office’s own value", None, None, spans[0], spans[1])
    words = ["; ".join(f"{each.clause}: {each.because}" for each in thing.overridden) for thing in (before, after)]
    return replace(change, old=words[0], new=words[1])


def _named_parts(
    view: View, old: Mapping[str, Declared | Column], new: Mapping[str, Declared | Column], word: str, ordered: bool
) -> Iterator[Change]:
    """Programs of a device, columns of a log: by name, else by likeness; columns also by their order."""
    pairs = matched(old, new, leaf_words)
    partner = {two: one for one, two in pairs}
    places = {name: place for place, name in enumerate(old)}
    known = [name for name in new if name in partner]
    kept = staying([places[partner[name]] for name in known])
    for name, part in new.items():
        here = replace(view, part=f"{word} “{part.title}”", part_name=name)
        if name not in partner:
            yield here.change(How.ADDED, "", None, part, None, part.span)
            continue
        before = old[partner[name]]
        if partner[name] != name:
            change = here.change(How.RENAMED, "name", before, part, before.span, part.span)
            yield replace(change, old=partner[name], new=name)
        if ordered and known.index(name) not in kept:
            change = here.change(How.MOVED, "", before, part, before.span, part.span)
            yield replace(change, old=f"place {places[partner[name]] + 1}", new=f"place {list(new).index(name) + 1}")
        retyped = isinstance(before, Column) and isinstance(part, Column) and before.type != part.type
        yield from compare_fields(here, before, part, frozenset({"unit", "choices"} if retyped else ()))
    for name, part in old.items():
        if name not in partner.values():
            here = replace(view, part=f"{word} “{part.title}”", part_name=name)
            yield here.change(How.REMOVED, "", part, None, part.span, None)


# ── Procedures ──────────────────────────────────────────────────────────────────────────────────


def _procedure(view: View, before: Procedure, after: Procedure) -> Iterator[Change]:
    flow = compare_flow(before, after)
    names = {**view.names, **flow.step_names}
    view = replace(view, names=names, old_procedure=before, new_procedure=after)
    yield from compare_fields(view, before, after)
    for node in flow.added:
        here = _at(view, node)
        change = here.change(How.ADDED, "", None, None, None, node.record.span)
        yield replace(change, new=f"{content(node)} ({stands_after(flow.new, node)})", after=node.record)
    for node in flow.removed:
        here = _at(view, node)
        change = here.change(How.REMOVED, "", None, None, node.record.span, None)
        yield replace(change, old=f"{content(node)} ({stands_after(flow.old, node)})", before=node.record)
    for one, two in flow.moved:
        change = _at(view, two).change(How.MOVED, "", one.record, two.record, one.record.span, two.record.span)
        yield replace(change, old=stands_after(flow.old, one), new=stands_after(flow.new, two))
    for one, two in flow.pairs:
        yield from _node(view, before, after, one, two)
    yield from _limits(view, before, after)


def _at(view: View, node: Node) -> View:
    name = node.record.name if isinstance(node.record, Step) else ""
    return replace(view, part=describe(node), part_name=name)


def _node(view: View, before: Procedure, after: Procedure, one: Node, two: Node) -> Iterator[Change]:
    here = _at(view, two)
    old, new = one.record, two.record
    if isinstance(old, Step) and isinstance(new, Step):
        if old.name != new.name:
            change = here.change(How.RENAMED, "name", old, new, old.span, new.span)
            yield replace(change, old=old.name, new=new.name)
        yield from compare_fields(here, old, new, _not_its_own(view, before, after, old, new))
        return
    for name in ("question", "title", "when"):
        texts = [getattr(record, name, "") for record in (old, new)]
        if isinstance(old, Choice | Way | Branch) and key(texts[0]) != key(texts[1]):
            how = How.REWORDED if merely_worded(texts[0], texts[1]) else How.CHANGED
            yield here.change(how, name, texts[0], texts[1], old.span, new.span)


def _not_its_own(view: View, before: Procedure, after: Procedure, old: Step, new: Step) -> frozenset[str]:
    """Fields of a step that changed only because the procedure's default or the machine's program did."""
    left_out = set()
    for name in INHERITED:
        theirs = (field_key(name, getattr(before, name), view.names), field_key(name, getattr(after, name)))
        own = (field_key(name, getattr(old, name), view.names), field_key(name, getattr(new, name)))
        if theirs[0] != theirs[1] and own == theirs:
            left_out.add(name)
    lasting = [_program_time(office, step) for office, step in ((view.old, old), (view.new, new))]
    taken = (key(old.takes, view.names), key(new.takes))
    if old.takes and new.takes and taken == (key(lasting[0], view.names), key(lasting[1])):
        left_out.add("takes")
    return frozenset(left_out)


def _program_time(office: Office, step: Step) -> object:
    for run in step.runs:
        device = office.devices.get(run.device)
        program = device.programs.get(run.program) if device else None
        if program and program.lasts:
            return program.lasts
    return None


def _limits(view: View, before: Procedure, after: Procedure) -> Iterator[Change]:
    pairs = paired_elements(
        before.limits,
        after.limits,
        lambda rule: key(rule, view.names),
        key,
        leaf_words,
    )
    for one, two in pairs:
        how = How.ADDED if one is None else How.REMOVED if two is None else How.CHANGED
        rule = two or one
        here = replace(view, part="time limit", part_name=(rule.later.step or "") if rule else "")
        spans = [rule.span if rule else None for rule in (one, two)]
        change = here.change(how, "", one, two, spans[0], spans[1])
        yield replace(
            change,
            old=say_limit(before, one) if one else "",
            new=say_limit(after, two) if two else "",
        )


def headline(changes: Sequence[Change]) -> str:
    """How many changes of which sort: "3 changed, 1 added"; "no change"."""
    counts = {how: sum(change.how is how for change in changes) for how in How}
    return ", ".join(f"{count} {how.value}" for how, count in counts.items() if count) or "no change"
