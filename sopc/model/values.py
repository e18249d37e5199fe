"""Single values out of clauses: names, numbers, quantities, dates, citations; each checked where it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from sopc.findings import Finding, Note, Severity, alike
from sopc.language.syntax import Node, Token, span_of, text_of
from sopc.model.entries import Clause, Entries, Entry, missing, reserved
from sopc.model.nouns import Citation, Decider, Duration, Mark
from sopc.source import Span
from sopc.trade import quantities
from sopc.trade.quantities import Dimension, Quantity

UNITS = "s, min, h, day, week, C, F, kPa, bar, psi, mL, L, mm, cm, m, in, ft, ppm, %, CFU/mL"
ZERO = quantities.quantity(0, "s")
LARGEST = 9999  # of anything an office counts


@dataclass(slots=True)
class Values:
    """Reads values and keeps what was wrong with them. A missing name is told once, with its other places counted."""

    entries: Entries
    findings: list[Finding] = field(default_factory=list)
    unknown: dict[tuple[str, tuple[str, ...]], list[Span]] = field(default_factory=dict)
    used: set[tuple[str, str, str]] = field(default_factory=set)  # kind, name, the file that names it

    # ── Names ───────────────────────────────────────────────────────────────────────────────────

    def name(self, token: Token, file: str, *kinds: str) -> str | None:
        """The name if it is declared as one of these kinds, else None and a finding."""
        name = str(token)
        found = next((kind for kind in kinds if name in self.entries.of(kind)), None)
        if found is not None:
            self.used.add((found, name, file))
            return name
        self.unknown.setdefault((name, kinds), []).append(span_of(file, token))
        return None

    def names(self, clause: Clause | None, *kinds: str) -> tuple[str, ...]:
        """The declared names in a clause's name list."""
        if clause is None:
            return ()
        listed = clause.node.node("names")
        tokens = (listed if listed is not None else clause.node).tokens("NAME")
        return tuple(name for token in tokens if (name := self.name(token, clause.file, *kinds)) is not None)

    def one_name(self, clause: Clause | None, *kinds: str) -> str | None:
        """The declared name a clause holds, or None."""
        if clause is None:
            return None
        token = clause.node.token("NAME")
        return self.name(token, clause.file, *kinds) if token is not None else None

    def name_findings(self) -> Iterator[Finding]:
        """One finding for each unknown name, with its places."""
        for name, kinds, spans in self._missing():
            wanted = " or ".join(_with_article(kind) for kind in kinds)
            other = self._kinds_of(name)
            close = alike(name, [known for kind in kinds for known in self.entries.of(kind)])
            place = self.entries.unread.where(name, kinds)
            if other and place is None:
                sentence = f"“{name}” is {_with_article(other[0])}; here {wanted} is needed."
            else:
                sentence = f"“{name}” is not declared; {wanted} of that name is needed."
            fix = f"Did you mean “{close[0]}”?" if close else f'Declare it: {kinds[0]} {name} "…".'
            if place is not None:
                fix = f"It stands in {place.title}, which nothing uses: write `{place.use}` in office.sop."
            elif name in reserved() and not close:
                fix = f"“{name}” is a word of the language: does the clause before it lack its end?"
            notes = tuple(Note("used here too", span) for span in spans[1:4])
            more = f" ({len(spans)} places)" if len(spans) > 1 else ""
            yield Finding(
                "N01",
                Severity.ERROR,
                spans[0],
                sentence[:-1] + more + ".",
                "Paper would send readers to something that does not exist.",
                (),
                fix,
                notes,
                place.cause if place else "" if other else missing(name),
            )

    def _kinds_of(self, name: str) -> list[str]:
        return [kind for kind in self.entries.by_kind if name in self.entries.of(kind)]

    def _missing(self) -> list[tuple[str, tuple[str, ...], list[Span]]]:
        """Unknown names with the kinds that would do at all their places, and the places.

        What is wanted as a device here and as a device or supply there is one thing that is missing, a device.
        """
        found: list[tuple[str, tuple[str, ...], list[Span]]] = []
        for (name, kinds), spans in self.unknown.items():
            for place, (known, wanted, there) in enumerate(found):
                shared = tuple(kind for kind in wanted if kind in kinds)
                if known == name and shared and not self._kinds_of(name):
                    found[place] = (name, shared, [*there, *spans])
                    break
            else:
                found.append((name, kinds, list(spans)))
        return found

    # ── Numbers and quantities ──────────────────────────────────────────────────────────────────

    def quantity(self, number: Token, word: Token, file: str, dimension: Dimension | None) -> Quantity | None:
        """A number with its unit, of the dimension asked for."""
        found = quantities.unit(str(word))
        if found is None:
            close = quantities.alike(str(word))
            self.findings.append(
                Finding(
                    "Q01",
                    Severity.ERROR,
                    span_of(file, word),
                    f"“{word}” is not a unit.",
                    "Nobody can tell how much is meant.",
                    (),
                    f"Did you mean “{close[0]}”?" if close else f"Units are {UNITS} …",
                )
            )
            return None
        value = Quantity(Fraction(str(number)), found)
        if dimension is not None and found.dimension is not dimension:
            self.findings.append(
                Finding(
                    "Q02",
                    Severity.ERROR,
                    span_of(file, word),
                    f"A {dimension.value} is needed here, but {value} is a {found.dimension.value}.",
                    "The number would be read as something it is not.",
                    (),
                    f"Give it in a unit of {dimension.value}.",
                )
            )
            return None
        if found.dimension is Dimension.TIME and value.base.denominator != 1:
            self.findings.append(
                Finding(
                    "Q04",
                    Severity.ERROR,
                    span_of(file, number),
                    f"{value} is not a whole number of seconds.",
                    "No clock in the room shows it.",
                    (),
                    "Times are kept in whole seconds.",
                )
            )
            return None
        return value

    def amount(self, clause: Clause | None, dimension: Dimension | None) -> Quantity | None:
        """The quantity a clause holds."""
        node = clause.node.node("quantity") if clause is not None else None
        return self.quantity_node(node, clause.file, dimension) if node is not None and clause is not None else None

    def quantity_node(self, node: Node, file: str, dimension: Dimension | None) -> Quantity | None:
        number, word = node.token("NUMBER"), node.token("UNIT")
        assert number is not None
        assert word is not None
        return self.quantity(number, word, file, dimension)

    def range(self, node: Node | None, file: str, dimension: Dimension | None) -> tuple[Quantity, Quantity] | None:
        """Least and most of a `span` node; a single value is both."""
        if node is None:
            return None
        numbers, words = node.tokens("NUMBER"), node.tokens("UNIT")
        low = self.quantity(numbers[0], words[0], file, dimension)
        if low is None or len(numbers) == 1:
            return (low, low) if low is not None else None
        high = self.quantity(numbers[1], words[-1], file, dimension)
        if high is None:
            return None
        if low.dimension is not high.dimension:
            self.findings.append(
                Finding(
                    "Q02",
                    Severity.ERROR,
                    span_of(file, node),
                    f"{low} and {high} are not alike: a {low.dimension.value} and a {high.dimension.value}.",
                    "Nobody could find a value between the two.",
                    (),
                    "Use units of one kind.",
                )
            )
            return None
        if high < low:
            self.findings.append(
                Finding(
                    "Q03",
                    Severity.ERROR,
                    span_of(file, node),
                    f"The range runs backwards: {low} is more than {high}.",
                    "No time, however chosen, would be right.",
                    (),
                    "Put the smaller value first.",
                )
            )
            return None
        return (low, high)

    def span_in(self, clause: Clause | None, dimension: Dimension | None) -> tuple[Quantity, Quantity] | None:
        """The range a clause holds."""
        return self.range(clause.node.node("span"), clause.file, dimension) if clause is not None else None

    def duration(self, clause: Clause | None) -> Duration | None:
        """How long something takes and who decides it."""
        node = clause.node.node("duration") if clause is not None else None
        if node is None or clause is None:
            return None
        until = text_of(node.token("STRING"))
        stated = node.token("DECIDER")
        if stated is not None:
            decider = Decider.MACHINE if str(stated).endswith("machine") else Decider.STAFF
        else:
            decider = Decider.OUTCOME if until else Decider.STAFF
        least: Quantity | None
        most: Quantity | None
        single = node.node("quantity")
        if single is not None:
            value = self.quantity_node(single, clause.file, Dimension.TIME)
            if value is None:
                return None
            at_least = any(str(token) == "least" for token in node.tokens("LEAST"))
            least, most = (value, None) if at_least else (ZERO, value)
        else:
            bounds = self.range(node.node("span"), clause.file, Dimension.TIME)
            if bounds is None:
                return None
            least, most = bounds
        return Duration(least, most, decider, until, clause.span, stated is not None or bool(until))

    def whole(self, clause: Clause | None, most: int = LARGEST, least: int = 0) -> int | None:
        """The whole number a clause holds."""
        token = clause.node.token("NUMBER") if clause is not None else None
        return self.whole_token(token, clause.file, most, least) if token is not None and clause is not None else None

    def whole_token(self, token: Token, file: str, most: int = LARGEST, least: int = 0) -> int | None:
        """A whole number from `least` to `most`."""
        digits = str(token)
        if "." not in digits and len(digits) < 10 and least <= int(digits) <= most:
            return int(digits)
        self.findings.append(
            Finding(
                "Q05",
                Severity.ERROR,
                span_of(file, token),
                f"{token} does not fit here; a whole number from {least} to {most:,} is needed.",
                "Nobody could count it.",
                (),
                f"Write a whole number from {least} to {most:,}.",
            )
        )
        return None

    def day(self, token: Token | None, file: str) -> date | None:
        """A calendar date that exists."""
        if token is None:
            return None
        try:
            return date.fromisoformat(str(token))
        except ValueError:
            self.findings.append(
                Finding(
                    "Q06",
                    Severity.ERROR,
                    span_of(file, token),
                    f"There is no date {token}.",
                    "No page and no sheet could carry it.",
                    (),
                    "Dates are year-month-day: 2026-12-31.",
                )
            )
            return None

    def minutes(self, token: Token, file: str) -> int | None:
        """A time of day as minutes after midnight."""
        hours, minutes = (int(part) for part in str(token).split(":"))
        if hours > 23 or minutes > 59:
            self.findings.append(
                Finding(
                    "Q06",
                    Severity.ERROR,
                    span_of(file, token),
                    f"There is no time {token}.",
                    "No clock ever shows it.",
                    (),
                    "Times run from 00:00 to 23:59.",
                )
            )
            return None
        return hours * 60 + minutes

    # ── What may stand anywhere ─────────────────────────────────────────────────────────────────

    def citations(self, clauses: Iterable[Clause]) -> tuple[Citation, ...]:
        found = []
        for clause in clauses:
            if clause.node.kind != "cite":
                continue
            source = self.one_name(clause, "source")
            if source is None:
                continue
            mark = clause.node.token("MARK")
            found.append(
                Citation(
                    source,
                    text_of(clause.node.token("STRING")),
                    Mark(str(mark)) if mark else None,
                    clause.span,
                )
            )
        return tuple(found)

    def meets(self, clauses: Iterable[Clause]) -> tuple[str, ...]:
        return tuple(
            name for clause in clauses if clause.node.kind == "meets" for name in self.names(clause, "requirement")
        )

    def common(self, entry: Entry) -> dict[str, Any]:
        """The fields every declared record has."""
        return {
            "name": entry.name,
            "title": entry.title,
            "span": entry.span,
            "pack": entry.pack,
            "citations": self.citations(entry.clauses),
            "meets": self.meets(entry.clauses),
            "notes": texts(entry.all("note")),
            "overridden": tuple(done for done in entry.overridden if ": " not in done.clause),
        }


def texts(clauses: Iterable[Clause]) -> tuple[str, ...]:
    """The texts of these clauses."""
    return tuple(text(clause) for clause in clauses)


def text(clause: Clause | None) -> str:
    """The text a clause holds, long or short; empty without a clause."""
    return text_of(clause.node.token("STRING", "LONG_TEXT")) if clause is not None else ""


def _with_article(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else kind if kind == "ppe" else f"a {kind}"
