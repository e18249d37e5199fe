"""A change is told once, and what only looks different is no change."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import fields
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sopc.changes.change import Change, How, Kind
from sopc.changes.compare import DECLARED, LISTS, PLAIN_LISTS, compare
from sopc.changes.matching import matched, staying
from sopc.changes.meaning import merely_worded
from sopc.model.nouns import Office
from tests.changes.conftest import TEXTS, built

Edit = Callable[..., Office]


def told(changes: tuple[Change, ...]) -> list[tuple[Kind, str, How, str]]:
    return [(change.kind, change.name, change.how, change.facet) for change in changes]


def test_an_office_does_not_differ_from_itself(office: Office) -> None:
    assert compare(office, office) == ()


def test_an_office_read_twice_does_not_differ(office: Office) -> None:
    assert compare(office, built(TEXTS)) == ()


def declarations(text: str) -> list[str]:
    return [part for part in re.split(r"\n(?=[a-z])", text) if part.strip()]


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_declarations_and_files_is_no_change(dice: random.Random) -> None:
    parts = [part for text in TEXTS.values() for part in declarations(text)]
    dice.shuffle(parts)
    cut = dice.randrange(1, len(parts))
    shuffled = {"a.sop": "\n".join(parts[:cut]) + "\n", "b.sop": "\n".join(parts[cut:]) + "\n"}
    assert compare(built(TEXTS), built(shuffled)) == ()


@pytest.mark.parametrize(
    ("was", "becomes"),
    [
        ("use within 8 h", "use within 480 min"),
        ("takes 1 to 3 min perform hands", "\n  takes  60 to 180 s\n  perform hands # on the way\n"),
        ("wearing gown, mask, eyewear, gloves", "wearing gloves, eyewear, mask, gown"),
        ('pack "Pack" { needs clean, dry', 'pack "Pack" { needs dry, clean'),
    ],
)
def test_the_same_said_otherwise_is_no_change(office: Office, edited: Edit, was: str, becomes: str) -> None:
    assert compare(office, edited((was, becomes))) == ()


CHANGED, REMOVED, REWORDED = How.CHANGED, How.REMOVED, How.REWORDED
REPROCESS, LOADS = (Kind.PROCEDURE, "reprocess"), (Kind.LOG, "loads")
LABEL = 'step label "Write date, load and initials on the pouch" { in packing takes 30 to 60 s }'
WORN, ASKED_FOR = "wearing mask or gown, gloves", "protective equipment asked for"
SEEDS = [
    # the office, its hours, its people and places
    ("altitude 1450 m", "altitude 1500 m", Kind.OFFICE, "office", CHANGED, "altitude"),
    ("open fri 08:00 to 12:00", "open fri 08:00 to 13:00", Kind.CALENDAR, "calendar", CHANGED, "open"),
    ('"winter break"', '"year\'s end"', Kind.CALENDAR, "calendar", CHANGED, "closed"),
    ("on duty 1 to 3", "on duty 1 to 2", Kind.ROLE, "assistant", CHANGED, "number on duty"),
    ('area sink "Receiving and cleaning"', 'area sink "Receiving"', Kind.AREA, "sink", REWORDED, "title"),
    ("flow soiled_zone to clean_zone", "", Kind.FLOW, "soiled_zone to clean_zone", REMOVED, ""),
    ('zone clean_zone "Clean"', f'zone clean_zone "Clean" {{ {WORN} }}', Kind.ZONE, "clean_zone", How.ADDED, ASKED_FOR),
    ("{ needs packaged brings", f"{{ {WORN} needs packaged brings", Kind.ACTION, "sterilize", How.ADDED, ASKED_FOR),
    ("to clean_zone", "to clean_zone only dry", Kind.FLOW, "soiled_zone to clean_zone", How.ADDED, "only what is"),
    ('zone clean_zone "Clean"', 'zone clean_zone "Clean" { admits dry }', Kind.ZONE, "clean_zone", How.ADDED, "admits"),
    ('zone clean_zone "Clean"', 'zone clean_zone "Clean" { keeps dry }', Kind.ZONE, "clean_zone", How.ADDED, "keeps"),
    ("is washer { in sink", "is washer { fixed in sink", Kind.DEVICE, "bath", How.ADDED, "built into"),
    ("put on 4 take off 1", "put on 5 take off 1", Kind.PPE, "gloves", CHANGED, "put on"),
    # things
    ("holds 6 cassette", "holds 4 cassette", Kind.DEVICE, "autoclave", CHANGED, "capacity"),
    ("at 132 C for 4 min", "at 134 C for 4 min", Kind.DEVICE, "autoclave", CHANGED, "exposure"),
    ("lasts 38 to 52 min", "lasts 36 to 52 min", Kind.DEVICE, "autoclave", CHANGED, "duration"),
    ("suits wrapped, hollow", "suits wrapped", Kind.DEVICE, "autoclave", CHANGED, "loads it is for"),
    ('serial "0042"', 'serial "0043"', Kind.DEVICE, "bath", CHANGED, "serial"),
    ("critical heat stable hinged", "critical heat stable", Kind.ITEM, "cassette", CHANGED, "properties"),
    ("{ excludes clean }", "{ }", Kind.CONDITION, "soiled", REMOVED, "excludes"),
    ("use within 8 h", "use within 12 h", Kind.SUPPLY, "detergent", CHANGED, "use within"),
    ("dilute 1 part to 9 parts", "dilute 1 part to 19 parts", Kind.SUPPLY, "bleach", CHANGED, "dilution"),
    ("strength 0.525 %", "strength 0.5 %", Kind.SUPPLY, "bleach", CHANGED, "strength"),
    ("works at 5000 to", "works at 4000 to", Kind.SUPPLY, "bleach", CHANGED, "strength the label asks for"),
    ("container 1 L", "container 2 L", Kind.SUPPLY, "bleach", CHANGED, "container"),
    ("stays wet 12 min", "stays wet 11 min", Kind.SUPPLY, "bleach", CHANGED, "stays wet"),
    ("lasts contact time removes chemicals", "lasts contact time", Kind.ACTION, "soak", CHANGED, "removes chemicals"),
    ("contact 5 to 10 min", "contact 4 to 10 min", Kind.SUPPLY, "detergent", CHANGED, "contact time"),
    ("{ needs packaged brings", "{ needs packaged, dry brings", Kind.ACTION, "sterilize", CHANGED, "needs"),
    ("dry 20 to 30 min pressure", "dry 25 to 30 min pressure", Kind.DEVICE, "autoclave", CHANGED, "drying time"),
    ("steam prevacuum at 132", "steam gravity at 132", Kind.DEVICE, "autoclave", CHANGED, "how it works"),
    ("at 121 C for 25 min", "at 121 C for 20 min", Kind.MINIMUM, "gravity_row", CHANGED, "exposure"),
    ("gravity for wrapped", "gravity for textiles", Kind.MINIMUM, "gravity_row", CHANGED, "loads it is for"),
    ("hot water before", "hot water without", Kind.MINIMUM, "washer_row", CHANGED, "how it works"),
    ("reading C at most 43", "reading C at most 40", Kind.BOUNDS, "bath_water", CHANGED, "what is accepted"),
    # procedures
    ("revision 3 effective", "revision 4 effective", *REPROCESS, CHANGED, "revision"),
    ("by hygienist takes 1 to 2 min", "by dentist takes 1 to 2 min", *REPROCESS, CHANGED, "who does it"),
    ("  by assistant or hygienist\n  wearing", "  by assistant\n  wearing", *REPROCESS, CHANGED, "who does it"),
    ("wearing gown, mask, eyewear, gloves", "wearing gown, mask, gloves", *REPROCESS, CHANGED, "protective equipment"),
    ("takes at least 20 s", "takes at least 30 s", Kind.PROCEDURE, "hands", CHANGED, "time it takes"),
    ("second person dentist", "", *REPROCESS, REMOVED, "second person"),
    ("ster takes 10 to 30", "ster another person than cycle takes 10 to 30", *REPROCESS, How.ADDED, "another person"),
    ("at most 2 times", "at most 3 times", *REPROCESS, CHANGED, "check"),
    ('check "Whole and sharp?" else stop "Put it in the repair box"', "", *REPROCESS, REMOVED, "check"),
    ("Keep the lid on.", "Do keep the lid on.", *REPROCESS, CHANGED, "safety message"),
    ("starts within 60 min after", "starts within 45 min after", *REPROCESS, CHANGED, ""),
    ("limit cool starts at least 5 min after cycle ends", "", *REPROCESS, REMOVED, ""),
    ('way "By hand" when', 'way "By hand, at the sink" when', *REPROCESS, REWORDED, "title"),
    (LABEL, "", *REPROCESS, REMOVED, ""),
    ("record loads column temperature, result", "record loads column result", *REPROCESS, CHANGED, "record"),
    ('"Soak the open cassette in detergent"', '"Put the open cassette in detergent"', *REPROCESS, REWORDED, "title"),
    # tasks, logs, training, requirements
    ("on mon if closed next", "on tue if closed next", Kind.TASK, "spore_test", CHANGED, "when it is due"),
    ("each patient by assistant", "each patient by hygienist", Kind.TASK, "wipe", CHANGED, "who does it"),
    ("monthly 25 rows", "monthly 30 rows", *LOADS, CHANGED, "number of rows"),
    ("from 132 to 137", "from 132 to 138", *LOADS, CHANGED, "what is accepted"),
    ('  column who "Initials" initials\n', "", *LOADS, REMOVED, ""),
    ("keep 3 years", "keep 5 years", *LOADS, CHANGED, "how long it is kept"),
    ("every 365 days", "every 180 days", Kind.TRAINING, "start", CHANGED, "least often, in days"),
    ('group "Training" needs eyes', 'group "Training"', Kind.REQUIREMENT, "EYE-01", CHANGED, "needs eyes"),
    ("that meets this", "that meets this, recorded", Kind.REQUIREMENT, "CLE-01", CHANGED, "what it requires"),
    ("until 2027-03-01", "until 2027-06-01", Kind.SET_ASIDE, "WAT-01", CHANGED, "until"),
    ('not applicable LAS-01 because "the office has no laser"', "", Kind.NOT_APPLICABLE, "LAS-01", REMOVED, ""),
    ("is used, cleaned and kept", "is used, cleaned and stored", Kind.TERM, "IFU", REWORDED, "text"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "becomes", "kind", "name", "how", "facet"), SEEDS, ids=lambda value: str(value)[:24])
def test_one_edit_is_one_change(
    office: Office, edited: Edit, was: str, becomes: str, kind: Kind, name: str, how: How, facet: str
) -> None:
    assert told(compare(office, edited((was, becomes)))) == [(kind, name, how, facet)]


def renamed(old: str, new: str) -> dict[str, str]:
    """The texts with a name changed everywhere but in quotation marks."""

    def outside(match: re.Match[str]) -> str:
        return match[1] or re.sub(rf"\b{old}\b", new, match[2])

    pattern = re.compile(r'("""[\s\S]*?"""|"[^"\n]*")|([^"]+)')
    return {name: pattern.sub(outside, text) for name, text in TEXTS.items()}


@pytest.mark.parametrize(
    ("old", "new", "kind"),
    [
        ("detergent", "bath_soap", Kind.SUPPLY),
        ("hygienist", "hyg", Kind.ROLE),
        ("reprocess", "clean_all", Kind.PROCEDURE),
    ],
)
def test_a_new_name_with_the_same_content_is_one_renaming(office: Office, old: str, new: str, kind: Kind) -> None:
    texts = renamed(old, new)
    assert told(compare(office, built(texts))) == [(kind, new, How.RENAMED, "name")]


def test_a_renamed_step_is_told_once_however_often_it_is_pointed_at(office: Office) -> None:
    (change,) = compare(office, built(renamed("carry", "bring_in")))
    assert (change.how, change.part_name, change.old, change.new) == (How.RENAMED, "bring_in", "carry", "bring_in")


WET = '  step wet "Wet the hands under running water" { takes at least 5 s }\n'
RUB = '  step rub "Rub soap over all sides of both hands" { takes at least 20 s cite public_guide "I.2" read }\n'
RINSE = '  step rinse "Rinse and dry with a paper towel" { takes 20 to 40 s }\n'


def test_a_step_carried_elsewhere_is_one_move(office: Office, edited: Edit) -> None:
    (change,) = compare(office, edited((WET + RUB + RINSE, RUB + RINSE + WET)))
    assert (change.how, change.part_name) == (How.MOVED, "wet")
    assert change.old == "first"
    assert "Rinse and dry" in change.new


def test_a_step_put_in_between_moves_no_other(office: Office, edited: Edit) -> None:
    (change,) = compare(office, edited((RUB, '  step ring "Take off rings and watch" { takes 5 to 9 s }\n' + RUB)))
    assert (change.how, change.part_name) == (How.ADDED, "ring")


def test_a_way_moved_with_its_steps_is_one_move(office: Office, edited: Edit) -> None:
    text = TEXTS["procedures.sop"]
    start, end = text.index('    way "By machine"'), text.index('    way "By hand"')
    second_end = text.index('  step rinse "Rinse under')
    by_machine, by_hand = text[start:end], text[end:second_end].removesuffix("  }\n")
    (change,) = compare(office, edited((by_machine + by_hand, by_hand + by_machine)))
    assert change.how is How.MOVED


def test_a_way_that_goes_takes_its_steps_with_it(office: Office, edited: Edit) -> None:
    text = TEXTS["procedures.sop"]
    together = text[text.index('    branch "Getting') : text.index("  step load_it")].removesuffix("  }\n")
    changes = compare(office, edited((together, "")))
    assert [(change.how, "Fill the water tank" in change.old) for change in changes] == [(How.REMOVED, True)]


def test_a_change_names_the_lines_of_both_texts(office: Office, edited: Edit) -> None:
    (change,) = compare(
        office, edited(('term "IFU"', '# a line more\nterm "IFU"'), ("use within 8 h", "use within 6 h"))
    )
    assert change.old_span is not None
    assert change.new_span is not None
    assert "use within 8 h" in TEXTS["office.sop"].splitlines()[change.old_span.line - 1]
    assert (change.old, change.new) == ("8\u00a0h", "6\u00a0h")


@given(st.permutations(range(7)))
def test_what_stays_is_a_longest_rising_run(order: list[int]) -> None:
    kept = sorted(staying(order))
    values = [order[place] for place in kept]
    assert values == sorted(values)
    longest = max(size for size in range(8) for run in combinations(order, size) if list(run) == sorted(run))
    assert len(kept) == longest


def test_two_things_that_share_nothing_are_not_taken_for_one() -> None:
    assert matched({"a": "Front desk"}, {"b": "Dental hygienist"}, str) == []


@pytest.mark.parametrize(
    ("old", "new", "same"),
    [
        ("Put the lid on the bath.", "Place the lid on the bath.", True),
        ("Soak for 5 minutes.", "Soak for 50 minutes.", False),
        ("Use gloves.", "Do not use gloves.", False),
        ("Wipe before use, then let dry.", "Wipe after use, then let dry.", False),
        ("Call the coordinator.", "Open the window and count packs.", False),
    ],
)
def test_a_number_or_a_not_is_never_mere_wording(old: str, new: str, same: bool) -> None:
    assert merely_worded(old, new) is same


def test_nothing_an_office_says_is_left_out_of_the_comparison() -> None:
    looked_at = {name for _, name in DECLARED} | {name for _, name, _ in LISTS} | {name for _, name in PLAIN_LISTS}
    looked_at |= {"premises", "calendar", "flow"}
    assert {each.name for each in fields(Office)} - looked_at == {"digest"}
