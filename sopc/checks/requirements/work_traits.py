"""Traits of work: what is done, with what, by whom, wearing what, where, how long, and in which order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from sopc.checks.paths import NodeKind
from sopc.checks.people.presence import owned
from sopc.checks.report import listed, title
from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.ties import items_of
from sopc.checks.requirements.verdicts import YES, Answer, Candidate, Verdict, no, when
from sopc.model.nouns import Declared, Office, Performers, Procedure, Property, Step
from sopc.model.sentences import Groups, Trait


def _said(kinds: Iterable[Mapping[str, Declared]], names: Iterable[str]) -> str:
    known = list(kinds)
    titles = [next((title(kind, name) for kind in known if name in kind), name) for name in names]
    return listed(titles, "or")


def _actions(office: Office, names: Iterable[str]) -> str:
    return f"“{_said([office.actions], names)}”"


def _lacking(kinds: Iterable[Mapping[str, Declared]], groups: Groups, have: Iterable[str]) -> list[str]:
    there, known = set(have), list(kinds)
    return [_said(known, group) for group in groups if not there.intersection(group)]


def acting(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    wanted = set(trait.groups[0])
    if trait.word and isinstance(thing.record, Step):
        items = [item for doing in thing.record.does if doing.action in wanted for item in items_of(thing, doing)]
    elif trait.word and isinstance(thing.record, Procedure):
        items = list(thing.record.handles) if wanted & ground.does(thing.record) else []
    elif wanted & ground.does(thing.record):
        return YES
    else:
        return no(f"it does no {_actions(ground.office, trait.groups[0])}")
    return when(_any_is(ground, items, trait.word), f"it does none of that on {trait.word} items")


def _any_is(ground: Ground, items: Iterable[str], word: str) -> bool:
    known = ground.office.items
    return any(Property(word) in known[item].properties for item in items if item in known)


def employing(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    office = ground.office
    lacking = _lacking([office.kinds, office.devices, office.supplies], trait.groups, ground.used_by(thing.record))
    return YES if not lacking else no(f"it uses no {listed(lacking)}", _no_means(ground, thing))


def _no_means(ground: Ground, thing: Candidate) -> str:
    """The cause that is told where the office has nothing with which an action of the step is done (P02)."""
    for doing in thing.record.does if isinstance(thing.record, Step) else ():
        action = ground.office.actions.get(doing.action)
        if action is not None and action.with_any and not owned(ground.office, action.with_any):
            return f"no means for {action.name}"
    return ""


def handling(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    return when(_any_is(ground, thing.record.handles, trait.word), f"it handles no {trait.word} items")


def promising(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    promised = set(thing.record.to_conditions)
    wanted = _said([ground.office.conditions], trait.groups[0]).lower()
    return when(bool(promised.intersection(trait.groups[0])), f"it does not promise {wanted}")


def wearing(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    lacking = _lacking([ground.office.ppe], trait.groups, thing.record.wearing)
    return when(not lacking, f"{listed(lacking).lower()} not worn")


def people(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    if trait.word == "two":
        return when(_by_two(thing), "one person does it alone")
    by: Performers | None = thing.record.by
    steps = list(thing.record.steps()) if isinstance(thing.record, Procedure) else [thing.record]
    doers = [step.by for step in steps]
    if any(each is None for each in doers):
        return no("it does not say who does it", _nobody(thing))
    if trait.word == "trained":
        return _trained(ground, thing, doers)
    roles = {role for _, role in by.roles} if by is not None else set()
    others = [role for role in sorted(roles) if trait.requirement not in ground.office.roles[role].meets]
    said = listed([title(ground.office.roles, role) for role in others])
    return when(bool(roles) and not others, f"{said or 'whoever does it'} does not meet {trait.requirement}")


def _nobody(thing: Candidate) -> str:
    """The cause that is told where no step of a procedure says who does it."""
    procedure = thing.record if isinstance(thing.record, Procedure) else thing.procedure
    if procedure is None or any(step.by is not None for step in procedure.steps()):
        return ""
    return f"nobody {procedure.name}"


def _by_two(thing: Candidate) -> bool:
    by: Performers | None = thing.record.by
    if getattr(thing.record, "second_person", None):
        return True
    if by is None:
        return False
    if by.joined:
        return sum(number for number, _ in by.roles) > 1
    return all(number > 1 for number, _ in by.roles)


def _trained(ground: Ground, thing: Candidate, doers: Iterable[Performers | None]) -> Answer:
    roles = {role for by in doers if by is not None for _, role in by.roles}
    second = getattr(thing.record, "second_person", None)
    roles |= {second} if second else set()
    own = thing.record if isinstance(thing.record, Procedure) else thing.procedure
    works = [own] if own is not None else [ground.office.procedures[each.procedure] for each in thing.record.performs]
    if not works:
        return no("no procedure says how it is done, so no training covers it")
    for procedure in works:
        missing = ground.untrained(procedure, roles)
        if missing:
            said = listed([title(ground.office.roles, role) for role in missing])
            return no(f"no training teaches {said} “{procedure.title}”")
    return YES


def in_place(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    area = ground.office.areas.get(thing.record.area) if thing.record.area else None
    if area is None:
        return no("it does not say where", f"no place {thing.procedure.name}" if thing.procedure else "")
    if trait.requirement not in area.meets:
        return no(f"{area.title} does not meet {trait.requirement}")
    return Answer(Verdict.MET, beside=(Candidate("area", area),))


def in_zone_apart(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    own = ground.zone_of(thing.record)
    if own is None:
        return no("it does not say in which zone", f"no place {thing.procedure.name}" if thing.procedure else "")
    wanted = set(trait.groups[0])
    for other in ground.things("step"):
        if not wanted & ground.does(other.record):
            continue
        zone = ground.zone_of(other.record)
        if zone == own:
            return no(f"{other.said} is done in the same zone")
        if zone is None and other.procedure is not None:
            return no(f"{other.said} does not say in which zone", f"no place {other.procedure.name}")
    return YES


def finding(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    flow = ground.flow(thing.procedure) if thing.procedure is not None else None
    if flow is None:
        return no("its procedure handles no items")
    items = flow.items.worked_on(thing.record)
    reachable = flow.paths.reachable()
    places = [node.index for node in flow.paths.nodes if node.kind is NodeKind.STEP and node.step is thing.record]
    if not places or not all(index in reachable for index in places):
        return no("no path leads to it")
    for group in trait.groups:
        masks = [flow.items.spread(flow.items.words.mask([name]), items) for name in group]
        if not all(any(flow.holds[index] & mask == mask for mask in masks) for index in places):
            said = f"what it is done on may come to it not {_said([ground.office.conditions], group).lower()}"
            return no(said, _unbrought(ground.office, group))
    return YES


def _unbrought(office: Office, names: Iterable[str]) -> str:
    """The cause that is told where no action brings a condition (O01)."""
    brought = {name for action in office.actions.values() for name in action.brings}
    return next((f"no action brings {name}" for name in names if name not in brought), "")


def coming(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    directly = trait.word == "directly"
    before = thing.procedure is not None and ground.passing.before(
        thing.procedure, thing.record, trait.groups[0], directly
    )
    how = "directly before it" if directly else "before it"
    return when(before, f"not on every path is {_actions(ground.office, trait.groups[0])} done {how}")


def leading(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    after = thing.procedure is not None and ground.passing.after(thing.procedure, thing.record, trait.groups[0])
    return when(after, f"not on every path does {_actions(ground.office, trait.groups[0])} follow")


def doing(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    record, acts = thing.record, trait.groups[0]
    if isinstance(record, Procedure):
        done = ground.passing.surely(record.name, acts)
    else:
        done = any(act.action in acts for act in record.does) or any(
            ground.passing.surely(work.procedure, acts) for work in record.performs
        )
    return when(done, f"not on every path is {_actions(ground.office, acts)} done")
