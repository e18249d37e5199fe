"""Cuts a text into tokens as lark's contextual lexer does, looking words up instead of trying them one after the other.

Lark compiles one expression for each set of terminals that a state of the parser accepts, of which this grammar has
hundreds. Nearly all of them are words of the language, so one expression for any word and a table serve every state.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from copy import copy
from functools import cached_property
from typing import Any

from lark.common import LexerConf
from lark.lexer import ContextualLexer, Lexer, LexerState

from sopc.language.syntax import Token
from sopc.language.words import rank, words_in

_WORD = re.compile(r"[\w-]+")

Matched = tuple[str, str]
"""The text of a token and its terminal."""


class WordLexer(Lexer):
    """The same tokens as lark's contextual lexer; where nothing matches, lark's own says what is wrong.

    Of the terminals a state accepts those of a higher priority than words are tried first, then words, then the rest.
    """

    def __init__(
        self, conf: LexerConf, states: dict[int, Collection[str]], always_accept: Collection[str] = ()
    ) -> None:
        self._made_of = (conf, states, always_accept)
        self._accepted: dict[int, frozenset[str]] = {}
        self._around: dict[int, tuple[re.Pattern[str] | None, re.Pattern[str] | None]] = {}
        self._patterns: dict[frozenset[str], re.Pattern[str]] = {}
        self._by_name = conf.terminals_by_name
        ordered = sorted(conf.terminals, key=rank)
        self._order = {terminal.name: place for place, terminal in enumerate(ordered)}
        self._words: dict[str, list[str]] = {}
        self._before, self._after = set[str](), set[str]()
        for terminal in ordered:
            words = words_in(terminal)
            for word in words:
                self._words.setdefault(word, []).append(terminal.name)
            if not words and terminal.name not in conf.ignore:
                (self._after if terminal.priority <= 0 else self._before).add(terminal.name)
        self._ignored = re.compile(f"(?:{'|'.join(self._by_name[name].pattern.to_regexp() for name in conf.ignore)})+")

    @cached_property
    def _exact(self) -> ContextualLexer:
        conf, states, always = self._made_of
        conf = copy(conf)
        conf.skip_validation = True  # the tests have lark look the terminals over, which takes seconds
        return ContextualLexer(conf, states, always)

    def lex(self, lexer_state: LexerState, parser_state: Any) -> Iterator[Any]:
        """Yield the tokens from where the lexer stands, in the light of what the parser accepts at each.

        Raises UnexpectedToken or UnexpectedCharacters as lark does.
        """
        text, end = str(lexer_state.text.text), lexer_state.text.end
        counter = lexer_state.line_ctr
        lines = [place for place, letter in enumerate(text) if letter == "\n"]
        while True:
            space = self._ignored.match(text, counter.char_pos, end)
            if space:
                counter.feed(space.group())
            if counter.char_pos >= end:
                return
            start = counter.char_pos
            found = self._match(parser_state.position, text, start, end)
            if found is None:
                for exact in self._exact.lex(lexer_state, parser_state):
                    yield Token(exact.type, str(exact), exact.start_pos or 0, lines)
                return
            value, name = found
            counter.feed(value)
            token: Any = Token(name, value, start, lines)
            lexer_state.last_token = token
            yield token

    def _match(self, state: int, text: str, at: int, end: int) -> Matched | None:
        if state not in self._around:
            self._prepare(state)
        before, after = self._around[state]
        if before is not None and (match := before.match(text, at, end)):
            return match.group(), str(match.lastgroup)
        if match := _WORD.match(text, at, end):
            word, accepted = match.group(), self._accepted[state]
            for name in self._words.get(word, ()):
                if name in accepted:
                    return word, name
        if after is not None and (match := after.match(text, at, end)):
            return match.group(), str(match.lastgroup)
        return None

    def _prepare(self, state: int) -> None:
        _, states, always = self._made_of
        self._accepted[state] = accepted = frozenset((*states[state], *always))
        self._around[state] = (self._pattern(accepted & self._before), self._pattern(accepted & self._after))

    def _pattern(self, names: Iterable[str]) -> re.Pattern[str] | None:
        key = frozenset(names)
        if key and key not in self._patterns:
            ordered = sorted(key, key=self._order.__getitem__)
            each = (f"(?P<{name}>{self._by_name[name].pattern.to_regexp()})" for name in ordered)
            self._patterns[key] = re.compile("|".join(each))
        return self._patterns.get(key)
