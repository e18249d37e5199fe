"""Text to syntax tree, taking up again after each mistake, so that one run reports them all."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from lark import Token
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from sopc.findings import Finding, Note, Severity, alike
from sopc.language.braces import open_at
from sopc.language.expected import in_words, in_words_owner, words_for
from sopc.language.grammar import keywords, parser
from sopc.language.syntax import Node
from sopc.source import CURLY, SourceFile, Span

MOST_ERRORS = 25  # past this a text is better mended from the top

_PLACES = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*|^[ \t]*([A-Za-z]+)|([{}])', re.MULTILINE)
_WORD = re.compile(r'[^\s{}",]+')
TOP_LEVEL = ["use", "override", "office", "source", "role", "zone", "flow", "area", "kind", "device", "item", "condition", "supply", "ppe", "action", "procedure", "task", "log", "training", "requirement", "term"]


@dataclass(slots=True)
class _Recovery:
    """The state of one run over one file: what was found and where the reader last took up again."""

    file: SourceFile
    findings: list[Finding] = field(default_factory=list)
    resumed_at: int = -1
    gave_up: bool = False


def parse(file: SourceFile) -> tuple[Node | None, list[Finding]]:
    """Parse one file. The tree is complete only when no finding is an error."""
    recovery = _Recovery(file)
    text = _straight_quotes(recovery)
    _habits(recovery)
    if not re.sub(r"#[^\n]*", "", text).strip():
        recovery.findings.append(
            _finding(
                "R08",
                Severity.WARNING,
                Span(file.name, 1, 1, 1, 1),
                "This file says nothing.",
                "Nothing from it reaches paper.",
                "Write the office's text here, or delete the file.",
            )
        )
        return Node("start", []), recovery.findings

    def on_error(error: UnexpectedInput) -> bool:
        return _take_up_again(recovery, text, error)

    try:
        tree: Any = parser().parse(text, on_error=on_error)
    except UnexpectedInput:
        return None, recovery.findings
    return (tree if not recovery.gave_up else None), recovery.findings


def _finding(
    code: str,
    severity: Severity,
    span: Span,
    sentence: str,
    floor: str = "",
    fix: str = "",
    notes: tuple[Note, ...] = (),
) -> Finding:
    return Finding(code, severity, span, sentence, floor, (), fix, notes)


# ── Before parsing ──────────────────────────────────────────────────────────────────────────────


def _straight_quotes(recovery: _Recovery) -> str:
    """Replace curly double quotes that stand where straight ones should; report the first and their number."""
    text = recovery.file.text
    if not any(curly in text for curly in CURLY):
        return text
    pieces = re.compile(r'"""(?:.|\n)*?"""|"[^"\n]*"|#[^\n]*|[“”„«»]')
    places = [match.start() for match in pieces.finditer(text) if match.group() in CURLY]
    if not places:
        return text
    span = _span_at(recovery.file.name, text, places[0], 1)
    many = f" (and {len(places) - 1} more in this file)" if len(places) > 1 else ""
    recovery.findings.append(
        _finding(
            "S05",
            Severity.ERROR,
            span,
            f'A curly quotation mark {text[places[0]]} stands where a straight one (") belongs{many}.',
            "A word processor put it there; the text cannot be told from its surroundings.",
            'Replace curly marks by straight ones: "like this".',
        )
    )
    changed = list(text)
    for place in places:
        changed[place] = '"'
    return "".join(changed)


def _habits(recovery: _Recovery) -> None:
    """Tell about tabs: harmless, but columns and indentation look different from one screen to the next."""
    for number, line in enumerate(recovery.file.lines, 1):
        if "\t" in line:
            span = Span(recovery.file.name, number, line.index("\t") + 1, number, line.index("\t") + 2)
            recovery.findings.append(
                _finding(
                    "R05",
                    Severity.REMARK,
                    span,
                    "This file is indented with tabs.",
                    "Nothing goes wrong; but the text lines up differently on another screen.",
                    "Use two spaces for each level.",
                )
            )
            return


# ── After a mistake ─────────────────────────────────────────────────────────────────────────────


def _take_up_again(recovery: _Recovery, text: str, error: UnexpectedInput) -> bool:
    position = _position(text, error)
    if position <= recovery.resumed_at:
        position = recovery.resumed_at + 1
    else:
        recovery.findings.append(_describe(recovery, text, error, position))
    if len([f for f in recovery.findings if f.severity is Severity.ERROR]) >= MOST_ERRORS:
        recovery.gave_up = True
        recovery.findings.append(
            _finding(
                "S09",
                Severity.ERROR,
                _span_at(recovery.file.name, text, min(position, len(text)), 1),
                f"More than {MOST_ERRORS} mistakes; reading of this file stops here.",
                "",
                "Mend the first ones and run again.",
            )
        )
        return False
    if _complete_header(recovery, text, error, position):
        return True
    return _resynchronise(recovery, text, error, position)


def _position(text: str, error: UnexpectedInput) -> int:
    if isinstance(error, UnexpectedToken) and error.token.type == "$END":
        return len(text)
    place = error.pos_in_stream
    return len(text) if place is None else int(place)


def _states(error: UnexpectedInput) -> Any:
    return error.interactive_parser


def _jump(machine: Any, text: str, position: int) -> None:
    """Let the lexer go on at `position`, with the line count kept right."""
    counter = machine.lexer_thread.state.line_ctr
    counter.char_pos = position
    counter.line = text.count("\n", 0, position) + 1
    counter.line_start_pos = text.rfind("\n", 0, position) + 1
    counter.column = position - counter.line_start_pos + 1


def _complete_header(recovery: _Recovery, text: str, error: UnexpectedInput, position: int) -> bool:
    """When the mistake is in a line that opens a block, fill in what it lacks and read the block all the same."""
    line_end = text.find("\n", position)
    line_end = len(text) if line_end < 0 else line_end
    brace = text.find("{", position, line_end)
    if brace < 0 or "}" in text[position:brace]:
        return False
    machine = _states(error)
    for filling in ((), ("STRING",), ("NAME",), ("NAME", "STRING"), ("COMMA", "NAME")):
        trial = machine.copy()
        try:
            for terminal in filling:
                trial.feed_token(
                    Token(
                        terminal,
                        '""' if terminal == "STRING" else "unnamed",
                        brace,
                        text.count("\n", 0, brace) + 1,
                        1,
                        text.count("\n", 0, brace) + 1,
                        1,
                        brace,
                    )
                )
            if "LBRACE" not in trial.choices():
                continue
            trial.copy().feed_token(Token("LBRACE", "{"))
        except UnexpectedInput:
            continue
        _adopt(machine, trial)
        _jump(machine, text, brace)
        recovery.resumed_at = brace
        return True
    return False


def _adopt(machine: Any, trial: Any) -> None:
    machine.parser_state.state_stack[:] = trial.parser_state.state_stack
    machine.parser_state.value_stack[:] = trial.parser_state.value_stack


def _resynchronise(recovery: _Recovery, text: str, error: UnexpectedInput, position: int) -> bool:
    """Drop the clause that could not be read and go on at the next fitting } or line that begins with a fitting word."""
    machine = _states(error)
    # A brace that fits nowhere is passed over; everything else is looked for from the place of the mistake on.
    start = position + 1 if text[position : position + 1] == "}" else position
    depth = 0
    for match in _PLACES.finditer(text, _line_start(text, start)):
        word, brace = match.group(1), match.group(2)
        place = match.end() - len(word or brace or "")
        if place < start or (word is None and brace is None):
            continue
        if brace == "{" or (brace == "}" and depth):
            depth += 1 if brace == "{" else -1
            continue
        outermost = word in TOP_LEVEL and place == _line_start(text, place)
        if place <= recovery.resumed_at or (depth and not outermost):
            continue
        if _pop_to(recovery, machine, text, place, word):
            recovery.resumed_at = place - 1
            return True
    return _end(machine, text)


def _pop_to(recovery: _Recovery, machine: Any, text: str, place: int, word: str | None) -> bool:
    """Go back to the innermost state that takes this word or }; tell of a block that is left open by that."""
    state = machine.parser_state
    table = state.parse_conf.parse_table.states
    terminals = _terminals_of(word) if word else ("RBRACE",)
    for depth in range(len(state.state_stack) - 1, -1, -1):
        if not any(name in table[state.state_stack[depth]] for name in terminals):
            continue
        if not _really_accepts(machine, depth, terminals):
            continue
        dropped = state.value_stack[depth:]
        if word and any(isinstance(value, Token) and value.type == "LBRACE" for value in dropped):
            _, suspect = open_at(text, place)
            line = text.count("\n", 0, place) + 1
            found = _unclosed(recovery.file.name, text, suspect, f"“{word}” begins in line {line}")
            if all(found.span != other.span for other in recovery.findings):
                recovery.findings.append(found)
        del state.state_stack[depth + 1 :]
        del state.value_stack[depth:]
        _jump(machine, text, place)
        return True
    return False


def _line_start(text: str, position: int) -> int:
    return text.rfind("\n", 0, position) + 1


def _terminals_of(word: str) -> tuple[str, ...]:
    return tuple(
        definition.name
        for definition in parser().terminals
        if definition.pattern.value.endswith(r"(?![\w-])")
        and word in definition.pattern.value.removesuffix(r"(?![\w-])").strip("()").split("|")
    )


def _really_accepts(machine: Any, depth: int, terminals: tuple[str, ...]) -> bool:
    trial = machine.copy()
    del trial.parser_state.state_stack[depth + 1 :]
    del trial.parser_state.value_stack[depth:]
    for terminal in terminals:
        attempt = trial.copy()
        try:
            attempt.feed_token(Token(terminal, terminal, 0, 1, 1, 1, 1, 0))
        except UnexpectedInput:
            continue
        except (IndexError, AttributeError):
            continue
        return True
    return False


def _end(machine: Any, text: str) -> bool:
    """Nothing further fits: close the file where it stands."""
    state = machine.parser_state
    table = state.parse_conf.parse_table.states
    for depth in range(len(state.state_stack) - 1, -1, -1):
        if "$END" in table[state.state_stack[depth]]:
            del state.state_stack[depth + 1 :]
            del state.value_stack[depth:]
            _jump(machine, text, len(text))
            return True
    return False


# ── Saying it ───────────────────────────────────────────────────────────────────────────────────


def _span_at(file: str, text: str, position: int, length: int) -> Span:
    line = text.count("\n", 0, position) + 1
    column = position - _line_start(text, position) + 1
    return Span(file, line, column, line, column + max(length, 1))


def _describe(recovery: _Recovery, text: str, error: UnexpectedInput, position: int) -> Finding:
    file = recovery.file.name
    blocks, suspect = open_at(text, position)
    block = blocks[-1].word if blocks else ""
    expected: set[str] = set(getattr(error, "accepts", None) or getattr(error, "allowed", None) or ())
    if isinstance(error, UnexpectedToken):
        expected = set(error.accepts or error.expected)
    if position >= len(text):
        return _unclosed(file, text, suspect, "the file ends")
    match = _WORD.match(text, position)
    word = match.group() if match else text[position]
    span = _span_at(file, text, position, len(word))
    if word == "{" or word == "}":
        return _brace(span, word, block, blocks, expected)
    if text[position] == '"':
        quoted = _quotation(text, position, span, expected, block)
        if quoted is not None:
            return quoted
    elif isinstance(error, UnexpectedCharacters) and not (word[0].isalnum() or word[0] == "_"):
        hint = _special_hint(text, position, word, expected)
        return _finding(
            "S06",
            Severity.ERROR,
            span,
            f"“{text[position]}” has no meaning here.",
            "",
            hint or f"Expected {in_words(expected, block)}. Comments begin with #.",
        )
    if word in TOP_LEVEL and blocks and suspect is not None and _at_line_start(text, position):
        return _unclosed(file, text, suspect, f"“{word}” begins in line {span.line}")
    return _unexpected(recovery, text, position, word, span, expected, block)


def _at_line_start(text: str, position: int) -> bool:
    return not text[_line_start(text, position) : position].strip()


def _unclosed(file: str, text: str, suspect: Any, where: str) -> Finding:
    if suspect is None:
        span = _span_at(file, text, max(len(text) - 1, 0), 1)
        return _finding(
            "S03",
            Severity.ERROR,
            span,
            "The file ends in the middle of a clause.",
            "",
            "Finish the last clause.",
        )
    span = _span_at(file, text, suspect.position, 1)
    return _finding(
        "S02",
        Severity.ERROR,
        span,
        f"The {{ that opens “{suspect.header}” is never closed: {where} while it is still open.",
        "Everything after it would be read as part of it.",
        f"Put a }} on a line of its own where “{suspect.word}” ends.",
    )


def _brace(span: Span, word: str, block: str, blocks: list[Any], expected: set[str]) -> Finding:
    if word == "}" and (not blocks or "OFFICE" in expected):
        return _finding(
            "S04",
            Severity.ERROR,
            span,
            "This } closes nothing: no block is open here.",
            "",
            "Delete it, or find the block further up that was closed too early.",
        )
    if word == "}":
        return _finding(
            "S01",
            Severity.ERROR,
            span,
            f"The block ends in the middle of a clause; expected {in_words(expected - {'RBRACE'}, block)}.",
            "",
            "Finish the clause before the }.",
        )
    return _finding(
        "S01",
        Severity.ERROR,
        span,
        f"A {{ does not fit here; expected {in_words(expected, block)}.",
        "",
        "A block opens after a name and a title.",
    )


def _quotation(text: str, position: int, span: Span, expected: set[str], block: str) -> Finding | None:
    if text.startswith('"""', position):
        if text.find('"""', position + 3) < 0:
            return _finding(
                "S07",
                Severity.ERROR,
                span,
                'The long text that begins here with """ never ends.',
                "All that follows would be taken for text.",
                'Close it with """ after its last line.',
            )
    else:
        line_end = text.find("\n", position)
        rest = text[position + 1 : line_end if line_end >= 0 else len(text)]
        if '"' not in rest:
            return _finding(
                "S07",
                Severity.ERROR,
                span,
                "The text that begins here has no closing quotation mark on its line.",
                "",
                'Close it with ", or use """long text""" for several lines.',
            )
    return _finding(
        "S01",
        Severity.ERROR,
        span,
        f"A text in quotes does not fit here; expected {in_words(expected, block)}.",
        "",
        "",
    )


