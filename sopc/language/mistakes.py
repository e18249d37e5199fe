"""Says what is wrong at a place where reading failed, in an officer's words and with a way to mend it."""

from __future__ import annotations

import re

from sopc.findings import Finding, Severity, alike
from sopc.language import table
from sopc.language.braces import Opening, next_closing, unclosed
from sopc.language.expected import either, in_words, owner, words_for
from sopc.language.place import INSERTED, Place
from sopc.language.table import words_of
from sopc.source import Span
from sopc.trade import quantities

UNITS = "Every number needs its unit: 5 min, 30 s, 121 C, 500 mL, 2200 m."
OPENERS = frozenset({"step", "way", "branch", "choose", "together"})  # inside a procedure these begin a block
_TEXT_CLAUSE = re.compile(r"(note|purpose|scope|topics|limits|danger|warning|caution|notice)[ \t]*$")


def mistake(code: str, span: Span, sentence: str, floor: str = "", fix: str = "") -> Finding:
    """An error of the text's form."""
    return Finding(code, Severity.ERROR, span, sentence, floor, (), fix)


def describe(place: Place, thorough: bool = True) -> Finding:
    """The finding for this place; `thorough` allows one look over the whole text for the brace that is missing."""
    if not place.word:
        return _end(place, thorough)
    if place.word == "{":
        return mistake(
            "F01",
            place.span(),
            f"A {{ does not fit here; expected {in_words(place.accepted, place.block)}.",
            "",
            "A block opens after a name and a title.",
        )
    found = (
        _unitless(place)
        or _closing(place)
        or _quotation(place)
        or _foreign(place)
        or _figures(place)
        or _left_open(place, thorough)
        or _wrong_place(place)
    )
    return found or _unexpected(place)


# ── Braces ──────────────────────────────────────────────────────────────────────────────────────


def _end(place: Place, thorough: bool) -> Finding:
    if place.blocks:
        return open_block(place, _suspect(place, thorough), "the file ends")
    last = len(place.text.rstrip()) - 1
    return mistake(
        "F03",
        place.span(last, 1),
        f"The file ends in the middle of a clause; expected {in_words(place.accepted, '')}.",
        "",
        "Finish the last clause.",
    )


def _suspect(place: Place, thorough: bool) -> Opening:
    found = unclosed(place.text, place.position) if thorough else None
    return found or place.blocks[-1]


def open_block(place: Place, opening: Opening, where: str) -> Finding:
    """A block whose closing brace is missing."""
    return mistake(
        "F02",
        place.span(opening.position, 1),
        f"The {{ that opens “{opening.header}” is never closed: {where} while it is still open.",
        "Everything after it would be read as part of it.",
        f"Put a }} on a line of its own where “{opening.word}” ends.",
    )


def _left_open(place: Place, thorough: bool) -> Finding | None:
    """A word that belongs further out, where the block around it seems to lack its brace."""
    if not place.blocks or not place.at_line_start or not place.fits_outside():
        return None
    declares = place.word in table.clause_words("") and not place.before
    closing = next_closing(place.text, place.position)
    if not declares and closing is not None and closing[1] is not None:
        # The next } tells: when it stands under the innermost block, that block is closed and the word strayed.
        if closing[1] >= place.blocks[-1].indent:
            return None
    elif not declares and place.word not in OPENERS and len(place.before) > place.blocks[-1].indent:
        return None
    return open_block(place, _suspect(place, thorough), f"“{place.word}” begins in line {place.number}")


def _closing(place: Place) -> Finding | None:
    if place.word != "}":
        return None
    if not place.blocks:
        return mistake(
            "F04",
            place.span(),
            "This } closes nothing: no block is open here.",
            "",
            "Delete it, or find the block further up that was closed too early.",
        )
    return mistake(
        "F01",
        place.span(),
        f"The block ends in the middle of a clause; expected {in_words(place.accepted - {'RBRACE'}, place.block)}.",
        "",
        "Finish the clause before the }.",
    )


