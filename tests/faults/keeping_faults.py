"""Faults in what is kept up: tasks, schedules, records, logs, training, documents and requirements."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from fractions import Fraction

from sopc.checks.items.effects import with_performed
from sopc.checks.requirements.passing import Passing
from sopc.language.syntax import Node
from sopc.model.nouns import Occasion, Task
from sopc.trade.calendar import occurrences
from tests.faults.flow_faults import drop_clauses
from tests.faults.kinds import OWN_CHOICE, Mutant, kind, mutant
from tests.faults.number_faults import numbers, times
from tests.faults.people_faults import each_name, without
from tests.faults.protocol import Edit, Protocol, Site, ends, name_of, wording

RARER = {
    "each_patient": "every day",
    "each_load": "every week on mon if closed next open day",
    "start_of_day": "every week on mon if closed next open day",
    "end_of_day": "every week on mon if closed next open day",
    "at_time": "every week on mon if closed next open day",
    "every_day": "every week on mon if closed next open day",
    "every_week": "every month on first mon if closed next open day",
    "every_month": "every year on 03-15 if closed next open day",
    "every_quarter": "every year on 03-15 if closed next open day",
}
TODAY = date(2026, 12, 2)
A_YEAR_ON = date(2027, 12, 2)
STILL_RECORDED = "the task that has it done records in the same log"
OTHER_WORK = "another task, due at the same time, still has it done and written down"


@kind("tasks", "drop a task")
def drop_task(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("task"):
        task = protocol.office.tasks[name_of(site.node)]
        excuse = "" if protocol.backed(site) or task.renews or task.records else OWN_CHOICE
        yield mutant(site, "task dropped", site.drop(), excuse=OTHER_WORK if _done_as_well(protocol, task) else excuse)


def _done_as_well(protocol: Protocol, task: Task) -> bool:
    """Whether another task, due at the same occasion, surely has the same procedures done, records and all."""
    office = protocol.office
    passing, mine = Passing(office), [work.procedure for work in task.performs]
    occasions = {schedule.occasion for schedule in task.schedules}
    if not mine or None in occasions or task.renews or task.does:
        return False
    for other in office.tasks.values():
        same = other is not task and occasions <= {schedule.occasion for schedule in other.schedules}
        inside = with_performed(office, [work.procedure for work in other.performs]) if same else []
        acts = [each.action for name in mine for step in office.procedures[name].steps() for each in step.does]
        records = {made.log for each in inside for step in each.steps() for made in step.records}
        surely = all(any(passing.surely(work.procedure, (act,)) for work in other.performs) for act in acts)
        if surely and {each.name for each in inside} >= set(mine) and {made.log for made in task.records} <= records:
            return True
    return False


@kind("tasks", "do it more rarely")
def rarer(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites(*RARER):
        if site.within("task") is None:
            continue
        closing = site.around[-1].node("if_closed")
        edits = [site.replace(site.node, RARER[site.node.kind])]
        if closing is not None:
            edits.append(Edit(site.text.name, *ends(closing)))
        task = protocol.office.tasks[name_of(site.block())]
        excuse = "" if protocol.backed(site) or task.renews else OWN_CHOICE
        yield mutant(site, RARER[site.node.kind], *edits, excuse=excuse)


@kind("tasks", "drop what happens when closed")
def drop_if_closed(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("if_closed"):
        dated = [each.recurrence for each in office.tasks[name_of(site.block())].schedules if each.recurrence]
        days = [due.due for each in dated for due in occurrences(each, office.calendar, TODAY, A_YEAR_ON)]
        excuse = "its day never falls on a closed one within a year" if all(map(office.calendar.is_open, days)) else ""
        said = " ".join(wording(site.text, site.node).split())
        yield mutant(site, f"“{said}” dropped", site.drop(), excuse=excuse)


@kind("tasks", "drop when it is due")
def drop_schedule(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites(*RARER, "every_year", "every_days", "after_event"):
        if site.within("task") is None:
            continue
        closing = site.around[-1].node("if_closed")
        edits = [site.drop(), *([Edit(site.text.name, *ends(closing))] if closing is not None else [])]
        many = len(protocol.office.tasks[name_of(site.block())].schedules) > 1
        excuse = OWN_CHOICE if many and not protocol.backed(site) else ""
        yield mutant(site, "schedule dropped", *edits, excuse=excuse)


@kind("tasks", "drop what is made fresh")
def drop_renews(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("renews"):
        for names, place, word in each_name(site):
            supply = office.supplies[str(word)]
            alone = len(names.tokens("NAME")) == 1
            excuse = "" if supply.use_within else "nothing says how long it keeps"
            yield mutant(site, f"no {word}", site.drop() if alone else without(site, names, place), excuse=excuse)


@kind("records", "drop a log", sure=True)
def drop_log(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("log"):
        yield mutant(site, "log dropped", site.drop())


@kind("records", "drop a record")
def drop_record(protocol: Protocol) -> Iterator[Mutant]:
    office = protocol.office
    for site in protocol.sites("record"):
        log, procedure = name_of(site.node), protocol.procedure(site)
        doubled = procedure is not None and any(
            log in {each.log for each in task.records} and procedure.name in {each.procedure for each in task.performs}
            for task in office.tasks.values()
        )
        task = office.tasks.get(name_of(site.block())) if site.block().kind == "task" else None
        performed = {each.procedure for each in task.performs} if task else set()
        inside = any(
            log in {each.log for each in step.records} for name in performed for step in office.procedures[name].steps()
        )
        patients = task is not None and any(each.occasion is Occasion.EACH_PATIENT for each in task.schedules)
        noted = task is not None and bool(task.notes or patients) and not protocol.backed(site)
        excuse = STILL_RECORDED if doubled or inside else OWN_CHOICE if noted else ""
        yield mutant(site, f"no record in {log}", site.drop(), excuse=excuse)


@kind("records", "drop a column")
def drop_column(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("column"):
        yield mutant(site, "column dropped", site.drop(), excuse="" if protocol.backed(site) else OWN_CHOICE)


@kind("records", "widen the limits of a column")
def widen_column(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("column_limit"):
        found = site.node.tokens("NUMBER")
        if not found:
            continue
        first, last = found[0], found[-1]
        if len(found) > 1:
            edits = [site.replace(first, times(first, Fraction(1, 2))), site.replace(last, times(last, 2))]
        else:
            lower = site.node.token("LEAST") is not None
            edits = [site.replace(first, times(first, Fraction(1, 2) if lower else 2))]
        log = protocol.office.logs[name_of(site.block())]
        excuse = "" if protocol.backed(site) or log.for_devices else OWN_CHOICE
        yield mutant(site, " ".join(edit.new for edit in edits), *edits, excuse=excuse)


@kind("records", "drop the limits of a column")
def drop_column_limit(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("column_limit"):
        excuse = "" if protocol.backed(site) else OWN_CHOICE
        yield mutant(site, "limits dropped", Edit(site.text.name, *ends(site.node)), excuse=excuse)


@kind("records", "drop what to do beyond limits")
def drop_beyond(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("out_of_limits"):
        limited = any(column.limit for column in protocol.office.logs[name_of(site.block())].columns)
        yield mutant(site, "out of limits dropped", site.drop(), excuse="" if limited else "no column has limits")


@kind("records", "keep a log one year")
def keep_less(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("keep"):
        number = numbers(site.node)[0]
        if Fraction(str(number)) > 1:
            excuse = "" if protocol.backed(site) else OWN_CHOICE
            yield mutant(site, "keep 1 years", site.replace(number, "1"), excuse=excuse)


@kind("records", "drop how long a log is kept")
def drop_keep(protocol: Protocol) -> Iterator[Mutant]:
    yield from drop_clauses(protocol, "keep", excuse=OWN_CHOICE)


@kind("training", "drop a training", sure=True)
def drop_training(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("training"):
        yield mutant(site, "training dropped", site.drop())


@kind("training", "train half as often")
def train_rarely(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("at_least_every"):
        number = numbers(site.node)[0]
        yield mutant(site, f"every {times(number, 2)} days", site.replace(number, times(number, 2)))


@kind("training", "drop on hire, after change, or the interval")
def drop_occasion(protocol: Protocol) -> Iterator[Mutant]:
    yield from drop_clauses(protocol, "on_hire", "after_change", "at_least_every", excuse=OWN_CHOICE)


@kind("training", "leave a procedure out")
def uncovered(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("covers"):
        for names, place, word in each_name(site):
            if len(names.tokens("NAME")) > 1:
                others = [each for each in protocol.office.training.values() if str(word) in each.covers]
                excuse = "another training covers it too" if len(others) > 1 else ""
                yield mutant(site, f"no {word}", without(site, names, place), excuse=excuse)


@kind("training", "leave a role out")
def unschooled(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("for_names"):
        if site.block().kind != "training":
            continue
        training = protocol.office.training[name_of(site.block())]
        for names, place, word in each_name(site):
            if len(names.tokens("NAME")) > 1:
                does = any(_does(protocol, str(word), name) for name in training.covers)
                excuse = "" if does else "that role does none of what is covered"
                yield mutant(site, f"not for {word}", without(site, names, place), excuse=excuse)


def _does(protocol: Protocol, role: str, procedure: str) -> bool:
    known = protocol.office.procedures.get(procedure)
    steps = list(known.steps()) if known else []
    return any(role == each for step in steps if step.by for _, each in step.by.roles)


@kind("training", "drop topics, trainer or record")
def drop_training_part(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("topics", "trainer"):
        yield mutant(site, f"{site.node.kind} dropped", site.drop(), excuse="" if protocol.backed(site) else OWN_CHOICE)


@kind("documents", "drop number, revision, owner or approver", sure=True)
def drop_head(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("document_id", "revision", "owner", "approver"):
        yield mutant(site, f"{site.node.kind} dropped", site.drop())


@kind("documents", "drop the date of review", sure=True)
def drop_review(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("revision"):
        word = site.node.token("REVIEW")
        if word is not None:
            yield mutant(site, "review dropped", Edit(site.text.name, ends(word)[0], ends(site.node)[1]))


@kind("documents", "let the review be overdue", sure=True)
def overdue(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("revision"):
        dates = site.node.tokens("DATE")
        if len(dates) == 2:
            yield mutant(site, "review 2020-01-01", site.replace(dates[1], "2020-01-01"))


@kind("documents", "use a number twice", sure=True)
def same_number(protocol: Protocol) -> Iterator[Mutant]:
    previous: Site | None = None
    for site in protocol.sites("document_id"):
        word = site.node.token("STRING")
        if previous is not None and word is not None:
            yield mutant(site, "the number before", site.replace(word, str(previous.node.token("STRING"))))
        previous = site


@kind("documents", "leave a past revision out of order", sure=True)
def history_gap(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("history"):
        word = site.node.token("NUMBER")
        if word is not None:
            yield mutant(site, "history 99", site.replace(word, "99"))


@kind("requirements", "drop what meets a requirement")
def drop_meets(protocol: Protocol) -> Iterator[Mutant]:
    claims: dict[str, int] = {}
    for site in protocol.sites("meets"):
        for _, _, word in each_name(site):
            claims[str(word)] = claims.get(str(word), 0) + 1
    for site in protocol.sites("meets"):
        for names, place, word in each_name(site):
            alone = len(names.tokens("NAME")) == 1
            excuse = (
                "something else still meets it, and no sentence of it asks for this one"
                if claims[str(word)] > 1
                else ""
            )
            yield mutant(site, f"no {word}", site.drop() if alone else without(site, names, place), excuse=excuse)


@kind("requirements", "drop a decision to set aside")
def drop_set_aside(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("set_aside", "not_applicable"):
        yield mutant(site, "decision dropped", site.drop())


@kind("requirements", "let a decision lapse", sure=True)
def lapsed(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("set_aside"):
        word = site.node.token("DATE")
        if word is not None:
            yield mutant(site, "until 2020-01-01", site.replace(word, "2020-01-01"))


@kind("requirements", "drop a source that is cited", sure=True)
def drop_source(protocol: Protocol) -> Iterator[Mutant]:
    cited = {name_of(site.node) for site in protocol.sites("cite")}
    for site in protocol.sites("source"):
        if name_of(site.node) in cited:
            yield mutant(site, "source dropped", site.drop())


@kind("requirements", "drop a citation")
def drop_cite(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites("cite", packs=False):
        others = len(list(site.block().nodes("cite"))) > 1
        excuse = "another source stands beside it" if others else ""
        if _on_the_page(site):
            excuse = "the page of its procedure names the same source elsewhere"
        if not protocol.backed(site):
            excuse = "it names the office's own custom"
        yield mutant(site, f"cites no {name_of(site.node)}", site.drop(), excuse=excuse)


def _on_the_page(site: Site) -> bool:
    """Whether the procedure that a citation stands in names the same source a second time."""
    procedure = site.within("procedure")
    if procedure is None:
        return False
    waiting, found = [procedure], 0
    while waiting:
        inside = [child for child in waiting.pop().children if isinstance(child, Node)]
        found += sum(child.kind == "cite" and name_of(child) == name_of(site.node) for child in inside)
        waiting += inside
    return found > 1
