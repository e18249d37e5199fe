"""Takes up reading again after a mistake, so that one run reports every mistake and each of them once."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from sopc.findings import Finding, Severity, alike
from sopc.language import table
from sopc.language.mistakes import OPENERS, describe, missing_brace, mistake, taken_for_something_else, unfinished
from sopc.language.place import INSERTED, Place
from sopc.language.syntax import Token
from sopc.source import SourceFile

if TYPE_CHECKING:
    from lark.exceptions import UnexpectedInput

MOST_ERRORS = 25  # past this a text is better mended from the top
MOST_LOOKS = 3  # looks over a whole text for the brace that is missing

_PLACES = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*|^[ \t]*([A-Za-z]+)|([{}])', re.MULTILINE)
_FILLINGS: tuple[tuple[str, ...], ...] = ((), ("STRING",), ("NAME",), ("NAME", "STRING"))


@dataclass(slots=True)
class Recovery:
    """One run over one text: what was found, and where reading was last taken up again."""

    file: SourceFile
    text: str
    findings: list[Finding] = field(default_factory=list)
    resumed_at: int = -1
    gave_up: bool = False

    def errors(self) -> int:
        """How many mistakes were found so far."""
        return sum(1 for finding in self.findings if finding.severity is Severity.ERROR)

    def tell(self, finding: Finding) -> None:
        """Keep a finding, unless its place was told already: a brace that does not fit is not also one left open."""
        place = (finding.span.line, finding.span.column)
        told = [other.code for other in self.findings if (other.span.line, other.span.column) == place]
        if finding.code not in told and not (told and finding.code == "F02"):
            self.findings.append(finding)


def take_up_again(recovery: Recovery, error: UnexpectedInput) -> bool:
    """Report the mistake and set the parser to where it can go on; False ends the reading of this text."""
    machine: Any = error.interactive_parser
    place = _place(recovery, machine, _position(recovery.text, error))
    silent = place.position <= recovery.resumed_at
    closing = False
    earlier = None if silent else taken_for_something_else(place)
    if earlier is not None:
        del machine.parser_state.state_stack[-1], machine.parser_state.value_stack[-1]
        place = earlier
    if not silent and _add_opening(recovery, machine, place):
        return _enough(recovery, place)
    if not silent and _ends_inserted(place):
        closing = True
    elif not silent:
        closing = _report(recovery, place, earlier is not None)
    if not _enough(recovery, place) or recovery.gave_up:
        return False
    if _mend_header(recovery, machine, place) or _complete_header(recovery, machine, place):
        return True
    return _resynchronise(recovery, machine, place, place.position + 1 if silent else place.position, closing)


def _report(recovery: Recovery, place: Place, broken_off: bool) -> bool:
    """Tell what is wrong; True when it is that a block was left open."""
    thorough = sum(1 for finding in recovery.findings if finding.code == "F02") < MOST_LOOKS
    if broken_off and not (place.last is not None and place.last.type == "NUMBER"):
        found = unfinished(place)
    else:
        found = describe(place, thorough)
    recovery.tell(found)
    # Behind quotes that never close nothing can be told apart: what was text and what was not.
    recovery.gave_up = found.code == "F07" and '"""' in found.sentence
    return found.code == "F02"


def _enough(recovery: Recovery, place: Place) -> bool:
    if recovery.errors() < MOST_ERRORS:
        return True
    recovery.gave_up = True
    recovery.tell(
        mistake(
            "F09",
            place.span(length=1),
            f"{MOST_ERRORS} mistakes were found; reading of this file stops here.",
            "",
            "Mend the first ones and run again.",
        )
    )
    return False


def _position(text: str, error: UnexpectedInput) -> int:
    from lark.exceptions import UnexpectedToken

    if isinstance(error, UnexpectedToken) and error.token.type == "$END":
        return len(text)
    place = error.pos_in_stream
    return len(text) if place is None else int(place)


def _place(recovery: Recovery, machine: Any, position: int) -> Place:
    state = machine.parser_state
    return Place(recovery.file.name, recovery.text, position, tuple(state.state_stack), tuple(state.value_stack))


def _jump(machine: Any, text: str, position: int) -> None:
    """Let the lexer go on at `position`, with the line count kept right."""
    counter = machine.lexer_thread.state.line_ctr
    counter.char_pos = position
    counter.line = text.count("\n", 0, position) + 1
    counter.line_start_pos = text.rfind("\n", 0, position) + 1
    counter.column = position - counter.line_start_pos + 1


def _feed(machine: Any, place: Place, *terminals: str, value: str = INSERTED) -> None:
    """Give the parser tokens that do not stand in the text."""
    lines = [at for at, letter in enumerate(place.text) if letter == "\n"]
    for terminal in terminals:
        token = Token(terminal, value, place.position, lines)
        token.end_pos = place.position
        machine.feed_token(token)


# ── Mending on the spot ─────────────────────────────────────────────────────────────────────────