# ── Texts ───────────────────────────────────────────────────────────────────────────────────────


def _quotation(place: Place) -> Finding | None:
    text, position = place.text, place.position
    shifted = _swallowed(place)
    if shifted is not None:
        return shifted
    if text[position] != '"':
        return _odd_quotes(place) if not place.at_line_start else None
    if text[max(position - 2, 0) : position] == '""':
        position -= 2
    if text.startswith('"""', position):
        if text.find('"""', position + 3) < 0:
            return mistake(
                "F07",
                place.span(position, 3),
                'The long text that begins here with """ never ends.',
                "All that follows would be taken for text.",
                'Close it with """ after its last line.',
            )
    elif '"' not in place.line[position - place.line_start + 1 :]:
        return mistake(
            "F07",
            place.span(position, len(place.line)),
            "The text that begins here has no closing quotation mark on its line.",
            "",
            'Close it with ", or use """long text""" for several lines.',
        )
    return mistake(
        "F01",
        place.span(position, 1),
        f"A text in quotes does not fit here; expected {in_words(place.accepted, place.block)}.",
        "",
        _extra_text(place),
    )


def _extra_text(place: Place) -> str:
    if "NAME" in place.accepted:
        return "The short name comes before the title: letters, digits, _ and -, without quotes."
    last = place.last
    if last is not None and last.type in ("STRING", "LONG_TEXT"):
        return "Two texts stand side by side; join them, or use single quotes ' inside a text."
    return ""


def _swallowed(place: Place) -> Finding | None:
    """A long text that ran on to the quotes where the next one begins, because its own closing is missing."""
    last = place.last
    if last is None or last.type != "LONG_TEXT" or place.text[last.end_pos or 0 : place.position].strip():
        return None
    if "\n" not in last or not _TEXT_CLAUSE.search(str(last)[:-3]):
        return None
    return mistake(
        "F07",
        place.span(last.start_pos or 0, 3),
        f'The long text that begins here with """ ends only in line {last.end_line}, where another one begins.',
        "All clauses in between are taken for text.",
        'Close it with """ after its last line.',
    )


def _odd_quotes(place: Place) -> Finding | None:
    line = place.line.split("#", 1)[0]
    if line.count('"') % 2 == 0 or '"""' in line:
        return None
    first = line.index('"')
    return mistake(
        "F07",
        place.span(place.line_start + first, len(line) - first),
        "A quotation mark is missing in this line: it has an odd number of them.",
        "",
        "Each text begins and ends with \"; inside a text use single quotes '.",
    )


# ── Characters and numbers ──────────────────────────────────────────────────────────────────────


def _foreign(place: Place) -> Finding | None:
    """A character the language has no use for; letters with accents inside a name are shown with the whole name."""
    character = place.text[place.position]
    if character.isascii() and (character.isalnum() or character in '"%'):
        return None
    if _numbers(place) or character == ",":
        return None
    if character.isalpha() or (character in "_-" and place.before[-1:].isalnum()):
        start = re.search(r"[\w-]*$", place.before)
        position = place.position - (len(start.group()) if start else 0)
        whole = re.match(r"[\w-]+", place.text[position:])
        name = whole.group() if whole else character
        return mistake(
            "F06",
            place.span(position, len(name)),
            f"“{name}” cannot be a name.",
            "",
            "Names are made of the letters a to z and digits, joined by _ or -. Titles may hold any letter.",
        )
    said = f"“{character}”" if character.isprintable() else f"The invisible character U+{ord(character):04X}"
    expected = in_words(place.accepted, place.block)
    fix = "Write # before a comment." if place.text.startswith(("//", "/*"), place.position) else _sign(character)
    if not character.isprintable():
        fix = "Delete it and its neighbours and type them again; it came along from another program."
    return mistake("F06", place.span(length=1), f"{said} has no meaning here; expected {expected}.", "", fix)


