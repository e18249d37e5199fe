"""Is protective equipment put on and taken off in its order, from one step of a person to the next?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sopc.checks.along import unwound, walk
from sopc.checks.paths import NodeKind, PathEdge, Paths, paths_of
from sopc.checks.report import asked_by, finding, listed, title
from sopc.checks.walk import said, walk_told
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Ppe, Procedure, Step

NOT_KNOWN = ""
"""In the place of the step before: nothing is known yet of what a person wears."""


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what the order of donning and doffing promises.

    On every path, from one step of a role to its next in the same procedure: what is only put on has a `put on` number
    not lower than what stays on, what is only taken off a `take off` number not higher (P16). Where some pieces go and
    others come, one changes from work to work, and no order is held. After a performed procedure nothing is known of
    what is worn; that procedure is held to the order itself.
    """
    for procedure in office.procedures.values():
        told: set[tuple[str, str]] = set()
        for role in _roles(procedure):
            yield from _of_role(office, procedure, role, told)


def _roles(procedure: Procedure) -> list[str]:
    named = [role for step in procedure.steps() if step.by for _, role in step.by.roles]
    return list(dict.fromkeys(named))


def _of_role(office: Office, procedure: Procedure, role: str, told: set[tuple[str, str]]) -> Iterator[Finding]:
    paths = paths_of(procedure)
    for (index, before), came in walk(paths, NOT_KNOWN, lambda edge, at: _after(paths, edge, at, role)):
        node = paths.nodes[index]
        if node.kind is not NodeKind.STEP or node.step is None or not _does(node.step, role):
            continue
        earlier = procedure.step(before) if before else None
        if earlier is None or (before, node.step.name) in told:
            continue
        wrong = _out_of_order(office, earlier, node.step)
        if wrong is not None:
            told.add((before, node.step.name))
            yield _told(office, paths, earlier, node.step, wrong, unwound(came, (index, before)))


def _does(step: Step, role: str) -> bool:
    return step.says_wearing and step.by is not None and any(name == role for _, name in step.by.roles)


def _after(paths: Paths, edge: PathEdge, before: str, role: str) -> str:
    node = paths.nodes[edge.source]
    if node.kind is NodeKind.PERFORM:
        return NOT_KNOWN
    if node.kind is not NodeKind.STEP or node.step is None:
        return before
    if node.step.performs:
        return NOT_KNOWN
    return node.step.name if _does(node.step, role) else before


def _out_of_order(office: Office, earlier: Step, later: Step) -> tuple[bool, Ppe, Ppe] | None:
    """Whether it is put on (else taken off), which piece, and the one that stays on and should not."""
    was, now = set(earlier.wearing), set(later.wearing)
    stays = [office.ppe[name] for name in office.ppe if name in was & now]
    if was < now:
        for piece in (office.ppe[name] for name in later.wearing if name not in was):
            for other in stays:
                if piece.put_on is not None and other.put_on is not None and other.put_on > piece.put_on:
                    return True, piece, other
    if now < was:
        for piece in (office.ppe[name] for name in earlier.wearing if name not in now):
            for other in stays:
                if piece.take_off is not None and other.take_off is not None and other.take_off < piece.take_off:
                    return False, piece, other
    return None


def _told(
    office: Office, paths: Paths, earlier: Step, later: Step, wrong: tuple[bool, Ppe, Ppe], path: list[PathEdge]
) -> Finding:
    on, piece, other = wrong
    what, stays = piece.title, title(office.ppe, other.name).lower()
    numbers = (piece.put_on, other.put_on) if on else (piece.take_off, other.take_off)
    kept = f"{stays} (number {numbers[1]})"
    how = f"is put on over {kept}" if on else f"is taken off while {kept} stays on"
    sentence = f"From “{earlier.title}” to “{later.title}” {what} (number {numbers[0]}) {how}."
    order = listed([each.title.lower() for each in sorted((piece, other), key=lambda each: _number(each, on))], "then")
    return finding(
        "P16",
        later.span,
        sentence,
        floor="What is soiled outside touches skin, hair or clean clothes on the way.",
        walk=walk_told(paths, path, [""] * len(path)),
        fix=f"Let it be {order}, in a step of its own; or correct the numbers of `{'put on' if on else 'take off'}`.",
        notes=[Note(f"what was worn before: {said(earlier)}", earlier.span), Note("its number", piece.span)],
        asked_by=asked_by(office, piece, other),
    )


def _number(piece: Ppe, on: bool) -> int:
    return (piece.put_on if on else piece.take_off) or 0
