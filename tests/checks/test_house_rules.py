"""The demo's own rules: each order it names opens when one of its steps is done only sometimes, or comes elsewhere."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import Verdict
from sopc.model.nouns import Office
from sopc.model.sentences import Sentence
from tests.faults.catalogue import demo

RULES = [f"LP-{number:02}" for number in range(1, 37)]
NO_ORDER = {"LP-05", "LP-36", *(f"LP-{number}" for number in range(26, 35))}


def verdict(office: Office, name: str) -> Verdict:
    alone = replace(office, requirements={name: office.requirements[name]})
    return standings(alone, demo().today)[name].texts


def orders(name: str) -> list[Sentence]:
    return [each for each in demo().protocol.office.requirements[name].sentences if each.kind == "along"]


def sometimes(procedure: str, step: str) -> Office:
    """The demo with one step of a procedure done only when there is time."""
    place = demo().protocol.office.procedures[procedure].span.file
    text = demo().texts[place]
    head = re.compile(rf"(^procedure {procedure} (?:(?!^procedure ).)*?^ *step {step} \"[^\"]*\" {{)", re.M | re.S)
    changed, count = head.subn(r'\1 when "there is time"', text)
    assert count == 1
    office, _ = demo().load({**demo().texts, place: changed})
    assert office is not None
    return office


@pytest.mark.parametrize("name", RULES)
def test_the_demo_keeps_its_rule(name: str) -> None:
    assert verdict(demo().protocol.office, name) is Verdict.MET


@pytest.mark.parametrize("name", [name for name in RULES if name not in NO_ORDER])
def test_a_rule_opens_when_a_step_of_it_is_done_only_sometimes(name: str) -> None:
    first = orders(name)[0]
    for steps in (first.order[0], first.order[-1]):
        assert verdict(sometimes(first.procedure, steps[0]), name) is Verdict.OPEN


@pytest.mark.parametrize(
    ("name", "file", "old", "new"),
    [
        ("LP-05", "procedures/day.sop", "gown, mask, eyewear, utility_gloves", "gown, mask, utility_gloves"),
        ("LP-02", "procedures/day.sop", 'soil left to see?" else', 'soil left to see?" else continue #'),
        ("LP-01", "procedures/day.sop", "using air_compressor, vacuum", ""),
        ("LP-19", "procedures/safety.sop", "report_now starts within 30 min", "report_now starts within 60 min"),
        ("LP-19", "procedures/safety.sop", "go_clinic ends within 2 h", "go_clinic ends within 4 h"),
        ("LP-21", "procedures/safety.sop", 'else stop "Come back in an hour."', "else continue"),
        ("LP-25", "procedures/program.sop", "second person dentist", ""),
        ("LP-26", "logs.sop", "keep 3 years", "keep 1 years"),
        ("LP-26", "logs.sop", "keep 5 years", "keep 1 years"),
        ("LP-27", "training.sop", "on hire", ""),
        ("LP-28", "procedures/instruments.sop", "limit oil starts within 30 min", "limit oil starts within 60 min"),
        ("LP-28", "procedures/monitoring.sop", "at least 10 min and within 2 h", "at least 10 min and within 4 h"),
        ("LP-28", "cases.sop", "moisten of transport ends within 60 min", "moisten of transport ends within 90 min"),
        ("LP-28", "cases.sop", "washer_cleaning starts within 4 h", "washer_cleaning starts within 5 h"),
        ("LP-28", "procedures/instruments.sop", "procedure starts unless moisten", "procedure starts unless lift"),
        ("LP-29", "procedures/monitoring.sop", "starts at least 10 min and within", "starts within"),
        ("LP-34", "supplies.sop", "use within 6 h", "use within 8 h"),
        ("LP-36", "procedures/water.sop", 'check "No drop drawn back?" else stop', 'check "No drop?" else continue #'),
        ("LP-34", "supplies.sop", "1 part to 199 parts", "1 part to 399 parts"),
        ("LP-29", "supplies.sop", "contact 2 min", "contact 1 min"),
        ("LP-29", "procedures/monitoring.sop", "takes 24 h by machine", "takes 12 h by machine"),
        ("LP-30", "logs.sop", "F from 80 to 105", "F from 80 to 120"),
        ("LP-30", "logs.sop", 'accept "clear"', ""),
        ("LP-31", "supplies.sop", "critical  heat stable  hinged", "critical  heat stable"),
        ("LP-32", "procedures/program.sop", "gown, mask, eyewear, utility_gloves", "gown, mask, eyewear"),
        ("LP-33", "procedures/monitoring.sop", "wearing gown, heat_gloves", "wearing gown"),
    ],
)  # fmt: skip
def test_a_rule_opens_when_what_it_asks_for_is_spoilt(name: str, file: str, old: str, new: str) -> None:
    text = demo().texts[file]
    assert old in text
    office, _ = demo().load({**demo().texts, file: text.replace(old, new)})
    assert office is not None
    assert verdict(office, name) is Verdict.OPEN
