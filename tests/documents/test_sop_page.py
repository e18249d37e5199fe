"""A procedure on paper: what a reader at the bench finds, and where."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from syrupy.assertion import SnapshotAssertion

from sopc.documents.charts import chart_of
from sopc.documents.sop import sop_document, sop_page
from sopc.documents.sop_model import ChoiceBlock, SopPage, StepBlock, TogetherBlock
from sopc.model.nouns import Figure, Office, Overridden
from sopc.source import NOWHERE

TODAY = date(2026, 11, 25)


def page_of(office: Office) -> SopPage:
    return sop_page(office, office.procedures["reprocess"], TODAY)


def steps_by_number(page: SopPage) -> dict[str, StepBlock]:
    found: dict[str, StepBlock] = {}

    def take(blocks: tuple[object, ...]) -> None:
        for block in blocks:
            if isinstance(block, StepBlock):
                found[block.number] = block
            elif isinstance(block, ChoiceBlock):
                for way in block.ways:
                    take(way.blocks)
            elif isinstance(block, TogetherBlock):
                for branch in block.branches:
                    take(branch.blocks)

    take(page.blocks)
    return found


def test_the_page_model_of_a_procedure(office: Office, snapshot: SnapshotAssertion) -> None:
    page = page_of(office)
    assert replace(page, timing_svg="") == snapshot


def test_equipment_is_listed_in_the_order_of_putting_on(office: Office) -> None:
    assert page_of(office).wear == ("Gown", "Surgical mask", "Eye protection", "Utility gloves")


def test_a_step_says_what_to_wear_only_when_it_differs(office: Office) -> None:
    steps = steps_by_number(page_of(office))
    worn = {
        number: [fact.value for row in step.facts for fact in row if fact.label == "Wear"]
        for number, step in steps.items()
    }
    assert worn["1"] == []
    assert worn["4"] == ["Surgical mask"]


def test_a_limit_stands_at_the_step_where_it_ends_with_a_box_for_the_time(office: Office) -> None:
    limit = steps_by_number(page_of(office))["2A.1"].limits[0]
    assert limit.clocks[0].label == "Start by"
    assert limit.clocks[0].hint.replace("\u00a0", " ") == "step 1 ends + 60 min"


def test_a_step_from_which_a_limit_counts_has_a_box_for_its_end(office: Office) -> None:
    assert [clock.label for clock in steps_by_number(page_of(office))["1"].clocks] == ["Ended"]


def test_a_step_that_must_last_a_contact_time_has_boxes_for_start_and_end(office: Office) -> None:
    assert [clock.label for clock in steps_by_number(page_of(office))["9"].clocks] == ["Started", "Not done before"]


def test_graver_signals_stand_first(office: Office) -> None:
    assert [panel.word for panel in page_of(office).panels] == ["WARNING", "NOTICE"]


def test_a_notice_has_no_alert_triangle(office: Office) -> None:
    assert [panel.triangle for panel in page_of(office).panels] == [True, False]


def test_cautions_stand_before_their_step_in_one_unbroken_unit(office: Office) -> None:
    html = sop_document(office, office.procedures["reprocess"], TODAY).html
    unit = html.index("Sound near the bath")
    step = html.index("Run the ultrasonic bath")
    assert unit < step
    assert html.rindex('<div class="unit">', 0, unit) == html.rindex('<div class="unit">', 0, step)


def test_two_plain_branches_stand_side_by_side(office: Office) -> None:
    together = next(block for block in page_of(office).blocks if isinstance(block, TogetherBlock))
    assert [tuple(step.number for cell in row for step in cell) for row in together.rows] == [
        ("5A.1", "5B.1"),
        ("5A.2",),
    ]


def test_each_allowed_repeat_has_a_box(office: Office) -> None:
    assert len(steps_by_number(page_of(office))["4"].checks[0].passes) == 2


def test_a_step_that_is_its_own_way_back_is_done_again(rewritten: Callable[..., Office]) -> None:
    office = rewritten(
        "procedures.sop", {"else repeat from carry at most 2 times": "else repeat from look at most 2 times"}
    )
    follows = steps_by_number(page_of(office))["4"].checks[0].on_no.replace("\u00a0", " ")
    assert follows.startswith("Do this step again, at most twice. If it is still NO after that: STOP.")


def test_the_start_has_a_box_when_a_limit_counts_from_it(office: Office, rewritten: Callable[..., Office]) -> None:
    assert page_of(office).clocks == ()
    limit = "  limit cool starts at least 5 min after cycle ends\n"
    office = rewritten("procedures.sop", {limit: f"{limit}  limit rinse starts within 90 min after procedure starts\n"})
    (box,) = page_of(office).clocks
    assert (box.label, box.hint.replace("\u00a0", " ")) == (
        "This procedure started", "the limit of step 3 counts from here",
    )  # fmt: skip


def test_a_second_person_makes_a_hold_point(office: Office) -> None:
    html = sop_document(office, office.procedures["reprocess"], TODAY).html
    assert "Do not go on until a second person has checked step 6" in html


def test_duties_that_are_kept_apart_stand_at_the_step_and_on_the_chart(rewritten: Callable[..., Office]) -> None:
    was = 'step cool "Let the pouches cool in the chamber" { in ster'
    office = rewritten("procedures.sop", {was: f"{was} another person than cycle, load_it"})
    html = sop_document(office, office.procedures["reprocess"], TODAY).html.replace("\u00a0", " ")
    assert "but not the one who did step 7 or step 6" in html
    notes = [note for node in chart_of(office, office.procedures["reprocess"], TODAY, "").nodes for note in node.notes]
    assert "Not by the one who did step 7 or step 6" in [note.replace("\u00a0", " ") for note in notes]


def test_what_alone_comes_into_a_place_stands_beside_it_where_items_are_handled(
    rewritten: Callable[..., Office],
) -> None:
    was = 'zone clean_zone "Clean"\nflow soiled_zone to clean_zone\n'
    only = 'zone clean_zone "Clean" { admits clean }\nflow soiled_zone to clean_zone only dry\n'
    office = rewritten("office.sop", {was: only})
    reprocess = office.procedures["reprocess"]
    assert "Packing bench (only what is clean and dry comes in)" in sop_document(office, reprocess, TODAY).html
    on_no_item = replace(reprocess, handles=())
    assert "comes in" not in sop_document(office, on_no_item, TODAY).html


def test_an_office_value_is_printed_beside_the_packs(office: Office) -> None:
    replaced = Overridden("use within", "use within 24 h", "use within 12 h", NOWHERE, NOWHERE, "our label says so")
    procedure = replace(office.procedures["reprocess"], overridden=(replaced,))
    html = sop_document(office, procedure, TODAY).html.replace("\u00a0", " ")
    assert "use within 12 h. The pack says: use within 24 h. Because our label says so." in html


def test_a_figure_is_printed_when_its_file_is_there_and_left_out_when_not(office: Office) -> None:
    procedure = replace(office.procedures["hands"], figures=(Figure("figures/a.svg", "A hand", NOWHERE),))
    there = sop_document(office, procedure, TODAY, figures={"figures/a.svg": b"<svg/>"})
    gone = sop_document(office, procedure, TODAY)
    assert 'src="asset:figures/a.svg" alt="A hand"' in there.html
    assert dict(there.assets) == {"figures/a.svg": b"<svg/>"}
    assert "asset:" not in gone.html


def test_words_of_the_office_cannot_become_html(office: Office) -> None:
    procedure = replace(office.procedures["hands"], title="<i>Wash</i> & go", purpose="<script>x</script>")
    html = sop_document(office, procedure, TODAY).html
    assert "<i>Wash</i>" not in html
    assert "<script" not in html


def test_when_is_said_once(office: Office) -> None:
    """Beside the word “When” a text that begins with it would read “When When”."""
    procedure = next(iter(office.procedures.values()))
    page = sop_page(office, replace(procedure, done="when a box is full"), TODAY)
    assert dict(page.brief)["When"] == ("A box is full.",)
