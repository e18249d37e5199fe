"""The binder's registers: requirements, dilutions, devices, tasks, training, index."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from syrupy.assertion import SnapshotAssertion

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import State
from sopc.documents.binder import binder_documents, with_page_counts
from sopc.documents.device_table import device_plan
from sopc.documents.dilution_table import dilution_plan, strength
from sopc.documents.register import Plan
from sopc.documents.requirement_places import places
from sopc.documents.requirement_table import requirement_plan
from sopc.documents.sop import sop_document
from sopc.documents.task_overview import task_plan
from sopc.documents.training_plan import roles_concerned, sign_off_plan, training_plan
from sopc.documents.wording import natural
from sopc.model.nouns import Office
from sopc.trade.quantities import quantity

TODAY = date(2026, 11, 25)


def text_of(plan: Plan) -> str:
    """A plan as lines of text, a row a line, for snapshots that can be read."""
    lines = [plan.title, plan.lead]
    for section in plan.sections:
        lines += ["", section.heading, section.text]
        for table in section.tables:
            lines.append(" | ".join(column.title for column in table.columns))
            lines += [
                " | ".join("; ".join(filter(None, (cell.text, *cell.under))) for cell in row) for row in table.rows
            ]
    return "\n".join(lines).replace("\u00a0", " ")


@pytest.mark.parametrize("plan", [dilution_plan, device_plan, task_plan, training_plan, sign_off_plan])
def test_a_register_says(plan: object, office: Office, snapshot: SnapshotAssertion) -> None:
    assert callable(plan)
    assert text_of(plan(office)) == snapshot


def test_the_register_of_requirements_says(office: Office, snapshot: SnapshotAssertion) -> None:
    assert text_of(requirement_plan(office, TODAY)) == snapshot


@pytest.mark.parametrize(
    ("name", "state"),
    [
        ("CLE-01", State.MET),
        ("STE-01", State.CLAIMED),
        ("EYE-01", State.EYES),
        ("WAT-01", State.ASIDE),
        ("LAS-01", State.NOT_APPLICABLE),
    ],
)
def test_each_requirement_has_one_state(office: Office, name: str, state: State) -> None:
    assert standings(office, TODAY)[name].state is state


def test_a_requirement_is_met_by_document_step_and_revision(office: Office) -> None:
    shown = standings(office, TODAY)["CLE-01"].shown
    assert [(place.text.replace("\u00a0", " "), place.document) for place in places(shown)] == [
        ("SOP-06 rev 3, step 4", "SOP-06")
    ]


def test_one_part_in_ten_of_household_bleach_holds_5250_ppm(office: Office) -> None:
    """5.25 % stock at 1 + 9 parts; taking 1 + 10 would give 4,770 ppm."""
    assert strength(office.supplies["bleach"]).replace("\u00a0", " ") == "5,250 ppm (0.525 %)"


def test_a_stock_of_unknown_strength_gives_no_strength(office: Office) -> None:
    bleach = replace(office.supplies["bleach"], stock=None)
    assert strength(replace(bleach, strength=())) == ""
    assert strength(bleach).replace("\u00a0", " ") == "5,250 ppm (0.525 %)"


def test_a_mix_adds_up_to_its_container(office: Office) -> None:
    table = dilution_plan(office).sections[0].tables[0]
    bleach = next(row for row in table.rows if row[0].text == "Bleach solution")
    heads = [column.title.replace("\u00a0", " ") for column in table.columns]
    for head in ("Our own container", "1 L"):
        assert bleach[heads.index(head)].text.replace("\u00a0", " ") == "100 + 900 mL"


def test_an_f0_says_at_which_temperature_it_counts(office: Office) -> None:
    assert "F0 49 min at 121.1 °C, 50 at 121 °C" in text_of(device_plan(office)).replace("\u00a0", " ")


def test_a_gauge_is_read_for_the_altitude_of_the_office(office: Office) -> None:
    low = replace(office, premises=replace(office.premises, altitude=quantity("0", "m")))
    assert "at 1,450 m: 202 kPa" in text_of(device_plan(office))
    assert "at 0 m: 185 kPa" in text_of(device_plan(low))


def test_whoever_works_or_checks_or_is_trained_signs(office: Office) -> None:
    assert roles_concerned(office, office.procedures["reprocess"]) == ("assistant", "hygienist", "dentist")


def test_ids_are_ordered_as_people_order_them() -> None:
    assert sorted(["SOP-10", "SOP-2", "SOP-10A", "SOP-1"], key=natural) == ["SOP-1", "SOP-2", "SOP-10", "SOP-10A"]


def test_the_binder_holds_each_document_once(office: Office) -> None:
    ids = [document.id for document in binder_documents(office, TODAY)]
    assert len(set(ids)) == len(ids)
    assert ids[:4] == ["BND-00", "BND-01", "BND-02", "BND-03"]


def test_procedures_without_an_id_do_not_clash(office: Office) -> None:
    nameless = {name: replace(each, id="") for name, each in office.procedures.items()}
    ids = [document.id for document in binder_documents(replace(office, procedures=nameless), TODAY)]
    assert len(set(ids)) == len(ids)


def test_registers_give_way_when_the_office_uses_their_prefix(office: Office) -> None:
    taken = {name: replace(each, id=f"BND-{name}") for name, each in office.procedures.items()}
    assert binder_documents(replace(office, procedures=taken), TODAY)[0].id == "REG-00"


def test_the_index_lists_the_pages_of_each_document(office: Office) -> None:
    documents = with_page_counts(office, binder_documents(office, TODAY), TODAY, {"SOP-06": 31})
    index = next(document for document in documents if document.kind == "index")
    assert ">31<" in index.html
    assert 'href="doc:SOP-06"' in index.html


def test_an_empty_register_is_not_bound(office: Office) -> None:
    titles = [document.title for document in binder_documents(replace(office, terms=()), TODAY)]
    assert "Glossary" not in titles


def test_parts_may_be_fractions(office: Office) -> None:
    mix = office.supplies["bleach"].dilution
    assert mix is not None
    half = replace(office.supplies["bleach"], dilution=replace(mix, concentrate_parts=Fraction(1, 2)))
    assert strength(half).startswith("2,760")


def test_two_procedures_with_one_id_both_find_a_place(office: Office) -> None:
    same = {name: replace(each, id="SOP-01") for name, each in office.procedures.items()}
    ids = [document.id for document in binder_documents(replace(office, procedures=same), TODAY)]
    assert "SOP-01 (2)" in ids


def test_what_is_built_in_is_said_in_the_device_table(office: Office) -> None:
    bath = replace(office.devices["bath"], fixed=("sink",))
    fixed = replace(office, devices={**office.devices, "bath": bath})
    assert "Built in" in text_of(device_plan(fixed))
    assert "Built in" not in text_of(device_plan(office))


def test_what_a_supply_asks_to_be_worn_is_printed_wherever_it_is_used(rewritten: Callable[..., Office]) -> None:
    was = 'supply detergent "Neutral bath detergent" {'
    office = rewritten("office.sop", {was: f"{was} wearing gloves, mask or eyewear"})
    asked = "Wear utility gloves and surgical mask or eye protection"
    assert asked in text_of(dilution_plan(office))
    task = replace(office.tasks["spore_test"], using=("detergent",))
    assert asked in text_of(task_plan(replace(office, tasks={"spore_test": task})))
    assert f"{asked}." in sop_document(office, office.procedures["reprocess"], TODAY).html
