"""Why a day cannot be kept, in words: each lack with its sum, visits that cannot all begin in time."""

from __future__ import annotations

from sopc.checks.days.day import COURTESY, OfficeDay, clock
from sopc.checks.days.sums import MachineLack, PeopleLack, SetLack, machine_lacks, people_lacks, set_lacks
from sopc.checks.days.visits import Clash, Holder
from sopc.checks.report import finding, listed
from sopc.findings import Finding, Note, WalkStep
from sopc.trade.quantities import show_duration


def conflicts_of(made: OfficeDay) -> list[Finding]:
    """The lacks that sums show, whatever the order of work (W01, W02, W04)."""
    machines = machine_lacks(made)
    # One machine that is busy far too long leaves those before it no time at all: it alone is the cause.
    causes = [lack for lack in machines if lack.window.there > 0]
    return [
        *(_machine(made, lack) for lack in causes or machines),
        *(_people(made, lack) for lack in people_lacks(made)),
        *(_sets(made, lack) for lack in set_lacks(made)),
    ]


def clashing(made: OfficeDay, clash: Clash) -> Finding:
    """Visits that cannot all begin in time, with what each holds and how long."""
    visits = sorted({holder.job.number: holder.job for holder in clash.holders}.values(), key=lambda job: job.ready)
    named = [f"{clock(job.ready)} ({made.office.visits[job.work.name].title})" for job in visits]
    what = listed([made.pool_title(pool) for pool in clash.pools], "or")
    booked = {booking.visit: booking.span for booking in made.caseload.bookings}
    return finding(
        "W10",
        made.caseload.span,
        f"The visits of {listed(named)} in “{made.caseload.title}” cannot all begin within "
        f"{show_duration(COURTESY)} of their hour: there is {clash.number} × {what}.",
        floor="Somebody sits in the waiting room, whatever anybody does.",
        walk=[_held(made, holder) for holder in sorted(clash.holders, key=lambda holder: holder.job.ready)],
        fix="Space these visits further apart, or have one more on duty or one more chair.",
        notes=[Note("booked here", booked[job.work.name]) for job in visits if job.work.name in booked][:3],
    )


def _held(made: OfficeDay, holder: Holder) -> WalkStep:
    activities, begins = holder.job.work.activities, holder.job.ready
    first, last = activities[holder.first].title, activities[holder.last].title
    until = "" if first == last else f" until “{last}” is done"
    visit = made.office.visits[holder.job.work.name]
    hours = f"{clock(begins)} to {clock(begins + COURTESY)}"
    return WalkStep(f"begins {hours}: “{first}”{until}, {show_duration(holder.seconds)}", visit.span)


def _machine(made: OfficeDay, lack: MachineLack) -> Finding:
    what = listed([made.pool_title(pool) for pool in lack.pools], "or")
    window = lack.window
    walk = []
    for feed, units, loads in window.loads:
        each = "visit" if lack.chairs else "load"
        name = made.office.visits[str(feed.name)].title if lack.chairs else made.office.procedures[str(feed.name)].title
        sets = "" if lack.chairs else f"{units} sets from {clock(window.since)} on, by {name}: "
        lead = f"“{name}”: " if lack.chairs else sets
        walk.append(
            WalkStep(
                f"{lead}{_count(loads, each)} of {show_duration(feed.hold)} = {show_duration(feed.hold * loads)}",
                made.office.visits[str(feed.name)].span if lack.chairs else made.office.procedures[str(feed.name)].span,
            )
        )
    number = sum(made.day.pools[pool] for pool in lack.pools)
    times = f"{number} × " if number > 1 else ""
    walk.append(
        WalkStep(
            f"from {clock(window.since)} to {clock(window.until)} there is "
            f"{times}{show_duration(window.there // number)}: {show_duration(window.short)} short"
        )
    )
    notes = [Note(f"booked {each.text}", each.span) for each in made.caseload.bookings]
    notes += [Note(made.pool_title(pool), made.office.devices[pool.partition(" ")[2]].span) for pool in lack.pools]
    return finding(
        "W01",
        made.caseload.span,
        f"{what} cannot keep up with “{made.caseload.title}”: from {clock(window.since)} on "
        f"{show_duration(window.asked)} of work come, and until {clock(window.until)} there is "
        f"{show_duration(window.there)}.",
        floor=f"Sets are left over in the evening, or go out unsterile. All must be ready by {clock(made.ready_by)}.",
        walk=walk,
        fix="Book the last visits earlier, let fewer sets be used, have one machine more, or `ready by …` later.",
        notes=notes,
    )


def _people(made: OfficeDay, lack: PeopleLack) -> Finding:
    who = listed([made.pool_title(pool) for pool in lack.pools], "or")
    walk = [WalkStep(f"{name}: {show_duration(seconds)}") for name, seconds in lack.parts]
    walk.append(
        WalkStep(
            f"{lack.number} on duty from {clock(lack.since)} to {clock(made.ready_by)}: {show_duration(lack.there)}, "
            f"{show_duration(lack.asked - lack.there)} short"
        )
    )
    return finding(
        "W04",
        made.caseload.span,
        f"From {clock(lack.since)} on, “{made.caseload.title}” asks {who} for {show_duration(lack.asked)} of work, "
        f"and there is {show_duration(lack.there)}.",
        floor="Steps are skipped or hurried, and nobody says which.",
        walk=walk,
        fix="More people on duty (`on duty 2 …` in the caseload), other roles in the steps' `by`, or fewer visits.",
    )


def _sets(made: OfficeDay, lack: SetLack) -> Finding:
    item = made.office.items[lack.item]
    return finding(
        "W02",
        made.caseload.span,
        f"At {clock(lack.at)} {lack.needed} × {item.title} are away from the cabinet; the office owns {lack.owned}.",
        floor="A patient sits in the chair and there are no sterile instruments.",
        walk=(
            WalkStep(
                f"a set is back {show_duration(lack.back_after)} after its visit begins, at the quickest", item.span
            ),
            WalkStep(
                f"visits booked after {clock(lack.at - lack.back_after + COURTESY)} and up to {clock(lack.at)} use "
                f"{lack.needed}, even if each patient waits {show_duration(COURTESY)}"
            ),
        ),
        fix=f"Own {lack.needed} (`count {lack.needed}`), or space these visits further apart.",
        notes=(Note(f"count of {item.title}", item.span),),
    )


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"
