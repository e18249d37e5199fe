"""The list of requirements as an officer reads it, and as another program does."""

from __future__ import annotations

import json
from dataclasses import replace

from sopc.documents.requirement_table import requirement_plan
from sopc.press.requirements import requirement_data, requirement_list
from tests.checks.small_offices import TODAY, office

OFFICE = """
requirement R-1 "Washes are kept three years" {
  group "Records"
  requires a log that meets this, kept at least 3 years
  requires a log that meets this, with columns for date
}
requirement R-2 "The work is watched" { group "Evaluation" needs eyes }
requirement R-3 "Lasers are vented" { group "Evaluation" needs eyes }
requirement R-4 "Implants are held back" { group "Evaluation" needs eyes }
set aside R-3 until 2027-03-01 by dentist because "The vent comes in spring."
not applicable R-4 because "We place none."
log book "Wash book" { id "L-1" sheet monthly 9 rows column on_date "Date" date keep %d years meets R-1 }
"""


def test_each_stands_under_its_group_with_what_shows_it_or_the_reason() -> None:
    assert requirement_list(office(OFFICE % 3), TODAY) == (
        "Example, 2026-12-01: 4 requirements: 1 met by what is written, 1 to be seen with own eyes, 1 set\n"
        "aside, 1 not applicable. Whether what is written is done is seen at work, not here.\n"
        "\n"
        "Records\n"
        "  R-1  met.  Washes are kept three years\n"
        "      Shown by: L-1.\n"
        "\n"
        "Evaluation\n"
        "  R-2  needs eyes.  The work is watched\n"
        "  R-3  set aside.  Lasers are vented\n"
        "      Until 2027-03-01, by dentist: The vent comes in spring.\n"
        "  R-4  not applicable.  Implants are held back\n"
        "      We place none.\n"
    )


def test_what_the_office_asks_of_itself_stands_behind_what_packs_ask() -> None:
    """The office's own text may name its rules before those of a pack are needed; the list begins with what binds."""
    whole = office(OFFICE % 3)
    packs = {"R-2", "R-3", "R-4"}
    requirements = {
        name: replace(each, pack="some_pack" if name in packs else "") for name, each in whole.requirements.items()
    }
    text = requirement_list(replace(whole, requirements=requirements), TODAY)
    assert text.index("\nEvaluation\n") < text.index("\nRecords\n")
    register = requirement_plan(replace(whole, requirements=requirements), TODAY)
    assert [section.heading for section in register.sections] == ["Evaluation", "Records"]


def test_what_is_lacking_and_what_is_asked_for_stand_under_an_open_one() -> None:
    text = requirement_list(office(OFFICE % 2), TODAY)
    assert "  R-1  OPEN.  Washes are kept three years\n" in text
    assert "Lacking: log “Wash book” (L-1): it is kept 2 years, 3 are asked for.\n" in text
    assert "Asked for: a log that meets this, kept at least 3 years.\n" in text


def test_a_program_reads_states_sentences_and_reasons() -> None:
    told = json.loads(requirement_data(office(OFFICE % 2), TODAY))
    rows = {row["name"]: row for row in told["requirements"]}
    assert {name: row["state"] for name, row in rows.items()} == {
        "R-1": "open",
        "R-2": "needs eyes",
        "R-3": "set aside",
        "R-4": "not applicable",
    }
    assert [each["verdict"] for each in rows["R-1"]["sentences"]] == ["open", "met"]
    assert rows["R-3"]["set_aside"] == {"until": "2027-03-01", "by": "dentist", "because": "The vent comes in spring."}
    assert rows["R-4"]["not_applicable"] == "We place none."


def test_no_letter_of_a_text_steers_the_terminal() -> None:
    text = requirement_list(office(OFFICE.replace("We place none.", "We \x1b[2J place none.") % 3), TODAY)
    assert "\x1b" not in text
    assert "We \ufffd[2J place none." in text
