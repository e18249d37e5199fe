"""Traits of waiting: that a limit, of the procedure or of every circuit, holds a step to its time after another."""

from __future__ import annotations

from sopc.checks.report import listed, title
from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.ties import items_of
from sopc.checks.requirements.verdicts import YES, Answer, Candidate, no
from sopc.model.nouns import Circuit, Limit, Procedure, WayLimit
from sopc.model.sentences import Trait


def soon_after(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    asked = trait.quantity
    if thing.procedure is None or asked is None:
        return YES
    held = any(_at_most(ground, thing.procedure, limit, trait) for limit in _own(thing))
    if held or _in_every_circuit(ground, thing, trait):
        return YES
    unless = f" unless {_actions(ground, trait.unless)} was done" if trait.unless else ""
    return no(f"no limit holds it to {asked} after {_since(ground, trait)}{unless}")


def not_before(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    procedure, asked = thing.procedure, trait.quantity
    if procedure is None or asked is None:
        return YES
    for limit in _own(thing):
        enough = limit.least is not None and limit.least.base >= asked.base and not limit.unless
        if enough and _counts_from(ground, procedure, limit, trait):
            return YES
    return no(f"no limit keeps it {asked} from {_since(ground, trait)}")


def _own(thing: Candidate) -> list[Limit]:
    procedure = thing.procedure
    return [limit for limit in procedure.limits if limit.later.step == thing.record.name] if procedure else []


def _actions(ground: Ground, names: tuple[str, ...]) -> str:
    return f"“{listed([title(ground.office.actions, name) for name in names], 'or')}”"


def _since(ground: Ground, trait: Trait) -> str:
    return _actions(ground, trait.groups[0]) if trait.groups else f"the {trait.word}"


def _does(ground: Ground, procedure: Procedure | None, step: str | None, acts: tuple[str, ...]) -> bool:
    found = procedure.step(step) if procedure is not None and step is not None else None
    return found is not None and bool(ground.does(found).intersection(acts))


def _counts_from(ground: Ground, procedure: Procedure, limit: Limit, trait: Trait) -> bool:
    if trait.groups:
        return _does(ground, procedure, limit.earlier.step, trait.groups[0])
    return trait.word == "start" and limit.earlier.step is None and limit.earlier.edge == "starts"


def _at_most(ground: Ground, procedure: Procedure, limit: Limit, trait: Trait) -> bool:
    asked = trait.quantity
    if asked is None or limit.most is None or limit.most.base > asked.base:
        return False
    lifted = all(_does(ground, procedure, step, trait.unless) for step in limit.unless)
    return lifted and _counts_from(ground, procedure, limit, trait)


# ── Along circuits ──────────────────────────────────────────────────────────────────────────────


def _in_every_circuit(ground: Ground, thing: Candidate, trait: Trait) -> bool:
    """Whether every circuit in which an item comes to this step has such a limit, and there is one."""
    circuits = [each for each in ground.office.circuits.values() if _passes(ground, each, thing)]
    return bool(circuits) and all(
        any(_way_at_most(ground, thing, limit, trait) for limit in circuit.way_limits) for circuit in circuits
    )


def _passes(ground: Ground, circuit: Circuit, thing: Candidate) -> bool:
    """Whether items of the circuit come to the step: in one of its procedures, or in one done after a visit."""
    procedure = thing.procedure
    if procedure is None:
        return False
    acts = thing.record.does
    worked_on = {item for doing in acts for item in items_of(thing, doing)} if acts else set(procedure.handles)
    afterwards = {name for visit in ground.office.visits.values() for name in visit.afterwards}
    named = procedure.name in {stage.procedure for stage in circuit.stages} | afterwards
    return named and bool(worked_on.intersection(circuit.items))


def _way_at_most(ground: Ground, thing: Candidate, limit: WayLimit, trait: Trait) -> bool:
    asked, procedure, earlier = trait.quantity, thing.procedure, limit.earlier
    if procedure is None or asked is None or limit.most is None or limit.most.base > asked.base:
        return False
    if (limit.later.procedure, limit.later.step) != (procedure.name, thing.record.name):
        return False
    known = ground.office.procedures
    if not all(_does(ground, known.get(name), step, trait.unless) for name, step in limit.unless):
        return False
    if trait.groups:
        return _does(ground, known.get(earlier.procedure), earlier.step, trait.groups[0])
    return trait.word == "visit" and not earlier.procedure