def _sign(character: str) -> str:
    signs = {
        ";": "Delete it: clauses end by themselves.",
        ":": "Delete it: a clause is its keyword followed by what it says.",
        "=": "Delete it: a clause is its keyword followed by what it says.",
        "(": "Delete the brackets, or put the remark in a note: note \"…\".",
        ")": "Delete the brackets, or put the remark in a note: note \"…\".",
        "'": 'Texts stand in double quotes: "…".',
        "`": 'Texts stand in double quotes: "…".',
        ".": "Delete it.",
    }  # fmt: skip
    return signs.get(character, "Delete it; comments begin with #.")


def _numbers(place: Place) -> str:
    """How a number that was written in another fashion is written here, or nothing."""
    before, after = place.before, place.line[len(place.before) :]
    if re.search(r"dilute\s+\d+(\.\d+)?\s*$", before) and (after[0] in ":/" or after.startswith("to")):
        return "Say the parts: one in ten is `dilute 1 part to 9 parts`."
    number = re.search(r"(\d+(?:\.\d+)?)$", before)
    if number is None:
        return ""
    decimals = re.match(r",(\d+)", after)
    if decimals:
        return f"Decimals take a point: {number.group()}.{decimals.group(1)}."
    dash = re.match(r"[-–—−]\s*(\d+(?:\.\d+)?)", after)
    if dash:
        return f"A range takes “to”: {number.group()} to {dash.group(1)}."
    if after[0] in "°º":
        return "Write C or F without the degree sign."
    return ""


def _figures(place: Place) -> Finding | None:
    fix = _numbers(place)
    date = re.fullmatch(r"(\d{1,2})[./](\d{1,2})[./](\d{4})", place.word)
    if not fix and date and "DATE" in place.accepted:
        fix = f"A date is written year-month-day: {date.group(3)}-{int(date.group(2)):02}-{int(date.group(1)):02}?"
    if not fix:
        return None
    sentence = f"“{place.word}” does not fit here; expected {in_words(place.accepted, place.block)}."
    return mistake("F06" if not place.word[0].isalnum() else "F01", place.span(), sentence, "", fix)


def _unitless(place: Place) -> Finding | None:
    last = place.last
    if last is None or last.type != "NUMBER" or "UNIT" not in place.accepted:
        return None
    if not (place.word == "}" or (place.at_line_start and place.word[0].isalpha()) or _not_a_unit(place.word)):
        return None
    return mistake(
        "F08",
        place.span(last.start_pos or 0, len(last)),
        f"The number {last} has no unit.",
        "5 minutes and 5 seconds would look alike.",
        UNITS,
    )


def _not_a_unit(word: str) -> bool:
    return word in table.keywords() and quantities.unit(word) is None


# ── Words ───────────────────────────────────────────────────────────────────────────────────────


def taken_for_something_else(place: Place) -> Place | None:
    """The place of the last word when it begins a clause but was read as a name or unit of the clause before."""
    last = place.last
    if last is None or last.type not in ("NAME", "UNIT") or last.start_pos is None:
        return None
    earlier = place.back_to(last)
    if last.type == "UNIT":
        return earlier if _not_a_unit(str(last)) else None
    starts = any(str(last) in table.clause_words(block.word) for block in place.blocks)
    if str(last) in table.clause_words(place.block) or (starts and earlier.fits_outside()):
        return earlier if earlier.at_line_start and "NAME" in earlier.accepted else None
    return None


def unfinished(place: Place) -> Finding:
    """The clause before this place lacks its end; the word here begins the next one."""
    last = place.last
    if last is not None and last.type == "COMMA":
        return mistake(
            "F01",
            place.span(last.start_pos or 0, 1),
            f"After this comma a name is missing: “{place.word}” begins the next clause.",
            "",
            "Delete the comma, or write the name behind it.",
        )
    expected = in_words(place.accepted - {"LBRACE"}, place.block)
    said = f" after “{last}”" if last is not None and str(last) != INSERTED else ""
    position, length = place.position, len(place.word)
    if last is not None and last.start_pos is not None:
        position, length = last.start_pos, len(last)
    return mistake(
        "F01",
        place.span(position, length),
        f"The clause breaks off{said}: expected {expected}, but “{place.word}” begins the next clause.",
        "",
        "Finish the clause, or delete it.",
    )


