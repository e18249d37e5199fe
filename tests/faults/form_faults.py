"""Faults of the pen: words misspelt, names of nothing, marks left out."""

from __future__ import annotations

from collections.abc import Iterator

from sopc.language.syntax import Token
from tests.faults.kinds import Mutant, kind
from tests.faults.protocol import Edit, Protocol, Text, ends

FREE = frozenset({"language"})  # any word will do there


def _words(text: Text, *types: str) -> Iterator[Token]:
    return (word for word in text.tree.words() if word.type in types)


def _made(text: Text, word: Token, new: str, what: str) -> Mutant:
    return Mutant(f"{text.name}:{word.line}", what, (Edit(text.name, *ends(word), new),))


@kind("form", "misspell a name where it is used", sure=True)
def misspelt(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        before = None
        for word in text.tree.words():
            declared = before is not None and before.type in DECLARING
            if word.type == "NAME" and not declared and str(before) not in FREE:
                yield _made(text, word, f"{word}zq", f"{word}zq")
            before = word


DECLARING = frozenset(
    {"SOURCE", "ROLE", "ZONE", "AREA", "PPE", "KIND", "DEVICE", "PROGRAM", "ITEM", "CONDITION", "SUPPLY", "ACTION"}
    | {"PROCEDURE", "STEP", "TASK", "LOG", "COLUMN", "TRAINING", "REQUIREMENT", "VISIT", "CIRCUIT", "CASELOAD"}
    | {"MINIMUM", "BOUNDS"}
)


@kind("form", "leave a brace out", sure=True)
def no_brace(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        for word in _words(text, "LBRACE", "RBRACE"):
            yield _made(text, word, "", f"no {word}")


@kind("form", "leave a keyword out", sure=True)
def no_keyword(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        for word in _words(
            text, "BY", "DOES", "WEARING", "TAKES", "LIMIT", "CHECK", "RECORD", "USING", "CITE", "MEETS"
        ):
            yield _made(text, word, "", f"no {word}")


@kind("form", "leave a quotation mark out", sure=True)
def no_quote(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        for word in _words(text, "STRING"):
            if len(word) > 2:
                yield _made(text, word, str(word)[:-1], f"{str(word)[:30]} without end")


@kind("form", "misspell a keyword", sure=True)
def odd_keyword(protocol: Protocol) -> Iterator[Mutant]:
    for text in protocol.texts:
        for word in _words(
            text, "STEP", "BY", "DOES", "WEARING", "TAKES", "LIMIT", "CHECK", "ELSE", "RECORD", "HANDLES"
        ):
            yield _made(text, word, f"{str(word)[:-1]}{str(word)[-1]}x", f"{word}x")


@kind("form", "declare a thing twice", sure=True)
def twice(protocol: Protocol) -> Iterator[Mutant]:
    for site in protocol.sites(
        "role", "area", "device", "item", "supply", "action", "procedure", "task", "log", "step"
    ):
        if site.within("override") is not None:
            continue
        start, end = ends(site.node)
        again = site.text.text[start:end]
        yield Mutant(site.where(), "declared twice", (Edit(site.text.name, end, end, f"\n{again}"),))
