"""The published minimums in the pack are those of the published tables, and programs are held against them rightly."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

import pytest

from sopc.checks.figures import numbers
from sopc.findings import Finding
from sopc.library import load_text
from sopc.model.nouns import Mark, Minimum, Office
from sopc.trade.lethality import a0

HEAD = 'use pack dental_reprocessing\noffice "Example" { open mon 08:00 to 17:00  altitude 0 m }\n'
FOLDER = Path(__file__).resolve().parents[2] / "protocols" / "packs"
PACKS = {
    f"packs/{path.relative_to(FOLDER).as_posix()}": path.read_text(encoding="utf-8") for path in FOLDER.rglob("*.sop")
}
EUROPE = "use pack european_steam\n"


@cache
def pack() -> Office:
    return loaded(HEAD)


def loaded(text: str) -> Office:
    office, findings = load_text({"office.sop": text, **PACKS})
    assert office is not None, findings
    return office


def program(clauses: str, more: str = "") -> list[Finding]:
    """What is found of a sterilizer with this program, under the pack."""
    text = f'device chamber "Chamber" is steam_sterilizer {{ program work "Work" {{ {clauses} }} }}\n'
    return [
        found
        for found in numbers.check(loaded(HEAD + more + text), date(2026, 12, 1))
        if found.span.file == "office.sop"
    ]


def codes(clauses: str) -> list[str]:
    return [found.code for found in program(clauses)]


def rows(*process: str) -> set[tuple[str, int, float, float | None]]:
    """Kind of load, °C, minutes and least minutes of drying of every row of that process."""
    found = set()
    for row in pack().minimums.values():
        if row.process is None or (row.process.agent.value, row.process.way) != process or row.exposure is None:
            continue
        minutes = float(row.exposure.least.to("min").value)
        dry = float(row.drying[0].to("min").value) if row.drying else None
        found.add((" ".join(row.loads), int(row.exposure.temperature.to("C").value), minutes, dry))
    return found


def test_a_published_number_is_changed_only_by_one_that_is_published() -> None:
    bent = 'override minimum gravity_wrapped_121 {{ because "It takes too long."  at 121 C for 15 min {} }}\n'
    named = 'source other "Other table" { authority guideline }\n' + bent.format('cite other "3" read')
    assert [found.code for found in numbers.check(loaded(HEAD + bent.format("")), date(2026, 12, 1))] == ["L30"]
    assert [found.code for found in numbers.check(loaded(HEAD + named), date(2026, 12, 1))] == []
    stricter = 'override minimum gravity_wrapped_121 { because "Ours."  caution "Let it cool." }\n'
    assert [found.code for found in numbers.check(loaded(HEAD + stricter), date(2026, 12, 1))] == []


def test_the_gravity_rows_are_those_of_table_7() -> None:
    """CDC, Guideline for Disinfection and Sterilization, 2008, Table 7; at 135 °C ANSI/AAMI ST79 (from memory)."""
    assert {row for row in rows("steam", "gravity") if "unwrapped" not in row[0]} == {
        ("wrapped", 121, 30, 15), ("wrapped", 132, 15, 15), ("textiles", 121, 30, 15), ("textiles", 132, 25, 15),
        ("wrapped utensils", 121, 30, 15), ("wrapped utensils", 132, 15, 15), ("wrapped", 135, 10, 30),
    }  # fmt: skip


def test_the_prevacuum_rows_are_those_of_table_7_and_none_at_121() -> None:
    """CDC 2008, Table 7: "not applicable" at 121 °C; at 135 °C ANSI/AAMI ST79 (from memory)."""
    assert {row for row in rows("steam", "prevacuum") if "unwrapped" not in row[0]} == {
        ("wrapped", 132, 4, 20), ("textiles", 132, 4, 5), ("wrapped utensils", 132, 4, 20), ("wrapped", 135, 3, 16),
    }  # fmt: skip


def test_the_rows_for_immediate_use() -> None:
    """CDC 2008, flash sterilization; ANSI/AAMI ST79 (from memory)."""
    assert {row for row in rows("steam", "gravity") if "unwrapped" in row[0]} == {
        ("unwrapped", 132, 3, None), ("unwrapped", 135, 3, None),
        ("unwrapped hollow porous", 132, 10, None), ("unwrapped hollow porous", 135, 10, None),
    }  # fmt: skip
    assert {row for row in rows("steam", "prevacuum") if "unwrapped" in row[0]} == {
        ("unwrapped", 132, 3, None), ("unwrapped", 135, 3, None),
        ("unwrapped hollow porous", 132, 4, None), ("unwrapped hollow porous", 135, 3, None),
    }  # fmt: skip


def test_the_rows_of_dry_heat() -> None:
    """Journal of the American Dental Association 122, December 1991; European practice values; CDC 2008 (160 °C)."""
    assert rows("dry heat", "static") == {
        ("", 121, 720, None), ("", 140, 180, None), ("", 150, 150, None), ("", 150, 180, None), ("", 160, 120, None),
        ("", 170, 60, None), ("", 180, 30, None),
    }  # fmt: skip
    assert rows("dry heat", "forced") == {("unwrapped", 190, 6, None), ("wrapped", 190, 12, None)}


def test_the_row_of_chemical_vapor() -> None:
    """Journal of the American Dental Association 122, December 1991; US Navy manual: 270 °F, 20 min."""
    assert rows("chemical vapor", "") == {("", 132, 20, None)}


def test_the_rows_of_hot_water() -> None:
    """EFHSS question 473 (A0 600); abstract on hepatitis B virus (A0 3000); ISO 15883 series (A0 60, from memory)."""
    found = {
        (row.process.way, " ".join(row.loads), int(row.a0))
        for row in pack().minimums.values()
        if row.process is not None and row.a0 is not None
    }
    assert found == {
        ("before", "", 600), ("before", "", 3000), ("without", "semicritical", 3000), ("without", "noncritical", 60),
    }  # fmt: skip


@pytest.mark.parametrize("row", pack().minimums.values(), ids=lambda row: row.name)
def test_every_row_says_where_it_stands_and_how_it_was_taken(row: Minimum) -> None:
    assert row.citations
    assert all(citation.mark in (Mark.READ, Mark.MEMORY) for citation in row.citations)


def test_v_17_gravity_wrapped_132_for_14_minutes_fails() -> None:
    """CDC 2008, Table 7: needs 15."""
    (found,) = program("steam gravity  at 132 C for 14 min  dry 15 min  suits wrapped")
    assert found.code == "L04"
    assert "is 15\u00a0min (Guideline for Disinfection and Sterilization" in found.sentence


def test_v_18_prevacuum_wrapped_dried_for_19_minutes_fails() -> None:
    """CDC 2008, Table 7: drying 20 to 30."""
    (found,) = program("steam prevacuum  at 132 C for 4 min  dry 19 min  suits wrapped")
    assert found.code == "L05"
    assert "dries for 19\u00a0min" in found.sentence


@pytest.mark.parametrize(
    "clauses",
    [
        "steam gravity  at 250 F for 30 min  dry 15 min  suits wrapped",
        "steam gravity  at 121.1 C for 30 min  dry 15 min  suits wrapped",
        "steam gravity  at 270 F for 15 min  dry 15 min  suits wrapped, hollow",
        "steam gravity  at 132 C for 25 min  dry 15 min  suits wrapped, textiles",
        "steam prevacuum  at 132.2 C for 4 min  dry 20 min  suits wrapped, hollow",
        "steam prevacuum  at 273 F for 4 min  dry 20 min  suits wrapped",
        "steam prevacuum  at 275 F for 3 min  dry 16 min  suits wrapped",
        "steam gravity  at 270 F for 3 min  suits unwrapped",
        "dry heat static  at 320 F for 2 h  suits wrapped",
        "dry heat forced  at 375 F for 12 min  suits wrapped",
        "chemical vapor  at 270 F for 20 min  suits wrapped, unwrapped",
        "hot water before sterilizing  a0 600  at 90 C for 1 min",
        "hot water before sterilizing  a0 6000  at 93 C for 5 min",
        "hot water without sterilizing  a0 3000  at 90 C for 5 min  suits semicritical",
        "hot water without sterilizing  a0 60  at 80 C for 1 min  suits noncritical",
    ],
)
def test_a_program_that_keeps_its_row_is_right(clauses: str) -> None:
    """Each row of the tables above, at its own figure, in either scale."""
    assert codes(clauses) == []


@pytest.mark.parametrize(
    ("clauses", "code"),
    [
        ("steam gravity  at 132 C for 15 min  dry 15 min  suits wrapped, textiles", "L04"),
        ("steam gravity  at 132 C for 3 min  suits unwrapped, hollow", "L04"),
        ("steam prevacuum  at 132 C for 3 min  dry 20 min  suits wrapped", "L04"),
        ("steam prevacuum  at 134 C for 3 min  dry 20 min  suits wrapped", "L08"),
        ("steam prevacuum  at 121 C for 30 min  dry 20 min  suits wrapped", "L08"),
        ("steam gravity  at 132 C for 15 min  suits wrapped", "L05"),
        ("dry heat static  at 160 C for 119 min  suits wrapped", "L04"),
        ("dry heat static  at 150 C for 150 min  suits wrapped", "L06"),
        ("dry heat static  at 165 C for 100 min  suits wrapped", "L08"),
        ("dry heat forced  at 190 C for 6 min  suits wrapped", "L04"),
        ("chemical vapor  at 132 C for 15 min  suits wrapped", "L04"),
        ("hot water before sterilizing  a0 300  at 90 C for 1 min", "L04"),
        ("hot water without sterilizing  a0 600  at 90 C for 1 min  suits semicritical", "L04"),
        ("hot water without sterilizing  a0 3000  at 90 C for 5 min  suits critical", "L08"),
        ("hot water before sterilizing  a0 6000  at 90 C for 9 min", "L09"),
        ("hot water before sterilizing  a0 600  at 101 C for 1 min", "L03"),
        ("steam gravity  at 270 C for 15 min  dry 15 min  suits wrapped", "L03"),
        ("steam gravity  at 121 F for 30 min  dry 15 min  suits wrapped", "L03"),
    ],
)
def test_a_program_that_misses_its_row_is_told(clauses: str, code: str) -> None:
    """The same tables, one step short; 121 °F for 121 °C is a slip seen in a published dictionary."""
    assert codes(clauses) == [code]


@pytest.mark.parametrize("code", ["L04", "L05", "L06", "L08"])
def test_what_the_maker_vouches_for_is_remarked_at_most(code: str) -> None:
    """The maker's instructions go first (CDC 2018, statement on reprocessing dental handpieces)."""
    clauses = {
        "L04": "steam gravity  at 132 C for 14 min  dry 15 min  suits wrapped",
        "L05": "steam prevacuum  at 132 C for 4 min  dry 19 min  suits wrapped",
        "L06": "dry heat static  at 150 C for 150 min  suits wrapped",
        "L08": "steam prevacuum  at 121 C for 30 min  dry 20 min  suits wrapped",
    }[code]
    assert codes(clauses) == [code]
    assert codes(f'{clauses}  cite ifu "4.2" read') == (["L07"] if code in ("L04", "L05") else [])


