"""Our lexer is held against lark's own contextual lexer: the same tokens, trees, findings and errors, on any text."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken
from lark.lexer import ContextualLexer, Lexer, LexerState, TextSlice
from lark.parser_frontends import create_contextual_lexer

from sopc.language import recovery, table
from sopc.language.grammar import parser
from sopc.language.lexer import WordLexer
from sopc.language.parse import parse
from sopc.language.syntax import Node, Token
from sopc.source import SourceFile
from tests.broken.offices import BROKEN, FOLDER
from tests.language.test_damage import TEXTS, damaged

FRONT: Any = parser().parser
OURS: Lexer = FRONT.lexer
LARKS_OWN: Lexer = create_contextual_lexer(FRONT.lexer_conf, FRONT.parser, None, None)


class Larks(Lexer):
    """Lark's own lexer, its tokens turned into ours."""

    def __init__(self) -> None:
        pass

    def lex(self, lexer_state: LexerState, parser_state: Any) -> Iterator[Any]:
        lines = [place for place, letter in enumerate(str(lexer_state.text.text)) if letter == "\n"]
        for token in LARKS_OWN.lex(lexer_state, parser_state):
            assert token.start_pos is not None
            mine = Token(token.type, str(token), token.start_pos, lines)
            assert whole(mine) == whole(token)
            yield mine


LARKS = Larks()
SNIPPETS = (
    *sorted(table.keywords()),
    *("by machine", "by\tstaff.", "by machines", "by-machine", "stepé", "step-", "2026-12-02", "03-15", "08:00", "5.5"),
    *("5min", "%", "µm", '"text"', '""', '"""long\ntext"""', '"', "{", "}", ",", "@", "é", "_x", "a-b_c", "a--b"),
    *("# gone\n\t step x", "#", " ", "4th", "first2", "F", "mL/min"),
)


def whole(token: Any) -> object:
    if token is None:
        return None
    places = (token.start_pos, token.line, token.column, token.end_line, token.end_column, token.end_pos)
    return (token.type, str(token), token.value, *places)


def tree(part: Node | Token | None) -> object:
    if isinstance(part, Node):
        return (part.kind, [tree(child) for child in part.children])
    return whole(part)


def told(error: UnexpectedInput) -> object:
    """All that an error carries."""
    history = [whole(token) for token in error.token_history or ()]
    machine: Any = error.interactive_parser if hasattr(error, "interactive_parser") else None
    stack = list(machine.parser_state.state_stack) if machine else []
    place = (type(error), error.pos_in_stream, error.line, error.column, history, stack)
    if isinstance(error, UnexpectedToken):
        return (*place, whole(error.token), sorted(error.expected))
    assert isinstance(error, UnexpectedCharacters)
    return (*place, error.char, sorted(error.allowed or ()), sorted(error.considered_rules or ()))


def read(text: str, lexer: Lexer, monkeypatch: pytest.MonkeyPatch) -> object:
    """What comes of reading a text with this lexer: the tree, the findings and every error on the way."""
    errors: list[object] = []
    mend = recovery.take_up_again

    def listen(run: recovery.Recovery, error: UnexpectedInput) -> bool:
        errors.append(told(error))
        return mend(run, error)

    with monkeypatch.context() as patch:
        patch.setattr(FRONT, "lexer", lexer)
        patch.setattr("sopc.language.parse.take_up_again", listen)
        patch.setattr("sopc.language.parse.straight", lambda text: None)
        found, findings = parse(SourceFile.from_text("office.sop", text))
    return tree(found), findings, errors


@pytest.fixture(scope="module")
def patching() -> Iterator[pytest.MonkeyPatch]:
    with pytest.MonkeyPatch.context() as patch:
        yield patch


def test_the_lexer_in_use_is_ours_and_the_other_is_larks_own() -> None:
    assert type(OURS) is WordLexer
    assert type(LARKS_OWN) is ContextualLexer


def test_the_shipped_texts_are_read_alike(patching: pytest.MonkeyPatch) -> None:
    assert [n for n, text in enumerate(TEXTS) if read(text, OURS, patching) != read(text, LARKS, patching)] == []


def test_the_broken_offices_are_read_alike(patching: pytest.MonkeyPatch) -> None:
    texts = {name: (FOLDER / name).read_text(encoding="utf-8") for name in BROKEN}
    assert len(texts) > 60
    assert [name for name, text in texts.items() if read(text, OURS, patching) != read(text, LARKS, patching)] == []


@settings(max_examples=40, suppress_health_check=list(HealthCheck))
@given(st.one_of(damaged(), st.text(max_size=120), st.lists(st.sampled_from(SNIPPETS), max_size=30).map(" ".join)))
@example("step a by machine")
@example("office x { }\r\n\u00a0term")
def test_spoilt_texts_are_read_alike(patching: pytest.MonkeyPatch, text: str) -> None:
    assert read(text, OURS, patching) == read(text, LARKS, patching)


class At:
    """A parser that stands in one state."""

    def __init__(self, position: int) -> None:
        self.position = position


def first(lexer: Lexer, text: str, position: int) -> object:
    """The first token in a state of the parser, or the error."""
    state = LexerState(TextSlice.cast_from(text))
    try:
        return whole(next(lexer.lex(state, At(position)), None)), state.line_ctr.char_pos, whole(state.last_token)
    except UnexpectedInput as error:
        return told(error)


def kinds_of_state() -> list[int]:
    """One state for each set of terminals that a state accepts."""
    return list({frozenset(accepted): number for number, accepted in table.states().items()}.values())


def hold_states(states: list[int], draw: random.Random, snippets: int) -> None:
    for state in states:
        accepted = [name for name in table.states()[state] if name in OURS._by_name]  # type: ignore[attr-defined]
        words = [word for name in accepted for word in table.words_of(name)]
        for text in (*words, *draw.sample(SNIPPETS, snippets)):
            for tried in (text, f"{text}{draw.choice(SNIPPETS)}"):
                assert first(OURS, tried, state) == first(LARKS, tried, state), (state, tried)


def test_a_state_of_each_kind_takes_the_same_token_first() -> None:
    draw = random.Random(5)
    hold_states(draw.sample(kinds_of_state(), 120), draw, 6)


@pytest.mark.long
def test_every_kind_of_state_takes_the_same_token_first() -> None:
    hold_states(kinds_of_state(), random.Random(6), len(SNIPPETS))


@pytest.mark.long
@settings(max_examples=4_000, suppress_health_check=list(HealthCheck))
@given(st.one_of(damaged(), st.text(max_size=120), st.lists(st.sampled_from(SNIPPETS), max_size=30).map(" ".join)))
def test_thousands_of_spoilt_texts_are_read_alike(patching: pytest.MonkeyPatch, text: str) -> None:
    assert read(text, OURS, patching) == read(text, LARKS, patching)
