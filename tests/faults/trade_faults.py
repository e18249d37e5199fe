"""Faults in what the trade knows: what actions need and bring, what conditions exclude, what items are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sopc.checks.items.effects import Vocabulary
from sopc.checks.items.fitness import CATEGORIES
from sopc.model.nouns import Property
from sopc.model.sentences import Sentence
from tests.faults.flow_faults import NOT_RELIED_ON, never_brought
from tests.faults.kinds import OWN_CHOICE, Mutant, kind, mutant
from tests.faults.people_faults import each_name, without
from tests.faults.protocol import Protocol, Site, cut, name_of

MUTUAL = "the other one of the two says the same of this one"
RESTATED = "a requirement of a pack asks the same of every step that does it"
UNUSED = "no procedure and no task does this action"


def _used_actions(protocol: Protocol) -> set[str]:
    office = protocol.office
    steps = [step for procedure in office.procedures.values() for step in procedure.steps()]
    return {doing.action for step in steps for doing in step.does} | {
        doing.action for task in office.tasks.values() for doing in task.does
    }


def _each_dropped(protocol: Protocol, kind_: str) -> Iterator[tuple[Site, str, Mutant]]:
    for site in protocol.sites(kind_):
        for names, place, word in each_name(site):
            alone = len(names.tokens("NAME")) == 1
            edit = site.drop() if alone else without(site, names, place)
            yield site, str(word), mutant(site, f"{kind_} no {word}", edit)


def _asked_of_every_step(protocol: Protocol, site: Site, kind: str, names: Sequence[str]) -> bool:
    """Whether a requirement asks the same of every step that does the action, so that the rule still stands.

    What a pack says must be asked by a pack: an office may do without the rules of another one.
    """
    action = name_of(site.block())
    for sentence in _sentences(protocol, site, "each_one"):
        which = sentence.subject.which if sentence.subject is not None else ()
        of_every = len(which) == 1 and which[0].kind == "acting" and not which[0].word and action in which[0].groups[0]
        groups = [group for trait in sentence.traits if trait.kind == kind for group in trait.groups]
        if of_every and any(set(group) <= set(names) for group in groups):
            return True
    return False


def _never_done(protocol: Protocol, site: Site) -> bool:
    """Whether requirements forbid every step that does the action on such items as this clause bars it from."""
    action, office = name_of(site.block()), protocol.office
    barred = set(office.actions[action].never_for)
    if site.node.kind == "only_for":
        wanted = set(office.actions[action].only_for)
        barred = CATEGORIES - wanted if wanted <= CATEGORIES else set()
    forbidden = {
        Property(trait.word)
        for sentence in _sentences(protocol, site, "none_such")
        if sentence.subject is not None and not sentence.traits and len(sentence.subject.which) == 1
        for trait in sentence.subject.which
        if trait.kind == "acting" and trait.word and action in trait.groups[0]
    }
    return bool(barred) and barred <= forbidden


def _sentences(protocol: Protocol, site: Site, kind: str) -> Iterator[Sentence]:
    for requirement in protocol.office.requirements.values():
        if requirement.pack or not site.text.pack:
            yield from (
                sentence
                for sentence in requirement.sentences
                if sentence.kind == kind and sentence.subject is not None and sentence.subject.kind == "step"
            )


def _excused(made: Mutant, excuse: str) -> Mutant:
    return Mutant(made.where, made.what, made.edits, excuse)


@kind("rules", "drop what an action needs")
def drop_needs(protocol: Protocol) -> Iterator[Mutant]:
    used = _used_actions(protocol)
    for site, name, made in _each_dropped(protocol, "needs"):
        action = name_of(site.block())
        restated = RESTATED if _asked_of_every_step(protocol, site, "finding", (name,)) else ""
        yield _excused(made, restated if action in used else UNUSED)


@kind("rules", "drop what an action brings")
def drop_brings(protocol: Protocol) -> Iterator[Mutant]:
    office, used = protocol.office, _used_actions(protocol)
    needed = {name for action in office.actions.values() for name in action.needs}
    promised = {name for each in office.procedures.values() for name in each.to_conditions}
    for site, name, made in _each_dropped(protocol, "brings"):
        excuse = UNUSED if name_of(site.block()) not in used else ""
        yield _excused(made, excuse or ("" if name in needed | promised else NOT_RELIED_ON))


@kind("rules", "need what nothing brings", sure=True)
def needs_more(protocol: Protocol) -> Iterator[Mutant]:
    doing = {
        each.action: procedure
        for procedure in protocol.office.procedures.values()
        if procedure.handles
        for step in procedure.steps()
        for each in step.does
    }
    for site in protocol.sites("needs"):
        names, procedure = site.node.node("names"), doing.get(name_of(site.block()))
        action = protocol.office.actions.get(name_of(site.block()))
        if action is not None and site.text.pack and any(each.clause == "needs" for each in action.overridden):
            continue  # the office says otherwise: what its pack says is not in force
        strange = never_brought(protocol, procedure) if procedure is not None else ""
        if strange and names is not None:
            yield mutant(site, f"needs {strange}", site.replace(names.tokens("NAME")[0], strange))


@kind("rules", "drop what an action undoes")
def drop_undoes(protocol: Protocol) -> Iterator[Mutant]:
    used = _used_actions(protocol)
    words = Vocabulary(protocol.office)
    for site, name, made in _each_dropped(protocol, "undoes"):
        driven_out = words.driven_out(protocol.office.actions[name_of(site.block())].brings)
        excuse = "what it brings excludes it" if driven_out & words.mask((name,)) else ""
        yield _excused(made, excuse if name_of(site.block()) in used else UNUSED)


@kind("rules", "drop what a condition excludes")
def drop_excludes(protocol: Protocol) -> Iterator[Mutant]:
    conditions = protocol.office.conditions
    for site, name, made in _each_dropped(protocol, "excludes"):
        mutual = name in conditions and name_of(site.block()) in conditions[name].excludes
        yield _excused(made, MUTUAL if mutual else "")


@kind("rules", "drop what an action is done with")
def drop_with(protocol: Protocol) -> Iterator[Mutant]:
    used = _used_actions(protocol)
    for site in protocol.sites("needs_kind", "contact_time", "only_for", "never_for"):
        action, names = name_of(site.block()), [str(word) for word in site.node.tokens("NAME")]
        using = site.node.kind == "needs_kind" and _asked_of_every_step(protocol, site, "using_all", names)
        barred = site.node.kind in ("only_for", "never_for") and _never_done(protocol, site)
        excuse = RESTATED if using or barred else ""
        yield mutant(site, f"{site.node.kind} dropped", site.drop(), excuse=excuse if action in used else UNUSED)


@kind("rules", "drop what must not meet")
def drop_not_with(protocol: Protocol) -> Iterator[Mutant]:
    supplies = protocol.office.supplies
    for site, name, made in _each_dropped(protocol, "not_with"):
        mutual = name in supplies and name_of(site.block()) in supplies[name].not_with
        yield _excused(made, MUTUAL if mutual else "")


@kind("items", "put an item into another class")
def item_class(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("property"):
        if site.block().kind != "item":
            continue
        words = " ".join(str(word) for word in site.node.words())
        new = {"critical": "noncritical", "semicritical": "noncritical", "heat stable": "heat sensitive"}.get(words)
        handled = any(name_of(site.block()) in each.handles for each in office.procedures.values())
        excuse = "" if handled else "no procedure handles it"
        if new:
            yield mutant(site, f"{words} → {new}", site.replace(site.node, new), excuse=excuse)
        elif words == "single use":
            yield mutant(site, "no longer single use", cut(site.text, site.node), excuse=excuse)


@kind("items", "make a reusable item single use")
def single_use(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("property"):
        words = " ".join(str(word) for word in site.node.words())
        if site.block().kind == "item" and words in ("critical", "semicritical"):
            name = name_of(site.block())
            cleaned = any(
                name in procedure.handles and set(procedure.to_conditions) & {"clean", "sterile"}
                for procedure in office.procedures.values()
            )
            excuse = "" if cleaned else "no procedure makes it ready again"
            yield mutant(
                site, f"{words} and single use", site.replace(site.node, f"{words}  single use"), excuse=excuse
            )


@kind("items", "drop the class of an item")
def drop_property(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("property"):
        if site.block().kind == "item":
            words = " ".join(str(word) for word in site.node.words())
            excuse = "" if protocol.backed(site) else OWN_CHOICE
            yield mutant(site, f"no longer {words}", cut(site.text, site.node), excuse=excuse)
