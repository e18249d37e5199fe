"""The registry of codes: title, severity, long explanation and source of each, in one file a family."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module

from sopc.findings.finding import Severity

FAMILIES = (
    "reading",
    "syntax",
    "names",
    "quantities",
    "order",
    "time",
    "presence",
    "zones",
    "schedule",
    "control",
    "requirements",
    "capacity",
    "numbers",
    "words",
)


@dataclass(frozen=True, slots=True)
class Code:
    """What one code means: `explanation` is Markdown for `sopc explain`; `source` names the rule's origin."""

    code: str
    title: str
    severity: Severity
    explanation: str
    source: str = "sopc's own rule of the language"


@cache
def codes() -> dict[str, Code]:
    """Every code the compiler can give, in order."""
    found: dict[str, Code] = {}
    for family in FAMILIES:
        for entry in import_module(f"sopc.findings.codes.{family}").CODES:
            if entry.code in found:
                raise ValueError(f"code {entry.code} is registered twice")
            found[entry.code] = entry
    return found


@cache
def families() -> dict[str, tuple[Code, ...]]:
    """The codes of each family under its heading, which is what the family's file says it is about."""
    found: dict[str, tuple[Code, ...]] = {}
    for family in FAMILIES:
        module = import_module(f"sopc.findings.codes.{family}")
        about = (module.__doc__ or family).strip().rstrip(".").removeprefix("Codes about ")
        found[about[0].upper() + about[1:]] = module.CODES
    return found


def code(name: str) -> Code:
    """Look one code up; KeyError when there is none."""
    return codes()[name]