def _unexpected(
    recovery: _Recovery, text: str, position: int, word: str, span: Span, expected: set[str], block: str
) -> Finding:
    words = words_for(expected)
    close = alike(word, words)
    before = text[max(_line_start(text, position) - 120, 0) : position]
    unitless = re.search(r"(\d+(?:\.\d+)?)[ \t]*\n\s*([a-z]+)\s+$", before)
    if unitless and unitless.group(2) in keywords():
        place = position - len(before) + unitless.start(1)
        return _finding(
            "S08",
            Severity.ERROR,
            _span_at(recovery.file.name, text, place, len(unitless.group(1))),
            f"The number {unitless.group(1)} has no unit.",
            "5 minutes and 5 seconds would look alike.",
            "Every number needs its unit: 5 min, 30 s, 121 C, 500 mL, 2200 m.",
        )
    comma = re.search(r",\s*\n\s*(\w[\w-]*)\s+$", before)
    if not close and comma and comma.group(1) in keywords():
        return _finding(
            "S01",
            Severity.ERROR,
            span,
            f"“{comma.group(1)}” was read as a name, because a comma stands before it.",
            "",
            "Delete the comma at the end of the line before.",
        )
    fix = f"Did you mean “{close[0]}”?" if close else _special_hint(text, position, word, expected)
    if not fix and block and len(words) > 8:
        fix = f"{in_words_owner(block)} takes these clauses: {', '.join(words)}."
    return _finding(
        "S01",
        Severity.ERROR,
        span,
        f"“{word}” does not fit here; expected {in_words(expected, block)}.",
        "",
        fix,
    )


def _special_hint(text: str, position: int, word: str, expected: set[str]) -> str:
    before = text[_line_start(text, position) : position]
    if re.search(r"dilute\s+\d+\s*$", before) and text[position] in ":/":
        return "Say the parts: one in ten is `dilute 1 part to 9 parts`."
    if "UNIT" in expected:
        return "Every number needs its unit: 5 min, 30 s, 121 C, 500 mL."
    if "STRING" in expected and word[:1].isalpha() and not _at_line_start(text, position):
        return f'Put text in quotes: "{word} …".'
    return ""
