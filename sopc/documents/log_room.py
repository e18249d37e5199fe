"""Tells which logs find no room on their paper, without drawing a sheet of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from sopc.documents.log_grid import TooWide, too_wide
from sopc.documents.log_periods import periods
from sopc.documents.log_tables import tables_of
from sopc.model.nouns import Log, Office


@dataclass(frozen=True, slots=True)
class NoRoom:
    """A log that cannot be printed: even across a landscape page its columns are too narrow for a pen."""

    log: Log
    wide: TooWide

    @property
    def sentence(self) -> str:
        """What is wrong, in plain words."""
        return (
            f"The columns of the log “{self.log.title}” need {self.wide.needed:.0f} mm side by side, and a landscape "
            f"page has {self.wide.available:.0f} mm."
        )

    @property
    def fix(self) -> str:
        """What helps."""
        return "Take columns away, shorten long words in their titles, or make two logs."


def no_room(office: Office, log: Log, first: date, last: date) -> NoRoom | None:
    """Whether a sheet of the log for the days from `first` to `last` is too wide, however it is set out."""
    for device in log.for_devices or (None,):
        for period in periods(log.period, first, last):
            found = [too_wide(table, office.premises.paper) for table in tables_of(office, log, device, period)]
            if found and found[0] is not None and None not in found:
                return NoRoom(log, found[0])
    return None
