"""Right texts are read by a run of our own: the same tree as lark's by its own lexer, and nothing that lark refuses."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from lark.exceptions import UnexpectedInput

from sopc.language import grammar, plain_table, table
from sopc.language.grammar import parser
from sopc.language.parse import parse
from sopc.language.straight import straight
from sopc.language.syntax import Node
from sopc.source import SourceFile
from tests.broken.offices import BROKEN, FOLDER
from tests.language.test_damage import TEXTS, damaged
from tests.language.test_lexer import FRONT, LARKS, SNIPPETS, tree

SMALL = (
    'office "Birch Lane Dental" {{ open mon to thu 08:00 to 17:00 }} role helper "Helper" {{ on duty 1 }} {0}',
    'area bench "Bench" {{ {0} }}',
    'procedure wash "Wash" {{ by helper step one "One" {{ {0} }} }}',
    "{0}",
)


def by_lark(text: str, monkeypatch: pytest.MonkeyPatch) -> object:
    """Lark's tree by its own lexer; None where it finds anything wrong."""
    with monkeypatch.context() as patch:
        patch.setattr(FRONT, "lexer", LARKS)
        try:
            found: Any = parser().parse(text)
        except UnexpectedInput:
            return None
    assert isinstance(found, Node)
    return tree(found)


def hold(text: str, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Compare the two; whether the text is right."""
    found = straight(text)
    assert tree(found) == by_lark(text, monkeypatch)
    return found is not None


TEXT = st.one_of(
    damaged(),
    st.text(max_size=120),
    st.builds(str.format, st.sampled_from(SMALL), st.lists(st.sampled_from(SNIPPETS), max_size=12).map(" ".join)),
)


def test_the_shipped_texts_are_right_and_read_as_by_lark(monkeypatch: pytest.MonkeyPatch) -> None:
    assert all(hold(text, monkeypatch) for text in TEXTS)


def test_broken_offices_are_read_as_by_lark_or_left_to_it(monkeypatch: pytest.MonkeyPatch) -> None:
    right = [name for name in BROKEN if hold((FOLDER / name).read_text(encoding="utf-8"), monkeypatch)]
    assert len(right) > 40
    assert len(right) < len(BROKEN)


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(TEXT)
@example("")
@example("# nothing but a remark")
@example('office "x" { }\r\n term a "b"')
@example('role a "A" role')
def test_spoilt_texts_are_read_as_by_lark_or_left_to_it(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    hold(text, monkeypatch)


@pytest.mark.long
@settings(max_examples=6_000, suppress_health_check=list(HealthCheck))
@given(TEXT)
def test_thousands_of_spoilt_texts_are_read_as_by_lark(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    hold(text, monkeypatch)


def test_lark_is_not_asked_for_a_right_text(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grammar, "parser", None)
    assert parse(SourceFile.from_text("t.sop", TEXTS[0]))[0] is not None


def test_the_plain_table_has_the_rules_and_states_of_lark_s() -> None:
    made = plain_table.made_plain(parser())
    assert set(made.begins) == {str(rule.origin.name) for rule in parser().rules}
    assert all({*made.actions[at], *made.gotos[at]} == set(row) for at, row in table.states().items())


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file in which a table is kept, in a folder of its own."""
    made = plain_table.made_plain(parser())
    monkeypatch.setattr(grammar, "cache_folder", lambda: tmp_path)
    plain_table._keep(tmp_path / "grammar.table", plain_table._key(), made)
    assert fresh() == made
    return tmp_path / "grammar.table"


def fresh() -> plain_table.PlainTable:
    """The table as a new process would get it."""
    return plain_table.plain_table.__wrapped__()


def test_a_kept_table_spares_lark(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = fresh()
    monkeypatch.setattr(grammar, "parser", None)
    assert fresh() == before


@pytest.mark.parametrize("spoil", [lambda data: data[:-1], lambda data: data[:200] + b"x" + data[201:], lambda _: b""])
def test_a_damaged_table_is_made_again(kept: Path, spoil: Any) -> None:
    whole = kept.read_bytes()
    kept.write_bytes(spoil(whole))
    assert fresh() == plain_table.made_plain(parser())
    assert kept.read_bytes() == whole


def test_the_table_of_another_grammar_is_not_used(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = grammar.grammar_text() + "\n// one more remark"
    monkeypatch.setattr(grammar, "grammar_text", lambda: other)
    before = kept.read_bytes()
    fresh()
    assert kept.read_bytes() != before
