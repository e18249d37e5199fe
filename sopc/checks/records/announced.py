"""Is a procedure done when its page says so: “every Monday”, “after each patient”, “first Tuesday of the month”?"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sopc.checks.items.effects import with_performed
from sopc.checks.report import finding, listed
from sopc.findings import Finding, Note
from sopc.model.nouns import Occasion, Office, Procedure, Schedule, Task
from sopc.trade.calendar import Frequency

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAY = "(" + "|".join(_DAYS) + ")"
_NTH = {"first": 1, "second": 2, "third": 3, "fourth": 4, "last": -1}
_OCCASIONS: tuple[tuple[re.Pattern[str], Occasion], ...] = (
    (re.compile(r"\b(?:each|every) patient\b|\bbetween patients\b"), Occasion.EACH_PATIENT),
    (re.compile(r"\b(?:each|every) (?:\w+ )?load\b"), Occasion.EACH_LOAD),
    (re.compile(r"\bat the (?:start|beginning) of (?:the|each|every) day\b"), Occasion.START_OF_DAY),
    (re.compile(r"\bat the end of (?:the|each|every) day\b"), Occasion.END_OF_DAY),
)
_DAILY = re.compile(r"\b(?:each|every) day\b|\bdaily\b")
_WEEKLY = re.compile(rf"\b(?:(?:each|every) {_DAY}|{_DAY}s)\b|^{_DAY}\b")
_MONTHLY = re.compile(rf"\b({'|'.join(_NTH)}) {_DAY} (?:of|in) (?:the|each|every) (month|quarter)\b")


@dataclass(frozen=True, slots=True)
class _Said:
    """One time that the words name, and whether a schedule is due then."""

    text: str
    occasion: Occasion | None = None
    weekday: int | None = None
    nth: int | None = None
    frequency: Frequency | None = None

    def kept_by(self, schedule: Schedule) -> bool:
        if self.occasion is not None:
            return schedule.occasion is self.occasion or self.text in schedule.event.casefold()
        rule = schedule.recurrence
        if self.frequency is Frequency.DAILY:
            daily = schedule.occasion in (Occasion.START_OF_DAY, Occasion.END_OF_DAY)
            return daily or (rule is not None and rule.frequency is Frequency.DAILY)
        if rule is None or rule.frequency is not self.frequency:
            return False
        return self.weekday in rule.weekdays and self.nth == rule.nth


def announced(office: Office) -> Iterator[Finding]:
    """The times that `done` names are among those at which some task has the procedure done (X05).

    A procedure that no task performs by itself is done when another says so, and is let pass.
    """
    done_by: dict[str, list[Task]] = {}
    directly: set[str] = set()
    for task in office.tasks.values():
        names = [work.procedure for work in task.performs]
        directly.update(names)
        for procedure in with_performed(office, names):
            done_by.setdefault(procedure.name, []).append(task)
    for procedure in office.procedures.values():
        if procedure.name in directly:
            yield from _announced(procedure, done_by[procedure.name])


def _announced(procedure: Procedure, tasks: list[Task]) -> Iterator[Finding]:
    schedules = [each for task in tasks for each in task.schedules]
    for said in _said(procedure.done.casefold()):
        if not any(said.kept_by(schedule) for schedule in schedules):
            due = listed([f"“{task.title}”, {task.schedules[0].text}" for task in tasks if task.schedules])
            yield finding(
                "X05",
                tasks[0].span,
                f"“{procedure.title}” is done {said.text}, says its page; due is {due or 'nothing that has it done'}.",
                floor="The list on the wall calls for it more rarely than the page, or on another day.",
                fix="Look up which is right; write it in the task and in `done`.",
                notes=[Note("the page is here", procedure.span)],
            )


def _said(text: str) -> Iterator[_Said]:
    monthly = _MONTHLY.search(text)
    if monthly is not None:
        frequency = Frequency.MONTHLY if monthly[3] == "month" else Frequency.QUARTERLY
        yield _Said(f"on the {monthly[0]}", None, _DAYS.index(monthly[2]), _NTH[monthly[1]], frequency)
    for pattern, occasion in _OCCASIONS:
        found = pattern.search(text)
        if found is not None:
            yield _Said(found[0], occasion)
    weekly = _WEEKLY.search(text)
    if weekly is not None:
        day = weekly[1] or weekly[2] or weekly[3]
        yield _Said(f"every {day.capitalize()}", None, _DAYS.index(day), None, Frequency.WEEKLY)
    elif _DAILY.search(text) and not any(pattern.search(text) for pattern, _ in _OCCASIONS):
        yield _Said("every day", frequency=Frequency.DAILY)
