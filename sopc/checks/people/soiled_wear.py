"""Is what was soiled off before clean work: equipment worn where anything may come, and then where not all may?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from sopc.checks.people.following import Follower, Way
from sopc.checks.report import asked_by, finding, listed
from sopc.findings import Finding, Note
from sopc.model.nouns import Office, Procedure, Step, Zone

Soiled = frozenset[str]
"""The pieces that are worn since a zone into which anything may come."""


def check(office: Office, today: date) -> Iterator[Finding]:
    """Hold what is soiled against where one goes in it.

    On every path, a piece that says `off before clean` and was worn in a zone that admits anything is not worn at a
    step in a zone that admits only some, unless there was a step without it in between (P18); also from one procedure
    into what it performs and back. What is worn when a procedure begins by itself is not known.
    """
    if not any(piece.off_before_clean for piece in office.ppe.values()):
        return
    watcher = _Watcher(office)
    Follower(office, Soiled(), watcher.after, watcher.at, lambda _, soiled: soiled).follow_all()
    yield from watcher.found.values()


@dataclass(slots=True)
class _Watcher:
    """Looks at what is kept on, from one step of a person to the next."""

    office: Office
    found: dict[tuple[str, str], Finding] = field(default_factory=dict)

    def after(self, step: Step, soiled: Soiled) -> Soiled:
        """The soiled pieces still worn once a step was done; one that does not say what is worn changes nothing."""
        if not step.says_wearing:
            return soiled
        zone = self._zone(step)
        here = zone is not None and not zone.admits
        marked = {name for name in step.wearing if self.office.ppe[name].off_before_clean}
        return Soiled(marked if here else soiled & set(step.wearing))

    def at(self, procedure: Procedure, step: Step, soiled: Soiled, way: Way) -> None:
        """Tell of a step in a clean zone that is done in soiled equipment, once."""
        zone, worn = self._zone(step), soiled & set(step.wearing)
        if zone is None or not zone.admits or not worn or (procedure.name, step.name) in self.found:
            return
        pieces = [self.office.ppe[name] for name in sorted(worn)]
        names = listed([piece.title.lower() for piece in pieces])
        self.found[procedure.name, step.name] = finding(
            "P18",
            step.span,
            f"“{step.title}” is done in “{zone.title}” in {names} worn before where soiled things are handled.",
            floor="Soil goes on the outside of gloves and aprons from the dirty side to what was just cleaned.",
            walk=way(),
            fix="Take it off and clean your hands in a step before, `wearing …` without it; fresh ones may follow.",
            notes=[Note(f"“{piece.title}” asks for it", piece.span) for piece in pieces],
            asked_by=asked_by(self.office, *pieces),
        )

    def _zone(self, step: Step) -> Zone | None:
        area = self.office.areas.get(step.area) if step.area else None
        return self.office.zones.get(area.zone) if area is not None and area.zone is not None else None
