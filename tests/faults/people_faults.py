"""Faults in who, where and with what: roles, protective equipment, areas, devices and supplies used."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from sopc.language.syntax import Node, Token
from tests.faults.kinds import OWN_CHOICE, Mutant, kind, mutant
from tests.faults.protocol import Edit, Protocol, Site, ends, name_of

UNASKED = "no requirement, action or source asks for it there"


def without(site: Site, names: Node, place: int) -> Edit:
    """The edit that takes one name out of a list of several."""
    words = names.tokens("NAME")
    start, end = (ends(words[place - 1])[1], ends(words[place])[1]) if place else (ends(words[0])[0], ends(words[1])[0])
    return Edit(site.text.name, start, end)


def each_name(site: Site) -> Iterator[tuple[Node, int, Token]]:
    """Every name of the first list of a site."""
    names = site.node.node("names")
    if names is not None:
        yield from ((names, place, word) for place, word in enumerate(names.tokens("NAME")))


@kind("people", "drop one piece of protective equipment")
def drop_ppe(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("wearing"):
        for names, place, word in each_name(site):
            alone = len(names.tokens("NAME")) == 1
            edit = site.replace(names, "nothing") if alone else without(site, names, place)
            yield mutant(site, f"no {word}", edit, excuse=_unworn(protocol, site))


@kind("people", "wear nothing")
def wear_nothing(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("wearing"):
        names = site.node.node("names")
        if names is not None:
            yield mutant(site, "wearing nothing", site.replace(names, "nothing"), excuse=_unworn(protocol, site))


def _unworn(protocol: Protocol, site: Site) -> str:
    """Why nobody is left bare by it: what a procedure says is worn in those steps alone that say nothing themselves."""
    if site.block().kind == "procedure":
        own = [step for step in _steps(site.block()) if step.node("wearing") is None]
        if all(step.node("perform") is not None for step in own):
            return "each of its steps says what is worn, or performs a procedure that does"
    return "" if protocol.backed(site) else OWN_CHOICE


def _steps(block: Node) -> Iterator[Node]:
    for child in block.children:
        if isinstance(child, Node):
            yield from ([child] if child.kind == "step" else _steps(child))


@kind("people", "leave hands uncleaned after gloves")
def uncleaned(protocol: Protocol) -> Iterator[Mutant]:
    """Where gloves come off at a step that cleans hands, as the text has it, it cleans them no longer."""
    office = protocol.office
    for site in protocol.sites("does"):
        procedure, step = protocol.procedure(site), protocol.step(site)
        if procedure is None or step is None or site.within("way") is not None:
            continue
        off = {name for name, piece in office.ppe.items() if name_of(site.node) in piece.once_off}
        steps = list(procedure.steps())
        place = next(index for index, each in enumerate(steps) if each.name == step.name)
        worn = set(steps[place - 1].wearing) - set(step.wearing) if place else set()
        if off:
            excuse = "" if off & worn else "no gloves come off just before it"
            yield mutant(site, f"does no {name_of(site.node)}", site.drop(), excuse=excuse)


@kind("people", "keep soiled gloves on")
def kept_on(protocol: Protocol) -> Iterator[Mutant]:
    """What was worn just before, where anything is admitted, is kept on where only some of it is."""
    office = protocol.office
    for site in protocol.sites("wearing"):
        procedure, step = protocol.procedure(site), protocol.step(site)
        if procedure is None or step is None or site.node.node("names") is None:
            continue
        steps = list(procedure.steps())
        place = next((index for index, each in enumerate(steps) if each.name == step.name), 0)
        before = steps[place - 1] if place else None
        if before is None or not _admits(protocol, step.area) or _admits(protocol, before.area):
            continue
        for piece in before.wearing:
            if office.ppe[piece].off_before_clean and piece not in step.wearing:
                at = ends(site.node)[1]
                yield mutant(site, f"keeps {piece} on", Edit(site.text.name, at, at, f", {piece}"))


def _admits(protocol: Protocol, area: str | None) -> bool:
    """Whether the zone of this area is one into which not everything may come."""
    office = protocol.office
    zone = office.areas[area].zone if area else None
    return zone is not None and bool(office.zones[zone].admits)


@kind("people", "say no longer who does it")
def drop_by(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("by"):
        if site.within("visit") is not None:
            continue
        inherits = site.within("step") is not None
        yield mutant(site, "by dropped", site.drop(), excuse="the procedure's own role does it" if inherits else "")


@kind("people", "give the work to one who is not trained for it", sure=True)
def untrained(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("by"):
        procedure = protocol.procedure(site)
        persons = list(site.node.nodes("person"))
        if procedure is None or not persons:
            continue
        taught = {role for each in office.training.values() if procedure.name in each.covers for role in each.roles}
        other = next((role for role in office.roles if role not in taught), None)
        word = persons[0].token("NAME")
        if other is not None and word is not None and taught:
            yield mutant(site, f"by {other}", site.replace(word, other))


@kind("people", "drop the second person")
def drop_second(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("second_person"):
        yield mutant(site, "no second person", site.drop(), excuse="" if protocol.backed(site) else OWN_CHOICE)


@kind("people", "ask for more people than are on duty", sure=True)
def too_many(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("by"):
        persons = list(site.node.nodes("person"))
        word = persons[0].token("NAME") if persons else None
        if word is not None and site.within("visit") is None and persons[0].token("NUMBER") is None:
            yield mutant(site, f"by 9 {word}", site.replace(word, f"9 {word}"))


@kind("places", "do it somewhere else")
def elsewhere(protocol: Protocol) -> Iterator[Mutant]:
    areas = list(protocol.office.areas)
    for site in protocol.sites("in_area"):
        word = site.node.token("NAME")
        if word is None or site.block().kind not in ("step", "procedure"):
            continue
        zone = protocol.office.areas[str(word)].zone
        for other in areas:
            if protocol.office.areas[other].zone != zone:
                excuse = "" if _moves(protocol, site) else "nothing there moves an item between zones"
                yield mutant(site, f"in {other}", site.replace(word, other), excuse=excuse)


def _moves(protocol: Protocol, site: Site) -> bool:
    """Whether something is done to an item there, or an item is looked at."""
    step = protocol.step(site)
    if step is None or not _handles(protocol, site):
        return _handles(protocol, site)
    return bool(step.does or step.performs or any(check.loses for check in step.checks))


def _handles(protocol: Protocol, site: Site) -> bool:
    procedure = protocol.procedure(site)
    return procedure is not None and bool(procedure.handles)


@kind("places", "stand a machine somewhere else")
def machine_elsewhere(protocol: Protocol) -> Iterator[Mutant]:
    areas = list(protocol.office.areas)
    for site in protocol.sites("in_area"):
        word = site.node.token("NAME")
        if word is None or site.block().kind != "device":
            continue
        device = protocol.office.devices[name_of(site.block())]
        other = next(area for area in areas if area != str(word))
        used = any(
            device.name in (*step.using, *(run.device for run in step.runs))
            for procedure in protocol.office.procedures.values()
            for step in procedure.steps()
        )
        excuse = "" if used and device.programs else "it runs no program in any step, and may be carried"
        yield mutant(site, f"in {other}", site.replace(word, other), excuse=excuse)


@kind("places", "drop where it is done")
def drop_in(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("in_area"):
        block = site.block().kind
        if block == "procedure":
            yield mutant(site, "in dropped", site.drop())
        elif block == "step":
            yield mutant(site, "in dropped", site.drop(), excuse="" if _handles(protocol, site) else OWN_CHOICE)


@kind("places", "drop one thing that is used")
def drop_using(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("using"):
        for names, place, word in each_name(site):
            alone = len(names.tokens("NAME")) == 1
            edit = site.drop() if alone else without(site, names, place)
            yield mutant(site, f"without {word}", edit, excuse=_using_excuse(protocol, site, str(word)))


def _using_excuse(protocol: Protocol, site: Site, name: str) -> str:
    """Something used matters when an act of the step is done with it."""
    step, office = protocol.step(site), protocol.office
    does = step.does if step is not None else ()
    device = office.devices.get(name)
    known = {name, device.kind if device is not None else name}
    asked = any(known & set(office.actions[doing.action].with_any) for doing in does)
    return "" if asked else "no act of it is done with this thing"


@kind("places", "use two chemicals together that must not meet", sure=True)
def mix(protocol: Protocol) -> Iterator[Mutant]:
    supplies = protocol.office.supplies
    partners = {name: set(supply.not_with) for name, supply in supplies.items()}
    for name, supply in supplies.items():
        for other in supply.not_with:
            partners.setdefault(other, set()).add(name)
    for site in protocol.sites("using"):
        for names, _, word in each_name(site):
            used = {str(each) for each in names.tokens("NAME")}
            for other in sorted(partners.get(str(word), set()) & set(supplies) - used):
                yield mutant(site, f"with {other}", site.replace(word, f"{word}, {other}"))


@kind("places", "run a program on the wrong machine", sure=True)
def wrong_machine(protocol: Protocol) -> Iterator[Mutant]:
    devices = protocol.office.devices
    for site in protocol.sites("runs"):
        device, program = site.node.tokens("NAME")
        other = next((each.name for each in devices.values() if str(program) not in each.programs), None)
        if other is not None:
            yield mutant(site, f"runs {other} {program}", site.replace(device, other))


@kind("places", "drop the run of a machine")
def drop_runs(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("runs"):
        yield mutant(site, "runs dropped", site.drop(), excuse="" if protocol.backed(site) else OWN_CHOICE)


@kind("places", "let steps flow against the zones")
def turn_flow(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("flow"):
        names = site.node.tokens("NAME")
        for one, other in pairwise(names):
            yield mutant(site, f"flow {other} to {one}", site.replace(one, str(other)), site.replace(other, str(one)))
