"""The requirements on policies, training, health, exposure, hands, sharps and audits, each opened by a spoilt demo.

Every row takes one thing out of the demo office, or puts another in its place: a step, a question, a column, a year,
a role, a citation. The requirement that asks for it must no longer be met. Which source asks for what stands beside
each requirement in `protocols/packs/dental_program`.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from sopc.checks.requirements.standing import standings
from sopc.checks.requirements.verdicts import Standing, State, Verdict
from sopc.model.nouns import Office
from tests.faults.catalogue import demo

PLAN, SAFETY, HANDS, DAY = (f"procedures/{name}.sop" for name in ("program", "safety", "hands_ppe", "day"))
WATCHING, LOGS, TASKS, TRAINING = "procedures/monitoring.sop", "logs.sop", "tasks.sop", "training.sop"
PEOPLE, MACHINES, OFFICE = "people_places.sop", "machines.sop", "office.sop"
GROUPS = ("ADM", "TRN", "PH", "ECP", "EXP", "HH", "PPE", "RSI", "AUD")
SEEN_ONLY = {"TRN-07", "PPE-05"}
WAITING = {"ADM-08", "RSI-04"}

SPOILT = [
    # Policies
    (
        "ADM-01",
        PLAN,
        "no approver",
        'owner hygienist  approver dentist\n  purpose """We',
        'owner hygienist\n  purpose """We',
    ),
    ("ADM-01", PLAN, "no sources looked at", "step sources_look", None),
    (
        "ADM-02",
        TASKS,
        "review only when something happens",
        "every year on 01-12\n  if closed next open day",
        'after "a change"',
    ),
    ("ADM-02", PLAN, "sources looked at after the change", "does look_at_sources", ""),
    ("ADM-03", PEOPLE, "no coordinator", "meets ADM-03, ECP-02", "meets ECP-02"),
    ("ADM-04", DAY, "nothing filled up in the morning", "step stock_up", None),
    ("ADM-04", LOGS, "list without ticks", "meets ADM-04, SAF-02", "meets SAF-02"),
    ("ADM-05", PLAN, "no one asks", "does ask_symptoms", ""),
    (
        "ADM-05",
        TRAINING,
        "the front desk is not taught",
        "covers cough, restock, boil_water",
        "covers restock, boil_water",
    ),
    ("ADM-06", HANDS, "no way to clean hands", re.compile(r"does (wash|rub)_hands"), ""),
    (
        "ADM-07",
        PLAN,
        "no approver",
        'owner hygienist  approver dentist\n  purpose "A coughing',
        'owner hygienist\n  purpose "A coughing',
    ),
    # Training
    (
        "TRN-01",
        TRAINING,
        "every second year",
        'at least every 365 days\n  topics """Turnover',
        'at least every 730 days\n  topics """Turnover',
    ),
    (
        "TRN-01",
        TRAINING,
        "not on hire",
        'on hire\n  after change\n  at least every 365 days\n  topics """Turnover',
        'after change\n  at least every 365 days\n  topics """Turnover',
    ),
    (
        "TRN-01",
        TRAINING,
        "not after a change",
        'after change\n  at least every 365 days\n  topics """Turnover',
        'at least every 365 days\n  topics """Turnover',
    ),
    ("TRN-02", LOGS, "kept one year", "keep 3 years\n  meets TRN-02", "keep 1 years\n  meets TRN-02"),
    ("TRN-02", TRAINING, "chemicals not written down", "record training_log\n  meets TRN-08", "meets TRN-08"),
    ("TRN-03", TRAINING, "no vaccine", "hepatitis B vaccine; ", ""),
    ("TRN-03", TRAINING, "no labels", "labels and colors; ", ""),
    (
        "TRN-03",
        TRAINING,
        "not for the front desk",
        "for dentist, hygienist, assistant, front_desk\n  covers plan",
        "for dentist, hygienist, assistant\n  covers plan",
    ),
    ("TRN-03", TRAINING, "does not teach what follows an exposure", "covers plan, exposure, ", "covers plan, "),
    (
        "TRN-03",
        TRAINING,
        "no citation",
        'cite osha_bbp "(g)(2)(vii)" read\n  cite osha_letter_1997',
        "cite osha_letter_1997",
    ),
    ("TRN-04", LOGS, "no trainer", re.compile(r" *column trainer .*\n"), ""),
    ("TRN-04", LOGS, "no job title", re.compile(r" *column job .*\n"), ""),
    ("TRN-05", LOGS, "no competency", re.compile(r" *column competency .*\n"), ""),
    ("TRN-05", TRAINING, "storing is not taught", "scaler_tips, storing, ", "scaler_tips, "),
    (
        "TRN-05",
        TRAINING,
        "assistants left out",
        "for hygienist, assistant\n  covers whole_way",
        "for hygienist\n  covers whole_way",
    ),
    ("TRN-06", LOGS, "no reason for a late session", re.compile(r" *column late_reason .*\n"), ""),
    (
        "TRN-06",
        TRAINING,
        "every second year",
        'at least every 365 days\n  topics """The standard',
        'at least every 730 days\n  topics """The standard',
    ),
    ("TRN-08", TRAINING, "solutions are not taught", "covers chemicals, eyewash_check", "covers eyewash_check"),
    ("TRN-08", PLAN, "no citation", "cite osha_hazcom memory\n  cite bleach", "cite bleach"),
    # Health
    ("PH-01", PLAN, "twice the time", "limit offer ends within 10 day", "limit offer ends within 20 day"),
    ("PH-01", PLAN, "vaccine before the training", "does teach_bloodborne", ""),
    ("PH-01", PLAN, "offer not written down", "record health_log column on_date, case_no, offered, answer, who", ""),
    (
        "PH-02",
        PLAN,
        "a no goes on",
        'check "Accepted, or already immune?" else go to decline',
        'check "Accepted, or already immune?" else continue',
    ),
    ("PH-03", PLAN, "no antibody test", "step antibodies", None),
    ("PH-04", TASKS, "no influenza in fall", "every year on 10-04\n  if closed next open day", 'after "a bad winter"'),
    ("PH-05", PLAN, "no sick leave", "Sick leave is paid and nobody is asked to find a stand-in.", ""),
    ("PH-06", PLAN, "no screening", "does screen_tuberculosis", ""),
    ("PH-07", PLAN, "patients are not asked", "Patients are asked about latex at every visit.", ""),
    # The exposure control plan
    ("ECP-01", PLAN, "not within reach", "in every shift", "on request"),
    (
        "ECP-02",
        PEOPLE,
        "assistants left out of the determination",
        re.compile(r"  meets ECP-02\n  note \"Two"),
        '  note "Two',
    ),
    ("ECP-03", TASKS, "no round of the sharps containers", "task sharps_weekly", None),
    ("ECP-04", SAFETY, "no one asks why", "step learn", None),
    ("ECP-05", PLAN, "looked at and not changed", "step change", None),
    ("ECP-06", PLAN, "no look at safer devices", "step devices_look", None),
    ("ECP-06", LOGS, "no column for them", "Safer devices looked at", "Remarks"),
    ("ECP-07", PLAN, "those who do the work are not asked", "step ask", None),
    ("ECP-07", LOGS, "their answers are not kept", 'what they said" text', 'what they said" tick'),
    ("ECP-08", PLAN, "guide without laundry", "| cleaning, spills, waste, laundry |", "| cleaning, spills, waste |"),
    ("ECP-09", PLAN, "not stated", "as if it carried disease", "with care"),
    ("ECP-10", PEOPLE, "no place to wash", "meets HH-03, ECP-10", "meets HH-03"),
    ("ECP-11", PEOPLE, "food beside specimens", "The refrigerator holds food and nothing else.", ""),
    ("ECP-12", MACHINES, "no symbol", "red with the biohazard symbol, upright. Fill", "red, upright. Fill"),
    ("ECP-13", HANDS, "no bag", "step gown_off", None),
    ("ECP-13", HANDS, "no citation", 'cite osha_bbp "(d)(4)(iv)" memory', ""),
    (
        "ECP-14",
        TASKS,
        "sent to service as it is",
        "Cleaned and disinfected before the technician opens it. A label",
        "A label",
    ),
    # After an exposure
    ("EXP-01", SAFETY, "no report", "does report_exposure", ""),
    ("EXP-01", SAFETY, "eyes are not washed", "step wash_eyes", None),
    ("EXP-01", SAFETY, "report before first aid", "does first_aid\n        using hand_sinks", "using hand_sinks"),
    ("EXP-02", OFFICE, "no telephone", re.compile(r'  phone "After-exposure clinic.*\n'), ""),
    ("EXP-03", SAFETY, "not confidential", "free and confidential, in working time", "free, in working time"),
    ("EXP-04", SAFETY, "no one asks the patient", "step ask_source", None),
    ("EXP-05", SAFETY, "no sample kept", "step baseline", None),
    ("EXP-05", SAFETY, "kept 30 days", "sample kept 90 days", "sample kept 30 days"),
    ("EXP-06", SAFETY, "no opinion", "step opinion", None),
    (
        "EXP-07",
        SAFETY,
        "not written down",
        "record exposure_log column on_date, at_time, route, device, what_happened, first_aid, clinic_time, who",
        "",
    ),
    ("EXP-07", LOGS, "no device", 'kind and model" text', 'kind and model" tick'),
    ("EXP-08", LOGS, "no log says so", "meets EXP-07, EXP-08", "meets EXP-07"),
    ("EXP-09", PLAN, "papers not filed", "step file_it", None),
    (
        "EXP-09",
        PLAN,
        "kept ten years",
        'note "Confidential, kept for the employment and 30 years."',
        'note "Confidential, kept for the employment and 10 years."',
    ),
    # Hands and equipment
    ("HH-01", HANDS, "not before gloves", "Before gloves, after gloves. ", ""),
    ("HH-01", TRAINING, "not taught", "spill, hand_hygiene, ppe_on", "spill, ppe_on"),
    ("HH-02", HANDS, "two seconds of soap", "takes at least 20 s", "takes at least 2 s"),
    ("HH-02", HANDS, "rub without a time", 'takes 20 to 30 s until "hands are dry"', ""),
    ("HH-02", HANDS, "surgical rub a tenth as long", "takes 2 to 4 min until", "takes 12 to 24 s until"),
    ("HH-03", PEOPLE, "no hand rub at the door", "Hand rub at the door, sink and soap on the right, ", ""),
    ("HH-04", HANDS, "gloves before the rub", "does surgical_antisepsis", ""),
    (
        "HH-04",
        HANDS,
        "gloves that are not sterile",
        "wearing mask, eyewear, surgical_gloves",
        "wearing mask, eyewear, gloves",
    ),
    (
        "PPE-01",
        PLAN,
        "impressions without eyewear",
        "wearing gown, mask, eyewear, gloves\n  in cleaning",
        "wearing gown, mask, gloves\n  in cleaning",
    ),
    (
        "PPE-01",
        SAFETY,
        "injections without a mask",
        "wearing gown, mask, eyewear, gloves\n  in treatment_rooms\n  meets RSI-03, RSI-05",
        "wearing gown, eyewear, gloves\n  in treatment_rooms\n  meets RSI-03, RSI-05",
    ),
    (
        "PPE-02",
        DAY,
        "kept on between patients",
        re.compile(r"    perform ppe_off\n    meets PPE-02, PPE-03"),
        "    meets PPE-02, PPE-03",
    ),
    ("PPE-03", HANDS, "mask on after the gloves", "does put_on_mask", ""),
    ("PPE-03", HANDS, "gown off first", "does take_off_eyewear", ""),
    (
        "PPE-03",
        HANDS,
        "hands not cleaned at the end",
        re.compile(r'  step clean_hands "Clean your hands" \{\n    wearing nothing\n    perform hand_hygiene\n  \}\n'),
        "",
    ),
    (
        "PPE-04",
        "procedures/instruments.sop",
        "transport without eyewear",
        "wearing gown, mask, eyewear, utility_gloves\n  in treatment_rooms\n  materials holding_spray",
        "wearing gown, mask, utility_gloves\n  in treatment_rooms\n  materials holding_spray",
    ),
    # Coughs, needles, sharps
    ("RSI-01", PLAN, "the question dropped", 'check "None of these?" else go to mask_offer', ""),
    ("RSI-01", PLAN, "no space", "step apart", None),
    (
        "RSI-02",
        SAFETY,
        "fill not asked",
        re.compile(r'    check "Below the line\?" else go to swap\n    next go to red_bags\n'),
        "",
    ),
    ("RSI-02", SAFETY, "moved before it is locked", "does lock_container", ""),
    ("RSI-02", SAFETY, "no new one", "step new_one", None),
    ("RSI-02", LOGS, "any answer will do", 'no" accept "yes"\n  column changed', 'no"\n  column changed'),
    ("RSI-03", SAFETY, "no danger", re.compile(r'  danger "Recapping.*\n'), ""),
    ("RSI-05", SAFETY, "an opened needle is let through", re.compile(r'check "Unopened, in date\?".*\n'), ""),
    ("RSI-05", SAFETY, "left on the tray", "step drop_it", None),
    (
        "RSI-06",
        SAFETY,
        "vials for several patients",
        "Single-dose vials: one patient, and the rest is thrown away. ",
        "",
    ),
    # Evaluation
    ("AUD-01", PLAN, "no word to those watched", "step talk", None),
    ("AUD-01", TASKS, "no interval", "every quarter on first wed\n  if closed next open day", 'after "an occasion"'),
    ("AUD-02", LOGS, "no second look", 'Second look" date', 'Second look" tick'),
    ("AUD-02", PLAN, "not written down", "step cause", None),
    (
        "AUD-03",
        PLAN,
        "a lapse goes on",
        re.compile(r'    check "Nothing that could have harmed a patient\?" else stop .*\n'),
        '    check "Nothing that could have harmed a patient?" else continue\n',
    ),
    ("AUD-03", WATCHING, "no one calls the health department", "step call_health", None),
    ("AUD-04", PLAN, "logs not read", "step records_look", None),
]


