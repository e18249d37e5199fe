"""Is a program's time long enough: held against published minimums, and against the A0 it aims at."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from sopc.checks.figures.minimums import (
    ROUNDED_BY_MAKERS,
    Judged,
    cites_instructions,
    judged,
    reached_a0,
    share_a_source,
    vouched,
)
from sopc.checks.report import finding, listed, title
from sopc.findings import Finding, Note
from sopc.model.nouns import Bounds, Device, Exposure, Mark, Minimum, Office, Program
from sopc.source import Span
from sopc.trade.minimums import Judgement, Standing
from sopc.trade.quantities import show_duration, show_number


def check(office: Office, device: Device, program: Program) -> Iterator[Finding]:
    """Hold what `programs` promises of exposure, drying and A0 (L04 to L10)."""
    yield from _aim(program)
    for each in judged(office, program):
        yield from _time(office, device, program, each)
        yield from _drying(office, device, program, each)


def _time(office: Office, device: Device, program: Program, each: Judged) -> Iterator[Finding]:
    exposure = program.exposure
    if exposure is None:
        return
    if each.a0 is not None:
        yield from _a0_published(office, device, program, each, exposure)
    elif each.exposure is not None:
        held = f"“{program.title}” holds {exposure.temperature.show_both()} for {exposure.least}"
        yield from _judgement(office, device, program, each, each.exposure, "L04", held, exposure.span)


def _drying(office: Office, device: Device, program: Program, each: Judged) -> Iterator[Finding]:
    if each.drying is None:
        return
    if program.drying is None and vouched(office, program, device):
        yield finding(
            "L11",
            program.span,
            f"“{program.title}” does not say how long it dries, which published tables ask for {each.load}.",
            floor="Drying is cut short when the room is waiting, and a wet pack is not sterile.",
            fix="Add `dry …` from the maker's instructions.",
        )
        return
    dries = f"dries for {program.drying[0]}" if program.drying else "does not say how long it dries"
    span = program.drying_span or program.span
    yield from _judgement(office, device, program, each, each.drying, "L05", f"“{program.title}” {dries}", span)


def _judgement(
    office: Office,
    device: Device,
    program: Program,
    each: Judged,
    judgement: Judgement,
    short: str,
    held: str,
    span: Span,
) -> Iterator[Finding]:
    """The finding for a time that does not keep what is published."""
    rows = [office.minimums[row.name] for row in judgement.rows]
    behind = vouched(office, program, device)
    what = "minimum of drying" if short == "L05" else "minimum"
    asked = listed(
        [f"{show_duration(int(row.seconds))} {source_of(office, office.minimums[row.name])}" for row in judgement.rows]
    )
    notes = [Note("the published minimum stands here", row.span) for row in rows[:3]]
    match judgement.standing:
        case Standing.ENOUGH:
            return
        case Standing.SHORT if behind:
            yield _differs(office, program, f"{held}; the published {what} for {each.load} is {asked}", span, notes)
        case Standing.SHORT:
            yield _short(short, f"{held}; the published {what} for {each.load} is {asked}.", judgement, span, notes)
        case _ if behind:
            return
        case Standing.CONTESTED:
            kept = [office.minimums[row.name] for row in judgement.kept]
            if not share_a_source(program, kept):
                yield finding(
                    "L06",
                    span,
                    f"{held}; published {what} for {each.load} differs between sources: {asked}.",
                    floor="An auditor who goes by the stricter one will call the loads of this program not sterile.",
                    fix="Keep the stricter one; or cite the source you go by in the program, best the maker's.",
                    notes=notes,
                )
        case _:
            yield _uncovered(office, program, each, judgement, held, span)


def _short(code: str, sentence: str, judgement: Judgement, span: Span, notes: list[Note]) -> Finding:
    wanted = show_duration(int(max(row.seconds for row in judgement.rows)))
    floor = (
        "Packs come out wet, and a wet pack is not sterile."
        if code == "L05"
        else "Packs count as sterile after a time in which nobody has shown that they are."
    )
    what = "Dry for" if code == "L05" else "Hold for"
    return finding(
        code,
        span,
        sentence,
        floor=floor,
        fix=f"{what} at least {wanted}; or cite the maker's instructions for this very cycle in the program.",
        notes=notes,
    )


def _differs(office: Office, program: Program, said: str, span: Span, notes: list[Note]) -> Finding:
    if cites_instructions(office, program):
        behind, fix = (
            "The maker's instructions are cited, and go first",
            "Look once more whether they give this number.",
        )
    else:
        behind = "The device names its instructions"
        fix = 'Cite the place in them that gives this number, in the program: `cite … "4.2" read`.'
    return finding(
        "L07",
        span,
        f"{said}. {behind}.",
        floor="An auditor will ask where the shorter time comes from.",
        fix=fix,
        notes=notes,
    )


def _uncovered(office: Office, program: Program, each: Judged, judgement: Judgement, held: str, span: Span) -> Finding:
    rows = [office.minimums[row.name] for row in judgement.rows]
    if judgement.standing is Standing.UNSHOWN:
        near = "the next cooler one asks for"
    else:
        near = "the next hotter one asks for"
    nearest = listed(
        [
            f"{show_duration(int(row.seconds))} at {row.temperature.show_both()} {source_of(office, minimum)}"
            for row, minimum in zip(judgement.rows, rows, strict=True)
        ]
    )
    more = f"; {near} {nearest}" if rows else ""
    return finding(
        "L08",
        span,
        f"{held}; no published minimum covers this for {each.load}{more}.",
        floor="Nobody has shown that this is enough, and nobody that it is not.",
        fix="Cite the maker's instructions for this cycle in the program, or use a cycle that is published.",
    )


def source_of(office: Office, minimum: Minimum | Bounds) -> str:
    """Who says so, in brackets; what is only remembered is said to be."""
    said = [
        f"{title(office.sources, citation.source)}{', ' if citation.locator else ''}{citation.locator}"
        for citation in minimum.citations[:1]
    ]
    memory = minimum.citations and all(citation.mark is Mark.MEMORY for citation in minimum.citations)
    return f"({''.join(said)}{'; from memory, check it' if memory else ''})"


# ── Hot water ───────────────────────────────────────────────────────────────────────────────────


def _aim(program: Program) -> Iterator[Finding]:
    reached, process = reached_a0(program), program.process
    if reached is None or process is None or program.exposure is None:
        return
    if program.a0 is None or not process.way:
        missing = [
            text
            for text, absent in (
                ("at which A0 it aims (`a0 600`, `a0 3000`)", program.a0 is None),
                ("whether sterilizing follows (`hot water before sterilizing`)", not process.way),
            )
            if absent
        ]
        yield finding(
            "L10",
            process.span,
            f"“{program.title}” does not say {listed(missing)}.",
            floor="Which A0 is enough is contested by country: 600 or 3000 where sterilization follows. No one could "
            "tell whether a load that fell short counts.",
            fix=f"Add it. As stated the program reaches an A0 of {_amount(reached)}.",
        )
    if program.a0 is not None and reached < program.a0 * (1 - ROUNDED_BY_MAKERS):
        seconds = program.exposure.least.base * program.a0 / reached if reached else None
        longer = f"hold for {show_duration(-int(-seconds // 1))}" if seconds is not None else "heat to 80 °C or more"
        yield finding(
            "L09",
            program.a0_span or process.span,
            f"“{program.title}” aims at an A0 of {_amount(program.a0)}, but {program.exposure.temperature.show_both()} "
            f"for {program.exposure.least} reaches {_amount(reached)}.",
            floor="Loads are taken out as disinfected that are not.",
            fix=f"At that temperature {longer}; or choose a hotter program. Ten degrees Celsius more count tenfold.",
            notes=[Note("temperature and time stand here", program.exposure.span)],
        )


def _a0_published(
    office: Office, device: Device, program: Program, each: Judged, exposure: Exposure
) -> Iterator[Finding]:
    reached = reached_a0(program)
    if reached is None or program.process is None or not program.process.way:
        return
    amount = min(reached, program.a0) if program.a0 is not None else reached
    what = "aims at" if program.a0 is not None and amount == program.a0 else "reaches"
    rows = [minimum for minimum in each.minimums if minimum.a0 is not None]
    asked = listed([f"{_amount(row.a0)} {source_of(office, row)}" for row in rows if row.a0 is not None], "or")
    held = f"“{program.title}” {what} an A0 of {_amount(amount)}"
    purpose = f"{program.process.way} sterilizing"
    span, notes = (
        program.a0_span or exposure.span,
        [Note("the published minimum stands here", row.span) for row in rows],
    )
    if each.a0 is Standing.SHORT and vouched(office, program, device):
        yield _differs(office, program, f"{held}; published {purpose} is {asked}", span, notes)
    elif each.a0 is Standing.SHORT:
        yield finding(
            "L04",
            span,
            f"{held}; the published minimum {purpose} is {asked}.",
            floor="Loads are taken out as disinfected that are not.",
            fix="Choose a longer or hotter program; or cite the maker's instructions for this very one.",
            notes=notes,
        )
    elif each.a0 is Standing.UNCOVERED and not vouched(office, program, device):
        yield finding(
            "L08",
            span,
            f"{held}; no published minimum covers {each.load} {purpose}.",
            floor="Nobody has shown that this is enough, and nobody that it is not.",
            fix="Say for what it is (`suits semicritical`, `suits noncritical`), or cite the maker's instructions.",
        )


def _amount(value: Fraction) -> str:
    return show_number(value, 0)
