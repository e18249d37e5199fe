"""What sentences are decided on: the office's things by kind, what each says it meets, and who is trained for what."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from functools import cached_property
from typing import Any

from sopc.checks.items.effects import ItemEffects, Vocabulary, with_performed
from sopc.checks.items.flow import Flow
from sopc.checks.requirements.passing import Passing
from sopc.checks.requirements.verdicts import Candidate
from sopc.model.nouns import Office, Procedure, Recording, Step, Task

BY_KIND = {
    "procedure": "procedures",
    "task": "tasks",
    "log": "logs",
    "training": "training",
    "device": "devices",
    "supply": "supplies",
    "item": "items",
    "area": "areas",
    "role": "roles",
    "source": "sources",
}
CLAIMING = ("procedure", "step", "task", "log", "training", "device", "program", "supply", "item", "area", "role")
ALSO_CLAIMING = ("sources", "zones", "ppe", "kinds", "conditions", "actions")


class Ground:
    """An office with what is worked out once for all sentences."""

    def __init__(self, office: Office, today: date) -> None:
        self.office = office
        self.today = today
        self.passing = Passing(office)
        self._flows: dict[str, Flow | None] = {}
        self._things: dict[str, tuple[Candidate, ...]] = {}
        self._meeting: dict[str, dict[str, list[Candidate]]] = {}
        self._used: dict[int, frozenset[str]] = {}
        self._performed: dict[int, list[Procedure]] = {}
        self._done: dict[int, frozenset[str]] = {}
        self.due_days: dict[tuple[str, date, date], list[date] | None] = {}
        self.first_days: dict[tuple[str, date, date], dict[tuple[int, int], date]] = {}

    def things(self, kind: str) -> tuple[Candidate, ...]:
        """All things of one kind."""
        if kind not in self._things:
            self._things[kind] = tuple(self._collect(kind))
        return self._things[kind]

    def _collect(self, kind: str) -> Iterator[Candidate]:
        office = self.office
        if kind in BY_KIND:
            yield from (Candidate(kind, record) for record in getattr(office, BY_KIND[kind]).values())
        elif kind == "step":
            for procedure in office.procedures.values():
                yield from (Candidate(kind, step, procedure) for step in procedure.steps())
        elif kind == "program":
            for device in office.devices.values():
                yield from (Candidate(kind, program, device=device) for program in device.programs.values())
        elif kind == "phone":
            yield from (Candidate(kind, phone) for phone in office.premises.phones)
        elif kind == "term":
            yield from (Candidate(kind, term) for term in office.terms)
        elif office.premises.coordinator in office.roles:
            yield Candidate(kind, office.roles[office.premises.coordinator or ""])

    @cached_property
    def _steps_by_action(self) -> dict[str, list[Candidate]]:
        found: dict[str, list[Candidate]] = {}
        for step in self.things("step"):
            for action in self.does(step.record):
                found.setdefault(action, []).append(step)
        return found

    def steps_doing(self, actions: Iterable[str]) -> list[Candidate]:
        """The steps that do one of these actions, in no certain order, each once."""
        found = [step for action in actions for step in self._steps_by_action.get(action, ())]
        return list({step.key: step for step in found}.values())

    @cached_property
    def claims(self) -> dict[str, tuple[Candidate, ...]]:
        """For each requirement all that says it meets it."""
        found: dict[str, list[Candidate]] = {}
        others = [
            Candidate("thing", record) for kind in ALSO_CLAIMING for record in getattr(self.office, kind).values()
        ]
        for candidate in [*(each for kind in CLAIMING for each in self.things(kind)), *others]:
            for name in candidate.record.meets:
                found.setdefault(name, []).append(candidate)
        return {name: tuple(claims) for name, claims in found.items()}

    def meeting(self, kind: str, requirement: str) -> list[Candidate]:
        """The things of one kind that say, or of which a step says, that they meet the requirement."""
        if kind not in self._meeting:
            self._meeting[kind] = {}
            for thing in self.things(kind):
                for name in _met_by(thing.record):
                    self._meeting[kind].setdefault(name, []).append(thing)
        return self._meeting[kind].get(requirement, [])

    def meets(self, candidate: Candidate, requirement: str) -> bool:
        """Whether the thing, or a step of the procedure, says that it meets the requirement."""
        return requirement in _met_by(candidate.record)

    def kinds_of(self, names: set[str]) -> set[str]:
        """These names and the kinds of the devices among them."""
        kinds = {self.office.devices[name].kind for name in names if name in self.office.devices}
        return names | {kind for kind in kinds if kind}

    def used_by(self, record: Any) -> frozenset[str]:
        """The devices and supplies a step, procedure or task uses, with their kinds; those of what it performs too."""
        if id(record) not in self._used:
            self._used[id(record)] = frozenset(self._using(record))
        return self._used[id(record)]

    def _using(self, record: Any) -> set[str]:
        if isinstance(record, Step):
            return self.kinds_of({*record.using, *(run.device for run in record.runs)})
        found: set[str] = set()
        if isinstance(record, Task):
            items = {item for doing in record.does for item in doing.items}
            loads = {schedule.device for schedule in record.schedules if schedule.device}
            found = self.kinds_of({*record.using, *record.renews, *items, *loads})
        for procedure in self.performed(record):
            for step in procedure.steps():
                found |= self.used_by(step)
        return found

    def performed(self, record: Any) -> list[Procedure]:
        """The procedures a task performs, or the procedure itself; with all that they perform."""
        if id(record) not in self._performed:
            own = isinstance(record, Procedure)
            names = [record.name] if own else [work.procedure for work in getattr(record, "performs", ())]
            self._performed[id(record)] = with_performed(self.office, names)
        return self._performed[id(record)]

    def does(self, record: Any) -> frozenset[str]:
        """The actions of a step, a procedure or a task; of a task those of what it performs too."""
        if id(record) not in self._done:
            self._done[id(record)] = frozenset(self._doing(record))
        return self._done[id(record)]

    def _doing(self, record: Any) -> set[str]:
        if isinstance(record, Procedure):
            return {doing.action for step in record.steps() for doing in step.does}
        found = {doing.action for doing in record.does}
        if isinstance(record, Task):
            for procedure in self.performed(record):
                found |= self.does(procedure)
        return found

    def records(self, record: Any) -> tuple[Recording, ...]:
        """What a step, procedure, task or training writes down; of a task what it performs writes too."""
        found = list(getattr(record, "records", ()))
        if isinstance(record, Procedure | Task):
            for procedure in self.performed(record):
                found += [made for step in procedure.steps() for made in step.records]
        return tuple(found)

    def untrained(self, procedure: Procedure, roles: set[str]) -> list[str]:
        """Those of these roles whom no training that covers the procedure is for."""
        taught = {
            role
            for training in self.office.training.values()
            if procedure.name in training.covers
            for role in training.roles
        }
        return sorted(roles - taught)

    def zone_of(self, record: Any) -> str | None:
        """The zone in which a step is done or a device stands."""
        area = self.office.areas.get(record.area) if record.area else None
        return area.zone if area else None

    @cached_property
    def _words(self) -> Vocabulary:
        return Vocabulary(self.office)

    def flow(self, procedure: Procedure) -> Flow | None:
        """The conditions on every path of a procedure; None when it handles no items."""
        if procedure.name not in self._flows:
            items = ItemEffects(self._words, procedure)
            self._flows[procedure.name] = Flow(self.office, procedure, items) if items.items else None
        return self._flows[procedure.name]


def _met_by(record: Any) -> set[str]:
    met = set(getattr(record, "meets", ()))
    if isinstance(record, Procedure):
        met.update(name for step in record.steps() for name in step.meets)
    return met
