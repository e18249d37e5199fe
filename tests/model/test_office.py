"""The office as it comes out of its text: defaults filled in, numbers counted, overrides kept, places right."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import sopc
from sopc.language.folder import DiskFolder
from sopc.library import load_from
from sopc.model.nouns import Choice, Decider, Office, Together

DEMO = Path(__file__).resolve().parents[2] / "protocols" / "larkspur_pass" / "2026-12"
AROUND = """
office "Birch Lane Dental" { open mon to wed, fri 08:00 to 12:00 open mon 13:00 to 17:00 closed 2026-12-24 "eve" }
role assistant "Dental assistant"
role dentist "Dentist"
area bench "Bench"
area desk "Desk"
ppe gloves "Gloves"
ppe mask "Mask"
device bath "Bath" { program short "Short" { lasts 3 to 5 min by machine } }
"""


def office(text: str, **more: str) -> Office:
    made, findings = sopc.load_text({"office.sop": AROUND + text, **more})
    assert made is not None, findings
    return made


def test_a_step_takes_over_what_the_procedure_says_unless_it_says_otherwise() -> None:
    work = office(
        'procedure work "Work" { by assistant wearing gloves in bench\n'
        '  step a "A" { takes 1 min }\n  step b "B" { by dentist wearing mask in desk }\n'
        '  step c "C" { wearing nothing }\n}'
    ).procedures["work"]
    a, b, c = work.steps()
    assert a.by is not None
    assert a.by.roles == ((1, "assistant"),)
    assert (a.wearing, a.area) == (("gloves",), "bench")
    assert b.by is not None
    assert b.by.roles == ((1, "dentist"),)
    assert (b.wearing, b.area) == (("mask",), "desk")
    assert c.wearing == ()


def test_steps_are_numbered_through_and_lettered_inside_ways_and_branches() -> None:
    work = office(
        'procedure work "Work" { by assistant step a "A"\n'
        '  choose "Which?" { way "x" { step b "B" step c "C" } way "y" { step d "D" } }\n'
        '  together { branch "p" { step e "E" } branch "q" { step f "F" } }\n  step g "G"\n}'
    ).procedures["work"]
    assert [step.number for step in work.steps()] == ["1", "2A.1", "2A.2", "2B.1", "3A.1", "3B.1", "4"]
    assert [part.number for part in work.parts if isinstance(part, Choice | Together)] == ["2", "3"]


def test_a_step_that_runs_a_program_lasts_as_long_as_the_program() -> None:
    step = office('procedure work "Work" { by assistant step a "A" { runs bath short } }').procedures["work"].step("a")
    assert step is not None
    assert step.takes is not None
    assert (step.takes.least.ticks(), step.takes.decider) == (180, Decider.MACHINE)
    assert step.takes.most is not None
    assert step.takes.most.ticks() == 300


def test_who_decides_a_duration_is_what_the_text_says() -> None:
    work = office(
        'procedure work "Work" { by assistant step a "A" { takes 1 to 2 min }\n'
        '  step b "B" { takes 1 to 2 min by machine }\n'
        '  step c "C" { takes 1 to 2 min until "dry" } step d "D" { takes 2 min by machine } }'
    ).procedures["work"]
    takes = [step.takes for step in work.steps()]
    assert [each.decider for each in takes if each] == [
        Decider.STAFF,
        Decider.MACHINE,
        Decider.OUTCOME,
        Decider.MACHINE,
    ]
    assert [each.contingent for each in takes if each] == [False, True, True, False]


def test_an_override_replaces_the_pack_s_clause_and_keeps_both_wordings_and_the_reason() -> None:
    made = office(
        'use pack shed\noverride supply gel { use within 12 h because "Our label says so." }\n',
        **{"packs/shed/pack.sop": 'supply gel "Gel" { use within 24 h contact 2 min }\n'},
    )
    gel = made.supplies["gel"]
    assert gel.use_within is not None
    assert gel.use_within.ticks() == 12 * 3600
    assert gel.contact is not None
    (kept,) = gel.overridden
    assert (kept.pack_text, kept.office_text, kept.because) == (
        "use within 24 h",
        "use within 12 h",
        "Our label says so.",
    )
    assert (kept.pack_span.file, kept.office_span.file) == ("packs/shed/pack.sop", "office.sop")


def test_opening_hours_and_closed_days_make_the_calendar() -> None:
    calendar = office("").calendar
    assert calendar.open_days[0] == ((480, 720), (780, 1020))
    assert not calendar.is_open(date(2026, 12, 3))  # a Thursday
    assert calendar.is_open(date(2026, 12, 4))
    assert calendar.closed_reason(date(2026, 12, 24)) == "eve"


def test_the_digest_changes_with_any_text_and_with_nothing_else() -> None:
    assert office("").digest == office("").digest
    assert office("").digest != office('term "A" "B"').digest


def test_every_place_in_the_demo_points_at_the_name_it_stands_for() -> None:
    made, findings, reading = load_from(DiskFolder(DEMO))
    assert made is not None, findings
    kinds = (
        "sources roles areas ppe devices items conditions supplies actions procedures tasks logs training requirements"
    )
    mappings = [getattr(made, kind) for kind in kinds.split()]
    things = [thing for mapping in mappings for thing in mapping.values()]
    things += [step for procedure in made.procedures.values() for step in procedure.steps()]
    assert len(things) > 500
    for thing in things:
        line = reading.files[thing.span.file].line(thing.span.line)
        assert line[thing.span.column - 1 : thing.span.end_column - 1] == thing.name