def _add_opening(recovery: Recovery, machine: Any, place: Place) -> bool:
    """Put in the { that is missing before this clause."""
    if not place.at_line_start or place.word == "}" or not place.fits("LBRACE"):
        return False
    if not any(place.fits("LBRACE", terminal) for terminal in place.terminals):
        return False
    recovery.tell(missing_brace(place))
    _feed(machine, place, "LBRACE")
    _jump(machine, recovery.text, place.position)
    recovery.resumed_at = place.position
    return True


def _ends_inserted(place: Place) -> bool:
    """Whether the word only shows that a block whose { was put in, and told of, has no } either."""
    braces = [value for value in place.values if isinstance(value, Token) and value.type in ("LBRACE", "RBRACE")]
    return bool(braces) and str(braces[-1]) == INSERTED and (place.fits_outside() or not place.word)


def _mend_header(recovery: Recovery, machine: Any, place: Place) -> bool:
    """Read a misspelt word that opens a block as the word it should be, so that the block is read all the same."""
    if not place.at_line_start or not place.line.rstrip().endswith("{"):
        return False
    close = alike(place.word, table.clause_words(place.block))
    terminal = next((name for name in table.terminals_of(close[0]) if place.fits(name)), None) if close else None
    if terminal is None or place.word in table.keywords():
        return False
    _feed(machine, place, terminal, value=close[0])
    _jump(machine, recovery.text, place.position + len(place.word))
    recovery.resumed_at = place.position
    return True


def _complete_header(recovery: Recovery, machine: Any, place: Place) -> bool:
    """When the mistake is in a line that opens a block, fill in what it lacks and read the block all the same."""
    line_end = place.line_start + len(place.line)
    brace = place.text.find("{", place.position, line_end)
    if brace < 0 or "}" in place.text[place.position : brace]:
        return False
    for filling in _FILLINGS:
        if place.fits(*filling, "LBRACE"):
            _feed(machine, place, *filling)
            _jump(machine, recovery.text, brace)
            recovery.resumed_at = brace
            return True
    return False


# ── Going on further down ───────────────────────────────────────────────────────────────────────


def _resynchronise(recovery: Recovery, machine: Any, place: Place, start: int, closing: bool) -> bool:
    """Drop the clause that could not be read; go on at the next } or line that begins with a fitting word.

    Only when a block was left open (`closing`), or at a declaration that begins its line, are blocks left.
    """
    text = recovery.text
    floor = 0 if closing else _innermost(place)
    if text[start : start + 1] == "}" and not place.blocks:
        start += 1  # a brace that closes nothing is passed over
    depth = 0
    for match in _PLACES.finditer(text, text.rfind("\n", 0, start) + 1):
        word, brace = match.group(1), match.group(2)
        at = match.end() - len(word or brace or "")
        if at < start or (word is None and brace is None):
            continue
        if brace == "{" or (brace == "}" and depth):
            depth += 1 if brace == "{" else -1
            continue
        if brace == "}" and _strays(place, text, at, closing):
            continue
        outermost = word in table.clause_words("") and match.end() - match.start() == len(word or "")
        if at <= recovery.resumed_at or (depth and not outermost):
            continue
        if _pop_to(machine, text, at, table.terminals_of(word) if word else ("RBRACE",), floor):
            recovery.resumed_at = at
            return True
        if at > place.position and (outermost or word in OPENERS) and _pop_to(machine, text, at, ("RBRACE",), floor):
            return True  # here it will show that the block was left open
    return _finish(machine, text)


def _strays(place: Place, text: str, at: int, closing: bool) -> bool:
    """Whether this } stands further in than the block it would close: it belongs to a line that could not be read."""
    before = text[text.rfind("\n", 0, at) + 1 : at]
    return not closing and bool(place.blocks) and not before.strip() and len(before) > place.blocks[-1].indent


def _innermost(place: Place) -> int:
    """How much of the stack belongs to the blocks around the innermost one."""
    depth = 0
    for index in range(len(place.values) - 1, -1, -1):
        value = place.values[index]
        if isinstance(value, Token) and value.type in ("LBRACE", "RBRACE"):
            depth += 1 if value.type == "LBRACE" else -1
            if depth > 0:
                return index + 1
    return 0


def _pop_to(machine: Any, text: str, at: int, terminals: tuple[str, ...], floor: int) -> bool:
    """Go back to the innermost state, not below `floor`, that takes one of these terminals."""
    state = machine.parser_state
    for depth in range(len(state.state_stack) - 1, floor - 1, -1):
        here = table.states()[state.state_stack[depth]]
        if not any(name in here and table.fits(state.state_stack[: depth + 1], name) for name in terminals):
            continue
        del state.state_stack[depth + 1 :], state.value_stack[depth:]
        _jump(machine, text, at)
        return True
    return False


def _finish(machine: Any, text: str) -> bool:
    """Nothing further fits: close the text where it stands."""
    state = machine.parser_state
    for depth in range(len(state.state_stack) - 1, -1, -1):
        if "$END" in table.states()[state.state_stack[depth]]:
            del state.state_stack[depth + 1 :], state.value_stack[depth:]
            _jump(machine, text, len(text))
            return True
    return False
