"""Random small offices: those that sopc accepts are played through, and nothing may go wrong on the floor."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st

from sopc.findings import Severity
from sopc.library import check, load_text
from tests.playthrough.player import Breach
from tests.playthrough.runs import played

TODAY = date(2026, 12, 1)
TRADE = """
office "Example" { open mon to fri 08:00 to 17:00  reaction 2 min }
role assistant "Assistant" { on duty 2 }
condition soiled "Soiled" { excludes clean }
condition clean "Clean"
condition wet "Wet" { excludes dry }
condition dry "Dry"
item tip "Tip"
kind washer "Washer"
device tumbler "Machine" is washer { program quick "Quick" { lasts 10 to 25 min by machine } }
action wash "Wash" { brings clean, wet }
action dry_off "Dry" { needs clean  brings dry }
action moisten "Moisten" { brings wet }
"""
DOES = ("wash", "wash", "dry_off", "moisten")
TAKES = (
    "takes 1 to 3 min",
    "takes 5 min",
    "takes 2 to 30 min by machine",
    'takes 5 to 12 min until "done"',
    "takes at least 2 min",
    "runs tumbler quick",
    "",
)


@st.composite
def steps(draw: st.DrawFn, name: str, back: list[str], acting: bool) -> str:
    clauses = [draw(st.sampled_from(TAKES))]
    clauses += [f"does {draw(st.sampled_from(DOES))}"] if acting and draw(st.integers(0, 2)) else []
    clauses += ['when "so"'] if draw(st.integers(0, 5)) == 0 else []
    if draw(st.integers(0, 3)) == 0:
        lose = draw(st.sampled_from(["", "", "lose clean then ", "lose dry then "])) if acting else ""
        outcomes = ['stop "x"', "continue"]
        outcomes += ["perform extra then continue"] if name.startswith("s") else []
        outcomes += [f"repeat from {draw(st.sampled_from([*back, name]))} at most {{}} times then {{}}"] * 3
        outcome = draw(st.sampled_from(outcomes))
        last = draw(st.sampled_from(['stop "x"', "continue"]))
        clauses.append(f'check "Good?" else {lose}{outcome.format(draw(st.integers(1, 3)), last)}')
    return f'step {name} "{name}" {{ {"  ".join(clauses)} }}\n'


@st.composite
def bodies(draw: st.DrawFn, prefix: str, most: int, acting: bool) -> tuple[str, list[str]]:
    text = ""
    names: list[str] = []
    top: list[str] = []  # those a repeat may lead back to
    for place in range(draw(st.integers(2, most))):
        name = f"{prefix}{place}"
        shape = draw(st.sampled_from("sssssct"))
        if shape == "s":
            text += draw(steps(name, top, acting))
            names.append(name)
            top.append(name)
            continue
        word, inner = ("choose", "way") if shape == "c" else ("together", "branch")
        sides = []
        for side in "xy" if shape == "c" else "uv":
            inside = [f"{name}{side}{number}" for number in range(draw(st.integers(1, 2)))]
            sides.append(f'{inner} "{side}" {{ {"".join(draw(steps(each, [], acting)) for each in inside)} }}')
            names += inside
        asked = ' "Which?"' if shape == "c" else ""
        text += f"{word}{asked} {{ {' '.join(sides)} }}"
    return text, names


@st.composite
def limits(draw: st.DrawFn, names: list[str]) -> str:
    earlier, later = sorted(draw(st.lists(st.sampled_from(range(len(names))), min_size=2, max_size=2, unique=True)))
    moments = [f"{names[later]} {draw(EDGES)}", f"{names[earlier]} {draw(EDGES)}"]
    if draw(st.integers(0, 4)) == 0:
        moments[1] = "procedure starts"
    bound = draw(
        st.sampled_from(["within {0} min", "within {0} min", "at least {1} min", "at least {1} min and within {0} min"])
    )
    most, least = draw(st.integers(5, 150)), draw(st.integers(1, 20))
    # An exception done after what it lifts, or side by side with it, comes too late when the work stops first.
    lifting = [name for name in names[:later] if not {"u", "v"}.intersection(name)]
    unless = f" unless {draw(st.sampled_from(lifting))}" if lifting and draw(st.integers(0, 5)) == 0 else ""
    return f"limit {moments[0]} {bound.format(max(most, least), least)} after {moments[1]}{unless}\n"


UNPROVEN = "T06"
EDGES = st.sampled_from(["starts", "ends"])


@st.composite
def timed_offices(draw: st.DrawFn) -> str:
    """Procedures with limits, and nothing done to items."""
    inner, _ = draw(bodies("r", 2, acting=False))
    body, names = draw(bodies("s", 6, acting=False))
    bounds = "".join(draw(limits(names)) for _ in range(draw(st.integers(1, 3)))) if len(names) > 1 else ""
    first = f'procedure extra "Extra" {{ by assistant\n{inner}}}\n'
    return f'{TRADE}{first}procedure work "Work" {{ by assistant\n{body}{bounds}}}\n'


@st.composite
def working_offices(draw: st.DrawFn) -> str:
    """Procedures that do things to an item; they begin well, so that some of them end well."""
    inner, _ = draw(bodies("r", 2, acting=True))
    body, _ = draw(bodies("s", 5, acting=True))
    handles = f"handles tip from soiled to {draw(STATES)}"
    washed = 'step begin "Begin" { does wash }\n'
    first = 'procedure extra "Extra" { by assistant handles tip from clean to clean\n' + inner + "}\n"
    return f'{TRADE}{first}procedure work "Work" {{ by assistant {handles}\n{washed}{body}}}\n'


STATES = st.sampled_from(["clean", "clean", "clean, wet", "wet", "clean, dry"])


def breaches(text: str) -> list[Breach]:
    """What goes wrong in the playthroughs of an office that sopc accepts; refused offices are left out."""
    office, findings = load_text(text)
    assert office is not None, findings
    findings += check(office, TODAY)
    heavy = [each for each in findings if each.severity is not Severity.REMARK and each.code[0] in "OTP"]
    heavy += [each for each in findings if each.code == UNPROVEN]
    event("refused" if heavy else "accepted")
    assume(not heavy)
    return played(office, 40, seed=1, names=["work"]).of("order", "promise", "lost", "loop", "step", "time")


@settings(max_examples=60)
@given(timed_offices())
def test_accepted_limits_can_be_kept_on_the_floor(text: str) -> None:
    assert breaches(text) == []


@settings(max_examples=60)
@given(working_offices())
def test_accepted_orders_leave_nothing_undone_on_the_floor(text: str) -> None:
    assert breaches(text) == []


@pytest.mark.long
@settings(max_examples=1500)
@given(st.one_of(timed_offices(), working_offices()))
def test_nothing_breaks_in_a_thousand_accepted_offices(text: str) -> None:
    assert breaches(text) == []
