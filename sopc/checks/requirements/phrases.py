"""Whether a text says a phrase, or says the opposite of it: “do not rub the hands dry” does not say to rub them."""

from __future__ import annotations

import re
from functools import lru_cache

_NOT = r"(?:no|not|never|nobody|none|nothing|without|cannot|neither|nor|instead of|rather than|avoid|unless)"
_DENIED = re.compile(rf"\b{_NOT}\b|n[’']t\b", re.IGNORECASE)
# Behind the phrase only a verb denies it: “the rub is not needed”, but not “chosen or not”, “food and nothing else”.
_DENIED_BEHIND = re.compile(
    r"\w*(?: (?!(?:and|or|but|if|when|that|which|who)\b)\w+){0,3}? (?:not|never|cannot|no longer)\b"
    r"|\w*(?: \w+)?n[’']t\b",
    re.IGNORECASE,
)
_CLAUSES = re.compile(r"[.;:!?()|\n]+| but |—|–")
_LEADING = re.compile(rf"(?:{_NOT}) (.+)", re.IGNORECASE)


def says(phrase: str, text: str) -> bool:
    """Whether the phrase, or words that begin so, stand in a clause of the text that does not deny them.

    A phrase that itself begins with a denial (“no food”, “never carried”) is said by a clause that denies the rest, be
    it in a list: “No food, drink or make-up” says “no drink”. Capitals do not count.
    """
    denial = _LEADING.fullmatch(phrase)
    wanted = denial[1] if denial else phrase
    return any(_stands(clause, wanted, bool(denial)) for clause in _CLAUSES.split(text))


@lru_cache(maxsize=1024)
def _beginning_so(phrase: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(phrase)}", re.IGNORECASE)


def _stands(clause: str, phrase: str, denied: bool) -> bool:
    plain = " ".join(clause.split())
    for found in _beginning_so(phrase).finditer(plain):
        before = _DENIED.search(plain, 0, found.start()) is not None
        if denied == (before or _DENIED_BEHIND.match(plain, found.end()) is not None):
            return True
    return False
