"""Small offices at the edge of what sopc accepts: drawn at random, then weakened line by line until it accepts them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from random import Random

from sopc.findings import Finding, Severity
from sopc.library import check, load_text
from sopc.model.nouns import Office

TODAY = date(2026, 12, 1)
MOST_ROUNDS = 16
UNPROVEN = ("T06", "T07")
TRADE = """
office "Example" { open mon to fri 08:00 to 17:00  reaction 2 min }
role assistant "Assistant" { on duty 2 }
condition soiled "Soiled" { excludes clean }
condition clean "Clean"
condition wet "Wet" { excludes dry }
condition dry "Dry"
condition packed "Packed"
condition there "There"
item tip "Tip"
item tray "Tray"
kind washer "Washer"
device tumbler "Machine" is washer { program quick "Quick" { lasts 10 to 25 min by machine } }
supply foam "Foam" { contact 1 min }
action wash "Wash" { brings clean, wet  undoes packed }
action dry_off "Dry" { needs clean  brings dry }
action moisten "Moisten" { brings wet }
action pack "Pack" { needs clean, dry  brings packed }
action feel "Feel" { needs wet  undoes packed }
action open_up "Open" { undoes packed }
action foam_over "Foam" { lasts contact time }
"""
TAKES = (
    "takes 1 to 3 min",
    "takes 5 min",
    "takes 2 to 30 min by machine",
    'takes 5 to 12 min until "done"',
    "takes at least 2 min",
    "takes 1 to 4 min  does foam_over using foam",
    "runs tumbler quick",
)
ACTS = ("wash", "wash", "dry_off", "dry_off", "moisten", "pack", "feel", "open_up")
STATES = ("clean", "clean, wet", "wet", "clean, dry", "clean, packed", "packed")


@dataclass(slots=True)
class Draw:
    """Draws the text of procedures; `timed` ones have limits, the others do things to items."""

    random: Random
    timed: bool

    def body(self, prefix: str, most: int, inner: bool) -> tuple[str, list[str]]:
        """Steps, choices and branches, and the names of all steps in the order of the text."""
        shapes = [self.random.choice("sssssct") for _ in range(self.random.randint(2, most))]
        places = [f"{prefix}{number}" for number in range(len(shapes))]
        top = [place for place, shape in zip(places, shapes, strict=True) if shape == "s"]
        text, names = "", list[str]()
        for number, (place, shape) in enumerate(zip(places, shapes, strict=True)):
            back = [each for each in top if places.index(each) < number]
            ahead = [each for each in top if places.index(each) > number]
            if shape == "s":
                text += self.step(place, back, ahead, inner)
                names.append(place)
                continue
            word, side, asked = ("choose", "way", ' "Which?"') if shape == "c" else ("together", "branch", "")
            text += f"{word}{asked} {{\n"
            for letter in "xy":
                inside = [f"{place}{letter}{each}" for each in range(self.random.choice([1, 1, 2]))]
                free = shape == "c"  # a jump may leave a way, but no branch
                steps = (self.step(each, back if free else [], ahead if free else [], inner) for each in inside)
                text += f'{side} "{letter}" {{\n{"".join(steps)}}}\n'
                names += inside
            text += "}\n"
        return text, names

    def step(self, name: str, back: list[str], ahead: list[str], inner: bool) -> str:
        """One step on a line of its own."""
        pick, chance = self.random.choice, self.random.random
        on = ("", "", "") if self.timed else (" on tip", " on tray", "", "")
        if inner and chance() < 0.12:
            clauses = [f"perform extra{pick(on)}", pick(["", "", "takes at least 40 min", "takes 5 to 200 min"])]
        else:
            clauses = [pick(TAKES) if self.timed else "takes 1 min"]
        if not self.timed:
            clauses += [f"does {pick(ACTS)}{pick(on)}" for _ in range(pick([0, 1, 1, 2]))]
        clauses += ['when "so"'] if chance() < 0.15 else []
        clauses += [self.asking(number, [*back, name], ahead, inner) for number in range(pick([0, 0, 0, 1, 1, 2]))]
        clauses += [f"next go to {pick(ahead)}"] if ahead and chance() < 0.08 else []
        return f'step {name} "{name}" {{ {"  ".join(clauses)} }}\n'

    def asking(self, number: int, back: list[str], ahead: list[str], inner: bool) -> str:
        """A check and what follows on no."""
        pick = self.random.choice
        lose = "" if self.timed else pick(["", "", "lose clean then ", "lose dry then ", "lose packed then "])
        last = ['stop "x"', "continue", *(f"go to {each}" for each in ahead)]
        outcomes = ['stop "x"', "continue", "continue", *(f"go to {each}" for each in ahead)]
        outcomes += [f"repeat from {pick(back)} at most {pick([1, 2, 6])} times then {pick(last)}"] * 2
        outcomes += [f"perform extra then {pick(last)}"] if inner else []
        return f'check "Good {number}?" else {lose}{pick(outcomes)}'

    def limits(self, names: list[str], count: int) -> str:
        """Limits between moments that come in the order of the text, each on a line of its own."""
        pick, text = self.random.choice, ""
        for _ in range(count if len(names) > 1 else 0):
            earlier, later = sorted(self.random.sample(range(len(names)), 2))
            begins = pick([f"{names[earlier]} starts", f"{names[earlier]} ends", "procedure starts"])
            ends = pick([f"{names[later]} starts", f"{names[later]} ends", "procedure ends"])
            least, most = self.random.randint(1, 20), self.random.randint(20, 150)
            bound = pick([f"within {most} min", f"within {most} min", f"at least {least} min and within {most} min"])
            lifting = [each for each in names[:later] if len(each) == 2]
            unless = f" unless {pick(lifting)}" if lifting and self.random.random() < 0.15 else ""
            text += f"limit {ends} {bound} after {begins}{unless}\n"
        return text


def drawn(seed: int, timed: bool) -> str:
    """The text of an office with the procedure `work`, which may perform `extra`."""
    draw = Draw(Random(seed), timed)
    pick = draw.random.choice
    extra, names = draw.body("r", 2, inner=False)
    work, more = draw.body("s", 5, inner=True)
    if timed:
        extra, work = extra + draw.limits(names, pick([0, 0, 1])), work + draw.limits(more, pick([1, 2, 3]))
        return (
            f'{TRADE}procedure extra "Extra" {{ by assistant\n{extra}}}\n'
            f'procedure work "Work" {{ by assistant\n{work}}}\n'
        )
    comes, handles = pick(["clean", "soiled", "clean, dry"]), pick(["tip", "tip, tray"])
    return (
        f'{TRADE}procedure extra "Extra" {{ by assistant\nhandles {pick(["tip", "tip, tray"])} from {comes}, there'
        f" to {pick(STATES)}\n{extra}}}\n"
        f'procedure work "Work" {{ by assistant\nhandles {handles} from soiled, there to {pick(STATES)}\n'
        f'step begin "Begin" {{ does wash }}\n{work}}}\n'
    )


# ── Weakened until it is accepted ───────────────────────────────────────────────────────────────


def accepted(seed: int, timed: bool) -> tuple[str, Office] | None:
    """An office that sopc accepts, as near to the one drawn as it gets line by line; None when it does not."""
    text = drawn(seed, timed)
    for _ in range(MOST_ROUNDS):
        office, findings = load_text(text)
        if office is None:
            return None
        refusals = [each for each in (*findings, *check(office, TODAY)) if _refuses(each)]
        if not refusals:
            return text, office
        weaker = _weaker(text, refusals[0])
        if weaker is None:
            return None
        text = weaker
    return None


def _refuses(finding: Finding) -> bool:
    return finding.code in UNPROVEN or (finding.severity is not Severity.REMARK and finding.code[0] in "OTPL")


def _weaker(text: str, refusal: Finding) -> str | None:
    """The text with what is refused left out, promised less, or allowed more time; None where that cannot be done."""
    mend = MENDS.get(refusal.code)
    if mend is None:
        return None
    lines = text.split("\n")
    place = refusal.span.line - 1
    if refusal.code in ("T01", "T02"):
        return "\n".join(map(_longer, lines))
    lines[place] = mend(lines[place], refusal.span.column - 1)
    weaker = "\n".join(lines)
    return weaker if weaker != text else None


def _longer(line: str) -> str:
    if not line.startswith("limit"):
        return line
    return re.sub(r"within (\d+) min", lambda found: f"within {int(found[1]) * 23 // 20 + 1} min", line)


def _undone(line: str, column: int) -> str:
    before, act = line[:column], line[column:]
    if before.endswith(("else ", "then ")):
        return before + re.sub(r"^perform \w+ then ", "", act)
    return before + re.sub(r"^(does|perform) \w+( on \w+)?", "", act)


def _left_out(line: str, column: int) -> str:
    return "" if line.startswith("limit") else line


def _promising_less(line: str, column: int) -> str:
    return re.sub(r" to [a-z, ]+$", " to there", line)


MENDS: dict[str, Callable[[str, int], str]] = {
    "O01": _undone,
    "O03": _undone,
    "O05": _undone,
    "O09": _undone,
    "O02": _promising_less,
    "T01": lambda line, column: _longer(line),
    "T02": lambda line, column: _longer(line),
    "T05": _left_out,
    "T07": _left_out,
}
