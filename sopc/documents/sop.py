"""Makes the paper of one procedure: from the office to a page model, and from that to HTML."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from sopc.checks.time.orders import orders_of
from sopc.checks.time.times import ProcedureTimes, schedule_of
from sopc.documents import way_limits, wording
from sopc.documents.binder_document import BinderDocument
from sopc.documents.dilution_table import amount, strength
from sopc.documents.flow_room import changes_find_room
from sopc.documents.frame import Frame, fingerprint, frame_of
from sopc.documents.printing import printed
from sopc.documents.sop_model import ChangeRow, Fact, LimitRow, Material, Signer, SopPage, SourceRow
from sopc.documents.sop_steps import Writer, office_values, panels, pictures
from sopc.documents.sources import cited, source_title
from sopc.documents.timing_bar import bar_chart, step_times
from sopc.model.nouns import Citation, Figure, Office, Procedure, Supply
from sopc.trade.quantities import NBSP, show_duration


def sop_document(
    office: Office,
    procedure: Procedure,
    today: date,
    flowchart_svgs: Sequence[str] = (),
    figures: Mapping[str, bytes] | None = None,
) -> BinderDocument:
    """Return the procedure as a document of its own.

    `flowchart_svgs` are drawings of one page each; `figures` maps the file names used in the text to their
    content. A figure that is not handed over is left out.
    """
    page = sop_page(office, procedure, today, tuple(flowchart_svgs), frozenset(figures or ()))
    used = {picture.file for picture in _all_pictures(procedure)} & set(figures or ())
    return BinderDocument(
        id=page.frame.id,
        title=page.frame.title,
        html=printed("sop.html", page.frame, page=page),
        kind="procedure",
        assets={name: (figures or {})[name] for name in sorted(used)},
        revision=page.frame.revision,
        effective=page.frame.effective,
        source=page.frame.source,
        status=page.frame.status,
    )


def sop_page(
    office: Office,
    procedure: Procedure,
    today: date,
    flowcharts: tuple[str, ...] = (),
    figures: frozenset[str] = frozenset(),
) -> SopPage:
    """Return the page model of a procedure; `figures` names the figure files that are there."""
    numbers = _source_numbers(office, procedure)
    writer = Writer(office, procedure, numbers, figures, orders_of(office, procedure))
    times = schedule_of(office, procedure)
    materials = [_material(office, name) for name in procedure.materials]
    changes = _changes(procedure)
    page = SopPage(
        frame=frame_of(office, procedure, today, ""),
        control=_control(procedure),
        signers=_signers(office, procedure),
        changed=next((past.what for past in procedure.history if past.number == procedure.revision), ""),
        changes=changes,
        brief=_brief(office, procedure, times),
        wear=_wear(office, procedure),
        materials=tuple(material for material in materials if _needs_a_line(material)),
        also=_also(materials),
        panels=panels(procedure.signals),
        pictures=pictures(procedure.figures, figures),
        clocks=writer.start_clocks(),
        blocks=writer.blocks(procedure.parts),
        limits=(*_limits(procedure, numbers), *way_limits.rows(office, procedure, numbers)),
        timing_svg=bar_chart(step_times(times), f"Times of {procedure.title}"),
        timing_text=TIMING_TEXT,
        flowcharts=flowcharts,
        notes=procedure.notes,
        office_values=office_values(procedure.overridden),
        sources=_sources(office, procedure, numbers),
        meets=_meets(office, procedure),
        changes_last=changes_find_room(flowcharts, changes, office.premises.paper),
    )
    return replace(page, frame=replace(page.frame, source=fingerprint(replace(page, frame=_undated(page)))))


def _undated(page: SopPage) -> Frame:
    """The frame without what the day of printing changes, so that the source number stays."""
    return replace(page.frame, printed="", printed_iso="", status="")


def _control(procedure: Procedure) -> tuple[Fact, ...]:
    def written(when: date | None) -> str:
        return "not set" if when is None else wording.day(when)

    return (
        Fact("Document", procedure.id or "no id"),
        Fact("Revision", "not set" if procedure.revision is None else str(procedure.revision)),
        Fact("Effective from", written(procedure.effective)),
        Fact("Next review by", written(procedure.review)),
    )


def _signers(office: Office, procedure: Procedure) -> tuple[Signer, ...]:
    def role(name: str | None) -> str:
        return wording.title_of(office.roles, name) if name else "role not named"

    return (
        Signer("Prepared by (owner)", role(procedure.owner)),
        Signer("Approved by", role(procedure.approver)),
    )


def _changes(procedure: Procedure) -> tuple[ChangeRow, ...]:
    past = sorted(procedure.history, key=lambda each: -each.number)
    return tuple(ChangeRow(str(each.number), wording.day(each.effective), each.what) for each in past)


def _brief(office: Office, procedure: Procedure, times: ProcedureTimes) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What a reader needs before the first step; lines the office left empty are left out."""
    rows = [
        ("Purpose", procedure.purpose),
        ("Scope", procedure.scope),
        ("When", wording.sentence(_without_when(procedure.done))),
        ("Who", wording.people(office, procedure.by)),
        ("Where", wording.place(office, procedure.area, procedure) if procedure.area else ""),
        ("Time", _time(office, times)),
        ("Items", _items(office, procedure)),
    ]
    return tuple((label, (text,)) for label, text in rows if text.strip())


def _without_when(done: str) -> str:
    """Beside the word “When” it is not said again."""
    return done[5:] if done.lower().startswith("when ") else done


