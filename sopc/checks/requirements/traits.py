"""Whether what a sentence says of a thing is so: one function for each kind of trait, and what it can be said of."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sopc.checks.report import listed, title
from sopc.checks.requirements import paper_traits as paper
from sopc.checks.requirements import supply_traits as supplied
from sopc.checks.requirements import wait_traits as waits
from sopc.checks.requirements import work_traits as work
from sopc.checks.requirements.ground import Ground
from sopc.checks.requirements.verdicts import Answer, Candidate, when
from sopc.model.nouns import Property
from sopc.model.sentences import Trait

Decider = Callable[[Ground, Candidate, Trait], Answer]

ANY_WORK = frozenset({"procedure", "step", "task"})
CLAIMING = frozenset(
    {"procedure", "step", "task", "log", "training", "device", "program", "supply", "item", "area", "role", "source",
     "coordinator"}
)  # fmt: skip


def _meeting(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    return when(ground.meets(thing, trait.requirement), f"it does not say that it meets {trait.requirement}")


def _being(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    record = thing.record
    if trait.groups:
        wanted = trait.groups[0][0]
        if thing.kind == "source":
            return when(record.authority == wanted, f"it is no {wanted}")
        if thing.kind == "supply":
            return when(record.name == wanted, f"it is not {title(ground.office.supplies, wanted)}")
        return when(record.kind == wanted, f"it is no {title(ground.office.kinds, wanted).lower()}")
    if thing.kind == "supply":
        return when(trait.word == "single use" and record.single_use, f"it is not {trait.word}")
    properties: frozenset[Property] = getattr(record, "properties", frozenset())
    return when(Property(trait.word) in properties, f"it is not {trait.word}")


def _serving(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    wanted = set(trait.groups[0])
    # What a task has done by a procedure is seen in that procedure's steps, with what each of them uses.
    tasks = (each.record for each in ground.things("task") if wanted & {act.action for act in each.record.does})
    serving = [*(each.record for each in ground.steps_doing(trait.groups[0])), *tasks]
    used = any(thing.name in record.using or _runs(record, thing.name) for record in serving)
    return when(used, f"nothing uses it to {listed([title(ground.office.actions, name) for name in wanted], 'or')}")


def _runs(record: Any, device: str) -> bool:
    return any(run.device == device for run in getattr(record, "runs", ()))


TRAITS: dict[str, tuple[frozenset[str], Decider]] = {
    "meeting": (CLAIMING, _meeting),
    "being": (frozenset({"item", "source", "device", "supply"}), _being),
    "serving": (frozenset({"supply", "device"}), _serving),
    "acting": (ANY_WORK, work.acting),
    "employing": (ANY_WORK, work.employing),
    "using_all": (ANY_WORK, work.employing),
    "handling": (frozenset({"procedure"}), work.handling),
    "promising": (frozenset({"procedure"}), work.promising),
    "wearing_all": (frozenset({"procedure", "step"}), work.wearing),
    "people": (ANY_WORK, work.people),
    "in_place": (frozenset({"step", "task", "device", "supply"}), work.in_place),
    "in_zone_apart": (frozenset({"step", "device"}), work.in_zone_apart),
    "taking": (frozenset({"step", "task", "supply"}), supplied.taking),
    "used_within": (frozenset({"supply"}), supplied.used_within),
    "no_weaker": (frozenset({"supply"}), supplied.no_weaker),
    "soon_after": (frozenset({"step"}), waits.soon_after),
    "not_before": (frozenset({"step"}), waits.not_before),
    "finding": (frozenset({"step"}), work.finding),
    "coming": (frozenset({"step"}), work.coming),
    "leading": (frozenset({"step"}), work.leading),
    "doing": (frozenset({"procedure", "task"}), work.doing),
    "apart": (frozenset({"task", "training"}), paper.apart),
    "in_every": (frozenset({"task"}), paper.in_every),
    "each_time": (frozenset({"task"}), paper.each_time),
    "on_hire": (frozenset({"training"}), paper.on_hire),
    "after_change": (frozenset({"training"}), paper.after_change),
    "recorded": (ANY_WORK | {"training"}, paper.recorded),
    "columns": (frozenset({"log"}), paper.columns),
    "kept": (frozenset({"log"}), paper.kept),
    "having": (CLAIMING | {"term", "phone"}, paper.having),
    "citing": (CLAIMING - {"role", "coordinator", "source"}, paper.citing),
    "saying": (CLAIMING | {"term", "phone"}, paper.saying),
}
"""For each kind of trait: of what things it can be said, and how it is decided."""


def fits(trait: Trait, kind: str) -> bool:
    """Whether this can be said of such a thing at all."""
    fit = kind in TRAITS[trait.kind][0]
    if fit and trait.kind == "having":
        return all(kind in paper.FEATURES[name][0] for group in trait.groups for name in group)
    return fit


def decide(ground: Ground, thing: Candidate, trait: Trait) -> Answer:
    """Whether the trait holds of the thing."""
    return TRAITS[trait.kind][1](ground, thing, trait)
