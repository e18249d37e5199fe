"""Faults in the order of work: steps, acts, questions, answers, ways and promises lost or changed about."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from sopc.checks.items.effects import Vocabulary
from sopc.language.syntax import Node
from sopc.model.nouns import Doing, Office, Procedure, Step
from tests.faults.kinds import OWN_CHOICE, Mutant, kind, mutant
from tests.faults.protocol import Edit, Protocol, Site, cut, ends, name_of, wording

SILENT = "it does nothing to an item, records nothing, asks nothing, cites nothing: an editor's choice"
NOT_RELIED_ON = "no later act needs what it brings, and the procedure does not promise it"
INDEPENDENT = "neither step changes what the other needs, and no limit counts from them"
REACH_SAME = "what comes next is the next step anyway"


def acts(office: Office, step: Step) -> list[Doing]:
    """What a step does that changes or asks for a condition."""
    known = [(doing, office.actions.get(doing.action)) for doing in step.does]
    return [doing for doing, action in known if action and (action.needs or action.brings or action.undoes)]


def relied_on(office: Office, procedure: Procedure, doing: Doing) -> bool:
    """Whether a later act needs what this one brings, or the procedure promises it."""
    action = office.actions[doing.action]
    needed = {
        need
        for step in procedure.steps()
        for other in acts(office, step)
        for need in office.actions[other.action].needs
    }
    for step in procedure.steps():
        for performing in step.performs:
            needed |= set(office.procedures[performing.procedure].from_conditions)
    return bool(set(action.brings) & (needed | set(procedure.to_conditions)))


def excuse_for_step(protocol: Protocol, site: Site) -> str:
    """Why a step may go without anyone being told; empty when somebody should be."""
    step, procedure = protocol.step(site), protocol.procedure(site)
    if step is None or procedure is None:
        return ""
    office = protocol.office
    if step.records or step.performs or step.second_person or protocol.backed(site):
        return ""
    doing = acts(office, step)
    if any(relied_on(office, procedure, each) for each in doing):
        return ""
    if doing:
        return NOT_RELIED_ON
    return OWN_CHOICE if step.checks or step.runs else SILENT


@kind("order", "drop a step")
def drop_step(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step"):
        if site.within("override") is None:
            yield mutant(site, "step dropped", site.drop(), excuse=excuse_for_step(protocol, site))


def _parts(node: Node) -> list[Node]:
    return list(node.nodes("step"))


def _touching(one: Node, other: Node, around: Node) -> bool:
    children = around.children
    return children.index(other) == children.index(one) + 1


@kind("order", "swap neighbouring steps")
def swap_steps(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("procedure", "way", "branch"):
        for one, other in pairwise(_parts(site.node)):
            if site.within("override") is not None or not _touching(one, other, site.node):
                continue
            (start, middle), (resume, end) = ends(one), ends(other)
            text = site.text.text
            swapped = text[resume:end] + text[middle:resume] + text[start:middle]
            here = Site(site.text, one, (*site.around, site.node))
            there = Site(site.text, other, (*site.around, site.node))
            yield mutant(
                here,
                f"comes after {name_of(other)}",
                Edit(site.text.name, start, end, swapped),
                excuse=_excuse_for_swap(protocol, here, there),
            )


def _excuse_for_swap(protocol: Protocol, here: Site, there: Site) -> str:
    """Independent steps may change places: neither touches a condition that the other needs or brings."""
    one, other, procedure = protocol.step(here), protocol.step(there), protocol.procedure(here)
    if one is None or other is None or procedure is None:
        return ""
    named = {point.step for limit in procedure.limits for point in (limit.later, limit.earlier)}
    if named & {one.name, other.name}:
        return ""
    office = protocol.office
    if one.performs and other.performs:
        return ""
    if one.checks or other.checks or one.onward or other.onward:
        # Another question is asked first; what it decides is the same unless a condition hangs on it.
        if acts(office, one) and acts(office, other):
            return ""
        return "at most one of the two changes a condition, and no limit counts from them"
    first, second = _touched(office, one), _touched(office, other)
    return INDEPENDENT if not (first[0] & second[1] or first[1] & second[0] or first[1] & second[1]) else ""


def _touched(office: Office, step: Step) -> tuple[set[str], set[str]]:
    """The conditions a step needs, and those it changes."""
    needs: set[str] = set()
    changes: set[str] = set()
    for doing in step.does:
        action = office.actions[doing.action]
        needs |= set(action.needs)
        changes |= {*action.brings, *action.undoes}
        for name in action.brings:
            changes |= {other for other, each in office.conditions.items() if name in each.excludes}
            changes |= set(office.conditions[name].excludes)
    for performing in step.performs:
        inner = office.procedures[performing.procedure]
        needs |= set(inner.from_conditions)
        changes |= set(inner.to_conditions)
    return needs, changes


@kind("order", "drop an act from a step")
def drop_does(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("does"):
        step, procedure = protocol.step(site), protocol.procedure(site)
        if step is None or procedure is None:
            continue
        doing = [each for each in acts(protocol.office, step) if each.action == name_of(site.node)]
        excuse = ""
        if not protocol.backed(site) and not any(relied_on(protocol.office, procedure, each) for each in doing):
            excuse = NOT_RELIED_ON if doing else OWN_CHOICE
        yield mutant(site, f"does no {name_of(site.node)}", site.drop(), excuse=excuse)


@kind("order", "drop a performed procedure")
def drop_perform(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("perform"):
        if site.within("step") is None:
            continue
        inner = protocol.office.procedures.get(name_of(site.node))
        silent = inner is not None and not inner.to_conditions and not protocol.backed(site)
        yield mutant(site, f"performs no {name_of(site.node)}", site.drop(), excuse=OWN_CHOICE if silent else "")


@kind("order", "drop a question")
def drop_check(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("check"):
        yield mutant(site, "check dropped", site.drop(), excuse="" if protocol.backed(site) else OWN_CHOICE)


@kind("order", "drop the way out of a question", sure=True)
def drop_else(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("check"):
        word = site.node.token("ELSE")
        if word is not None:
            start, end = ends(word)[0], ends(site.node)[1]
            yield mutant(site, "check without else", Edit(site.text.name, start, end))


@kind("order", "let a no go on")
def else_continue(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("check"):
        word = site.node.token("ELSE")
        if word is None or wording(site.text, site.node).endswith("else continue"):
            continue
        edit = Edit(site.text.name, ends(word)[0], ends(site.node)[1], "else continue")
        excuse = "" if protocol.backed(site) or _brings(protocol, site) else OWN_CHOICE
        yield mutant(site, "else continue", edit, excuse=excuse)


def _brings(protocol: Protocol, site: Site) -> bool:
    """Whether the step of this question brings a condition that is relied on, or its no takes one away."""
    step, procedure = protocol.step(site), protocol.procedure(site)
    if step is None or procedure is None:
        return False
    loses = any(check.loses for check in step.checks)
    return loses or any(relied_on(protocol.office, procedure, each) for each in acts(protocol.office, step))


@kind("order", "forget what a no takes away")
def drop_lose(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("lose"):
        check = site.within("check")
        then = check.token("THEN") if check is not None else None
        if then is None:
            continue
        edit = Edit(site.text.name, ends(site.node)[0], ends(then)[1])
        excuse = "" if not _leaves(check) else "after the no nothing relies on it: the way stops, or does it again"
        yield mutant(site, "lose dropped", edit, excuse=excuse)


def _leaves(check: Node | None) -> bool:
    """Whether the answer no only stops, or repeats and then stops."""
    words = " ".join(str(word) for word in check.words()) if check else ""
    return " continue" not in words and "go to" not in words


@kind("order", "drop the bound of a repeat", sure=True)
def unlimited(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("repeat"):
        at = site.node.token("AT")
        if at is not None:
            edit = Edit(site.text.name, ends(at)[0], ends(site.node)[1])
            yield mutant(site, "repeat without end", edit)


@kind("order", "repeat ten times as often")
def often(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("repeat"):
        number = site.node.token("NUMBER")
        if number is not None:
            excuse = "" if protocol.backed(site) else OWN_CHOICE
            yield mutant(site, f"{number}0 times", site.replace(number, f"{number}0"), excuse=excuse)


@kind("order", "lead a no to a step that is not there", sure=True)
def astray(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("repeat", "go_to"):
        name = site.node.token("NAME")
        if name is not None:
            yield mutant(site, f"to {name}x", site.replace(name, f"{name}x"))


@kind("order", "drop `next`")
def drop_next(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("onward"):
        step = protocol.step(site)
        stops = step is not None and site.node.node("stop") is not None
        yield mutant(site, "next dropped", site.drop(), excuse="" if stops or protocol.backed(site) else OWN_CHOICE)


@kind("order", "drop a way or a branch")
def drop_way(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("way", "branch"):
        steps = [Site(site.text, node, (*site.around, site.node)) for node in site.node.nodes("step")]
        excuse = "one way fewer to do the same" if site.node.kind == "way" else ""
        if any(protocol.backed(each) for each in steps):
            excuse = ""
        yield mutant(site, f"{site.node.kind} dropped", site.drop(), excuse=excuse)


@kind("order", "do it only sometimes")
def only_when(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("step"):
        brace = site.node.token("LBRACE")
        if brace is None or site.node.node("when") is not None or site.within("override") is not None:
            continue
        at = ends(brace)[1]
        edit = Edit(site.text.name, at, at, ' when "there is time" ')
        yield mutant(site, "done only when there is time", edit, excuse=excuse_for_step(protocol, site))


@kind("order", "promise more than is done")
def promise(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("handles"):
        procedure = protocol.procedure(site)
        if procedure is None:
            continue
        start, new = list(site.node.nodes("names"))[-1], never_brought(protocol, procedure)
        if new:
            at = ends(start)[1]
            yield mutant(site, f"promises {new}", Edit(site.text.name, at, at, f", {new}"))


def never_brought(protocol: Protocol, procedure: Procedure) -> str:
    """A condition that holds at no time in the procedure."""
    known = {*procedure.from_conditions, *procedure.to_conditions}
    for step in procedure.steps():
        needs, changes = _touched(protocol.office, step)
        known |= needs | changes
    return next((name for name in protocol.office.conditions if name not in known), "")


@kind("order", "drop what a procedure starts from or promises")
def promise_less(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("handles"):
        procedure = protocol.procedure(site)
        users = [
            each
            for each in protocol.office.procedures.values()
            for step in each.steps()
            for inner in step.performs
            if procedure is not None and inner.procedure == procedure.name
        ]
        for list_, word in zip(list(site.node.nodes("names"))[1:], ("starts from", "promises"), strict=True):
            names = list_.tokens("NAME")
            if len(names) < 2:
                continue
            for place, name in enumerate(names):
                start, end = (ends(names[place - 1])[1], ends(name)[1]) if place else (ends(name)[0], ends(names[1])[0])
                excuse = "" if users else "no procedure performs it, and no requirement asks for this promise"
                if word == "promises" and procedure is not None and _stays(protocol.office, procedure, str(name)):
                    excuse = "it starts from the same, and nothing in it takes that away"
                yield mutant(site, f"{word} no {name}", Edit(site.text.name, start, end), excuse=excuse)


def _stays(office: Office, procedure: Procedure, condition: str) -> bool:
    """Whether an item that comes with this condition surely leaves with it, promised or not."""
    words = Vocabulary(office)
    _, takes, _ = words.procedure(procedure)
    return condition in procedure.from_conditions and not takes & words.mask((condition,))


@kind("order", "narrow the border of a way")
def narrow(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("way"):
        words = site.node.tokens("STRING")
        number = re.search(r"\d+", str(words[1])) if len(words) > 1 else None
        if number is not None:
            new = str(words[1]).replace(number[0], str(max(1, int(number[0]) // 2)), 1)
            lower = " or more" in new or "over" in new
            excuse = "the ways overlap: none is left out" if lower else ""
            yield mutant(site, f"when {new}", site.replace(words[1], new), excuse=excuse)


@kind("order", "leave no way for all else", sure=True)
def no_way_else(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("way"):
        words = site.node.tokens("STRING")
        others = [each for each in site.around[-1].nodes("way") if each is not site.node]
        if len(words) == 1 and others and all(len(each.tokens("STRING")) > 1 for each in others):
            at = ends(words[0])[1]
            yield mutant(site, "only when there is time", Edit(site.text.name, at, at, ' when "there is time"'))


def drop_clauses(protocol: Protocol, *kinds: str, excuse: str = "") -> Iterator[Mutant]:
    """Every clause of these kinds taken out, one at a time; excused where nothing stands behind its block."""
    for site in protocol.sites(*kinds):
        reason = excuse if not protocol.backed(site) else ""
        yield mutant(site, f"“{' '.join(wording(site.text, site.node).split())}” dropped", cut_of(site), excuse=reason)


def cut_of(site: Site) -> Edit:
    """The edit that takes a site out."""
    return cut(site.text, site.node)