def missing_brace(place: Place) -> Finding:
    """A block whose opening brace is missing."""
    header = place.text[: place.position].rstrip()
    start = header.rfind("\n") + 1
    line = header[start:].strip()
    return mistake(
        "F11",
        place.span(len(header) - 1, 1),
        f"A {{ is missing after “{line}”.",
        "What follows would not belong to it.",
        f"Write: {line} {{",
    )


def _wrong_place(place: Place) -> Finding | None:
    """A clause that exists, but in another kind of block."""
    if not place.ends_clause or not place.word[0].isalpha():
        return None
    homes = [block for block in table.blocks_with(place.word) if block != place.block]
    if not homes or place.word in table.clause_words(place.block):
        return None
    listed = either([owner(block) for block in homes[:4]]) if len(homes) < 9 else "many other blocks"
    if place.blocks:
        close = alike(place.word, table.clause_words(place.block))
        fix = f"Did you mean “{close[0]}”?" if close else f"It belongs in {listed}."
        return mistake("F10", place.span(), f"“{place.word}” is no clause of {owner(place.block)}.", "", fix)
    closed = place.text.rfind("}", 0, place.position)
    line = place.text.count("\n", 0, closed) + 1
    fix = f"Look at the }} in line {line}: does it close a block too early?" if closed >= 0 else f"Put it in {listed}."
    return mistake("F10", place.span(), f"“{place.word}” stands outside of any block; it belongs in {listed}.", "", fix)


def _habit(place: Place) -> str:
    """What other habits of writing make of days, times, lists and quotes."""
    day = place.word[:3].casefold()
    if "DAY" in place.accepted and day in words_of("DAY"):
        return f"Weekdays have three letters: {day}."
    if "TIME" in place.accepted and place.word.isdigit() and int(place.word) < 24:
        return f"A time is written with its minutes: {int(place.word):02}:00."
    if place.word == "," and "OR" in place.accepted:
        return "Join people by “or” (one of them) or “and” (both together)."
    if place.text[place.position - 1 : place.position] == '"' and place.before.count('"') > 1:
        return "Inside a text use single quotes '."
    return ""


def _unexpected(place: Place) -> Finding:
    words = words_for(place.accepted)
    clauses = sorted(table.clause_words(place.block)) if place.ends_clause else []
    begins = place.at_line_start or place.before.rstrip()[-1:] == "{"
    close = alike(place.word, clauses if begins and clauses else [] if clauses else words)
    fix = f"Did you mean “{close[0]}”?" if close else ""
    last = place.last
    if last is not None and last.type == "NAME" and place.word[0].isalnum() and "STRING" in place.accepted:
        fix = f"A name is one word: {last}_{place.word}. Titles stand in quotes."
    elif place.ends_clause and place.word[0].isalpha() and begins:
        where = f"no clause of {owner(place.block)}" if place.block else "no declaration"
        kinds = (
            f"{owner(place.block)} takes: {', '.join(clauses)}." if place.block else f"There are: {', '.join(clauses)}."
        )
        return mistake("F01", place.span(), f"“{place.word}” is {where}.", "", fix or kinds[0].upper() + kinds[1:])
    sentence = f"“{place.word}” does not fit here; expected {in_words(place.accepted, place.block)}."
    fix = fix or _habit(place)
    if not fix and "UNIT" in place.accepted:
        fix = UNITS
    elif not fix and "STRING" in place.accepted and place.word[:1].isalpha() and not place.at_line_start:
        fix = f'Texts stand in quotes: "{place.word} …".'
    return mistake("F01", place.span(), sentence, "", fix)
