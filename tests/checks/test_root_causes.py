"""One fault in a whole office is told once: what follows from it is counted, or not found at all."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from sopc.findings import Finding, Severity
from sopc.findings.causes import one_per_cause
from sopc.findings.text import render
from sopc.library import in_order
from sopc.source import NOWHERE
from tests.faults.catalogue import demo

PROTOCOLS = Path(__file__).resolve().parents[2] / "protocols"
WAY, PACK = "procedures/instruments.sop", "packs/dental_reprocessing/"


def changed(file: str, old: str, new: str, after: str = "") -> Mapping[str, str]:
    """The demo office with `old` put into other words, the first time it comes after `after`."""
    text = demo().texts[file]
    at = text.index(old, text.index(after))
    return {**demo().texts, file: text[:at] + new + text[at + len(old) :]}


def without(file: str, head: str) -> Mapping[str, str]:
    """The demo office without the block that begins with `head`."""
    text = demo().texts[file]
    start = text.index(head)
    end = text.index("\n", start)
    if text[:end].endswith("{"):
        end = text.index("\n}\n", start) + 2
    return {**demo().texts, file: text[:start] + text[end:]}


def shown(texts: Mapping[str, str]) -> list[Finding]:
    return one_per_cause(in_order(demo().read(dict(texts))[1]))[0]


def codes(texts: Mapping[str, str]) -> list[str]:
    return [finding.code for finding in shown(texts)]


@pytest.mark.parametrize(
    ("file", "head"),
    [
        ("machines.sop", "device sterilizer "),
        ("machines.sop", "device bath "),
        ("supplies.sop", "supply bath_solution "),
        ("supplies.sop", "item surface "),
        ("people_places.sop", "role assistant "),
        ("people_places.sop", "role front_desk "),
        ("people_places.sop", "area cleaning "),
        ("people_places.sop", "zone preparation "),
        ("logs.sop", "log load_log "),
        (WAY, "procedure sterilization "),
        (PACK + "conditions.sop", "condition wet "),
        (PACK + "actions.sop", "action rinse "),
        (PACK + "actions.sop", "action release "),
    ],
)
def test_what_is_declared_no_longer_is_missed_once(file: str, head: str) -> None:
    assert codes(without(file, head)) == ["N01"]


@pytest.mark.parametrize(
    ("file", "old", "new", "after", "expected"),
    [
        (WAY, 'step wash "', 'step washing "', "procedure ultrasonic_cleaning ", ["N08"]),
        (WAY, "8 to 15 min until", "8 to 15 minits until", "procedure ultrasonic_cleaning ", ["Q01"]),
        (WAY, "\n  }\n", "\n", "procedure ultrasonic_cleaning ", ["F02"]),
        (WAY, "  by assistant or hygienist\n", "", "procedure ultrasonic_cleaning ", ["P01"]),
        (WAY, "  in cleaning\n", "", "procedure ultrasonic_cleaning ", ["P10"]),
        (WAY, "to clean, rinsed, dry", "to clean, rinsed", "procedure ultrasonic_cleaning ", ["O05"]),
        ("machines.sop", "program cassettes ", "program casettes ", "", ["N09"]),
        ("machines.sop", "in sterilizing", "in packing", "", ["P09"]),
        ("machines.sop", "is ultrasonic_bath", "is washer_disinfector", "", ["P02"]),
        ("machines.sop", "lasts 42 to 58 min", "lasts 42 to 580 min", "", ["W05", "W01"]),
        ("machines.sop", "lasts 42 to 58 min", "lasts at least 42 min", "", ["T03"]),
        ("supplies.sop", "contact 2 min", "contact 2 mm", "supply wipe ", ["Q02"]),
        ("supplies.sop", "  contact 2 min\n", "", "supply wipe ", ["P07"]),
        ("supplies.sop", "use within 6 h", "use within 1 h", "", ["S01"]),
        ("logs.sop", "column load_no", "column loadno", "", ["N07"]),
        ("office.sop", "use pack dental_program\n", "", "", ["N01"]),
        ("procedures.sop", 'use "procedures/instruments.sop"\n', "", "", ["N01"]),
        ("people_places.sop", "}\n", "\n", "", ["F02"]),
        (PACK + "actions.sop", "brings inspected", "", "action inspect ", ["O01"]),
        (PACK + "actions.sop", "brings packaged", "", "action package ", ["O01"]),
        (PACK + "actions.sop", "brings released", "", "action release ", ["O02"]),
    ],
)  # fmt: skip
def test_one_slip_is_told_once(file: str, old: str, new: str, after: str, expected: list[str]) -> None:
    assert codes(changed(file, old, new, after)) == expected


def test_a_text_that_nothing_uses_is_named_as_the_place_of_what_is_missing() -> None:
    only = shown(changed("procedures.sop", 'use "procedures/instruments.sop"\n', ""))[0]
    assert only.fix == (
        "It stands in the file “procedures/instruments.sop”, which nothing uses: "
        'write `use "procedures/instruments.sop"` in office.sop.'
    )


def test_a_pack_that_is_not_used_is_named_as_the_place_of_what_is_missing() -> None:
    assert "`use pack dental_program`" in shown(changed("office.sop", "use pack dental_program\n", ""))[0].fix


def test_what_is_wanted_as_a_device_and_as_a_device_or_supply_is_one_device() -> None:
    assert "a device of that name is needed (" in shown(without("machines.sop", "device sterilizer "))[0].sentence


def told(code: str, severity: Severity, cause: str = "") -> Finding:
    return Finding(code, severity, NOWHERE, f"{code} is told.", cause=cause)


def test_of_one_cause_the_heaviest_is_shown() -> None:
    findings = [told("R07", Severity.WARNING, "x"), told("N01", Severity.ERROR, "x"), told("N08", Severity.ERROR, "x")]
    assert [each.code for each in one_per_cause(findings)[0]] == ["N01"]


def test_what_follows_is_counted() -> None:
    findings = [told("N01", Severity.ERROR, "x")] * 3
    text = render([findings[0], *(told(f"N0{number}", Severity.ERROR, "x") for number in (2, 3))], {})
    assert "(and 2 more that follow from it)" in text
    assert text.endswith("1 error (and 2 more that follow from these).\n")


def test_findings_without_a_cause_are_all_shown() -> None:
    findings = [told("N01", Severity.ERROR), told("N02", Severity.ERROR)]
    assert one_per_cause(findings) == (findings, {})