def standing(office: Office, name: str) -> Standing:
    """How one requirement stands, the others left aside."""
    alone = replace(office, requirements={name: office.requirements[name]})
    return standings(alone, demo().today)[name]


def spoilt(file: str, old: str | re.Pattern[str], new: str | None) -> Office:
    """The demo with one stretch of a text taken out or changed."""
    text = demo().texts[file]
    if new is None:
        old = re.compile(rf"^( *){old} .*?^\1}}\n", re.MULTILINE | re.DOTALL)
    changed, count = re.subn(
        old if isinstance(old, re.Pattern) else re.escape(old), (new or "").replace("\\", r"\\"), text
    )
    assert count, "the demo reads otherwise now"
    office, _ = demo().load({**demo().texts, file: changed})
    assert office is not None
    return office


@pytest.mark.parametrize(("name", "file", "what", "old", "new"), SPOILT, ids=[f"{row[0]} {row[2]}" for row in SPOILT])
def test_a_requirement_opens_when_what_it_asks_for_is_spoilt(
    name: str, file: str, what: str, old: str | re.Pattern[str], new: str | None
) -> None:
    del what
    assert standing(spoilt(file, old, new), name).texts is not Verdict.MET


def ours() -> dict[str, Standing]:
    found = standings(demo().protocol.office, demo().today)
    return {name: each for name, each in found.items() if name.split("-")[0] in GROUPS}


def test_the_demo_meets_each_of_them() -> None:
    asked = {name: each for name, each in ours().items() if name not in SEEN_ONLY | WAITING}
    assert {name: each.texts for name, each in asked.items() if each.texts is not Verdict.MET} == {}
    assert all(each.requirement.sentences for each in asked.values())


def test_each_of_them_is_opened_by_some_row() -> None:
    assert {row[0] for row in SPOILT} == set(ours()) - SEEN_ONLY - WAITING


def test_what_waits_is_open_in_the_texts_and_set_aside_by_a_person() -> None:
    for name in WAITING:
        assert ours()[name].state is State.ASIDE
        assert ours()[name].texts is Verdict.OPEN