def test_contested_values_are_settled_by_saying_whose_they_are() -> None:
    """Dry heat at 150 °C: 150 min (1991 chart), 180 min (European practice)."""
    clauses = "dry heat static  at 150 C for 150 min  suits wrapped"
    assert codes(clauses) == ["L06"]
    assert codes(f"{clauses}  cite dental_chart_1991 read") == []


@pytest.mark.parametrize(("celsius", "seconds", "sold_as"), [(93.0, 300.0, 6000), (93.0, 600.0, 12000)])
def test_makers_round_an_a0_by_less_than_is_let_pass(celsius: float, seconds: float, sold_as: int) -> None:
    """Device texts: 93 °C 5 min as 6000 and 10 min as 12,000; exact 5,986 and 11,972."""
    assert abs(a0(celsius, seconds) - sold_as) / sold_as < 0.005


@pytest.mark.parametrize(
    ("clauses", "at_home", "in_europe"),
    [
        ("at 134 C for 3 min  dry 20 min", ["L08"], []),
        ("at 121 C for 15 min  dry 20 min", ["L08"], []),
        ("at 121 C for 14 min  dry 20 min", ["L08"], ["L04"]),
        ("at 126 C for 10 min  dry 20 min", ["L08"], []),
        ("at 132 C for 3 min  dry 20 min", ["L04"], ["L04"]),
    ],
)
def test_european_holding_times_count_where_their_pack_is_used(
    clauses: str, at_home: list[str], in_europe: list[str]
) -> None:
    """EN 13060, EN ISO 17665, HTM 01-05, all from memory: 121 °C 15 min, 126 °C 10 min, 134 °C 3 min."""
    whole = f"steam prevacuum  {clauses}  suits wrapped"
    assert codes(whole) == at_home
    assert [found.code for found in program(whole, EUROPE)] == in_europe
