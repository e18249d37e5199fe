"""The language page teaches by examples: together they are one office that compiles, and they leave no rule out."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import sopc
from sopc.findings import Severity
from sopc.language.grammar import build, grammar_text

PAGE = Path(__file__).resolve().parents[2] / "grammar" / "REFERENCE.md"
TEXT = PAGE.read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```sop\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
# Clauses that contradict the office of the page are read in an office of their own.
ASIDE = [
    f'office "Aside" {{\n{clauses}}}\n'
    for clauses in re.findall(r"^```sop in=office\n(.*?)^```$", TEXT, re.MULTILINE | re.DOTALL)
]

# What the examples use from elsewhere: a pack for the overrides, and the file of a subfolder.
AROUND = {
    "packs/example_pack/pack.sop": """
supply bath_solution "Detergent" { dilute 1 part to 49 parts use within 10 h }
action rinse "Rinse" { note "Under the tap." }
zone yard "Yard"
role porter "Porter"
area shed "Shed"
device cart "Cart"
item tray "Tray"
condition dusty "Dusty"
ppe apron "Apron"
procedure tidy "Tidy the shed" { id "SOP-90" scope "Any shed." }
task tidy_daily "Tidy" { every day }
log tidy_log "Tidying" { keep 3 years column done "Done" tick column day "Day" date }
training tidy_training "Tidying" { trainer "Anyone" }
requirement EX-01 "The shed is tidy" { group "Sheds" }
minimum bench_row "Bench row" { chemical vapor at 132 C for 20 min }
bounds bench_bounds "Bench bounds" { reading C at most 43 }
""",
    "procedures/extra.sop": 'term "Extra" "Text of a subfolder."\n',
}


def test_the_examples_are_many() -> None:
    assert len(EXAMPLES) >= 20


def test_all_examples_together_are_an_office_that_compiles() -> None:
    _, findings = sopc.load_text({"office.sop": "\n".join(EXAMPLES), **AROUND})
    assert [finding for finding in findings if finding.severity is Severity.ERROR] == []


@pytest.fixture(scope="module")
def reduced() -> tuple[set[str], set[str]]:
    """Every rule with its expansion that the grammar has, and every one that reading the examples used."""
    reader: Any = build(grammar_text())
    callbacks = reader.parser.parser.parser.callbacks
    used: set[str] = set()

    def watched(rule: object, callback: Any) -> Any:
        def called(children: Any) -> Any:
            used.add(str(rule))
            return callback(children)

        return called

    for rule in list(callbacks):
        callbacks[rule] = watched(rule, callbacks[rule])
    for example in EXAMPLES + ASIDE:
        reader.parse(example)
    # Repetitions are written out by the parser's maker in two shapes each; one of them is enough.
    return {str(rule) for rule in callbacks if not str(rule).startswith("<__")}, used


def parts(rules: set[str]) -> set[tuple[str, str]]:
    """Each rule with each thing that can stand in it; lists that the parser's maker adds count as what they list."""
    pairs = set()
    for rule in rules:
        origin, expansion = rule.removeprefix("<").removesuffix(">").split(" : ")
        pairs |= {(origin, symbol) for symbol in expansion.split() if not symbol.startswith("__")}
    return pairs


def test_every_rule_of_the_grammar_is_shown_with_each_of_its_alternatives(
    reduced: tuple[set[str], set[str]],
) -> None:
    known, used = reduced
    assert parts(known) - parts(used) == set()


def test_every_keyword_is_shown() -> None:
    from sopc.language.table import keywords

    # Words inside quotes are text; everything else is language.
    words = set(
        re.findall(
            r"[A-Za-z][A-Za-z0-9]*", re.sub(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*', "", "\n".join(EXAMPLES + ASIDE))
        )
    )
    unseen = set(keywords()) - words
    assert unseen == set()