def _items(office: Office, procedure: Procedure) -> str:
    if not procedure.handles:
        return ""
    items = wording.in_series(wording.small(title) for title in wording.titles(office.items, procedure.handles))
    before = wording.in_series(map(wording.small, wording.titles(office.conditions, procedure.from_conditions)))
    after = wording.in_series(map(wording.small, wording.titles(office.conditions, procedure.to_conditions)))
    text = wording.large(items)
    return f"{text}. They arrive **{before}** and leave **{after}**." if before and after else text


def _wear(office: Office, procedure: Procedure) -> tuple[str, ...]:
    def order(name: str) -> tuple[int, int]:
        item = office.ppe.get(name)
        place = item.put_on if item else None
        return (place if place is not None else 99, procedure.wearing.index(name))

    return wording.titles(office.ppe, sorted(procedure.wearing, key=order))


def _material(office: Office, name: str) -> Material:
    supply = office.supplies.get(name)
    if supply is None:
        return Material(wording.title_of(office.devices, name), "", "", "", ())
    remarks = []
    if supply.not_with:
        others = wording.in_series(
            (wording.small(each) for each in wording.titles(office.supplies, supply.not_with)), "or"
        )
        remarks.append(f"Never mix with {others}.")
    if supply.protects:
        remarks.append(f"Wear {wording.worn(office, supply.protects)}.")
    if supply.single_use:
        remarks.append("Single use.")
    if supply.instructions:
        remarks.append(f"Instructions: {supply.instructions}")
    return Material(
        name=supply.title,
        mix=_mix(supply),
        contact=wording.time_range(*supply.contact) if supply.contact else "",
        keeps=f"Use within {supply.use_within}." if supply.use_within else "",
        remarks=tuple(remarks),
    )


def _mix(supply: Supply) -> str:
    """Parts, what to measure out for the office's own container, and the strength that makes."""
    if supply.dilution is None:
        return ""
    return "; ".join(filter(None, (wording.dilution(supply.dilution), amount(supply), strength(supply))))


def _needs_a_line(material: Material) -> bool:
    """Whether more is to be said of a material than its name."""
    return bool(material.mix or material.contact or material.keeps or material.remarks)


def _also(materials: list[Material]) -> str:
    names = [material.name for material in materials if not _needs_a_line(material)]
    return wording.sentence(wording.in_series(names[:1] + [wording.small(name) for name in names[1:]]))


def _limits(procedure: Procedure, numbers: Mapping[str, int]) -> tuple[LimitRow, ...]:
    rows = []
    for rule in procedure.limits:
        why = " ".join(part for part in (wording.sentence(rule.because), cited(rule.citations, numbers)) if part)
        order = wording.limit(procedure, rule, subject=True)
        rows.append(LimitRow(order, wording.unless(procedure, rule).removeprefix("Does not apply ").rstrip("."), why))
    return tuple(rows)


TIMING_TEXT = (
    "Bar: the shortest time of a step (solid: staff, hatched: machine, white: until the result is there). "
    "Line: its longest time. Triangle: it must have started by then."
)


def _time(office: Office, times: ProcedureTimes) -> str:
    """How long all of it takes, and of that how long people and machines are at work; empty when nothing is stated."""
    if not times.least and not times.most:
        return ""
    said = [f"**{_range(times.least, times.most)}**, once through."]
    hands = {role: time for role, time in times.hands_on.items() if time != (0, 0)}
    if list(hands.values()) != [(times.least, times.most)]:
        named = (wording.small(wording.title_of(office.roles, role)) for role in hands)
        each = [f"{name} {_range(*time)}" for name, time in zip(named, hands.values(), strict=True)]
        said += [f"Staff: {'; '.join(each)}."] if each else []
    if times.machines != (0, 0):
        said.append(f"Runs by itself: {_range(*times.machines)}.")
    return " ".join(said)


def _range(least: int, most: int | None) -> str:
    if most is None:
        return f"{_rounded(least)} or more" if least else "not stated"
    low, high = _rounded(least), _rounded(most)
    if not least or low == high:
        return high if least else f"at most {high}"
    (number, *unit), (_, *other) = low.split(NBSP), high.split(NBSP)
    return f"{number if unit == other and len(unit) == 1 else low} to {high}"


def _rounded(ticks: int) -> str:
    """Seconds tell nothing in a time of ten minutes and more."""
    return show_duration(ticks if ticks < 600 else (ticks + 30) // 60 * 60)


def _citations(office: Office, procedure: Procedure) -> list[Citation]:
    found = list(procedure.citations)
    for step in procedure.steps():
        found += step.citations
    for rule in procedure.limits:
        found += rule.citations
    for _, along in way_limits.limits_naming(office, procedure):
        found += along.citations
    return found


def _source_numbers(office: Office, procedure: Procedure) -> dict[str, int]:
    names = dict.fromkeys(citation.source for citation in _citations(office, procedure))
    return {name: number for number, name in enumerate(names, start=1)}


def _sources(office: Office, procedure: Procedure, numbers: Mapping[str, int]) -> tuple[SourceRow, ...]:
    citations = _citations(office, procedure)
    rows = []
    for name, number in numbers.items():
        mine = [citation for citation in citations if citation.source == name]
        places = ", ".join(dict.fromkeys(citation.locator for citation in mine if citation.locator))
        marks = dict.fromkeys(wording.MARKS[citation.mark] if citation.mark else "not marked" for citation in mine)
        rows.append(SourceRow(f"[{number}]", source_title(office, name), places, ", ".join(marks)))
    return tuple(rows)


def _meets(office: Office, procedure: Procedure) -> tuple[tuple[str, str], ...]:
    names = list(procedure.meets)
    for step in procedure.steps():
        names += step.meets
    return tuple((name, wording.title_of(office.requirements, name)) for name in sorted(set(names)))


def _all_pictures(procedure: Procedure) -> list[Figure]:
    return [*procedure.figures, *(figure for step in procedure.steps() for figure in step.figures)]
