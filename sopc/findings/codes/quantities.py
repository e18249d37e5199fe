"""Codes about numbers, units, dates and times of day."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "Q01",
        "A unit is not known",
        Severity.ERROR,
        """
The word behind the number is no unit that sopc knows. Units keep their capitals, as in print: C and F for degrees, mL,
kPa, ppm, CFU/mL. Times are s, min, h, day, week.

Not so:

    takes 5 minuts
    at 132 °C for 4 min

But so:

    takes 5 min
    at 132 C for 4 min
""",
        "The International System of Units (SI Brochure, 9th edition), and units accepted beside it",
    ),
    Code(
        "Q02",
        "A quantity is of the wrong kind",
        Severity.ERROR,
        """
A duration is given in a unit of time, a program's heat in a unit of temperature, and both ends of a range in units of
one kind. Here the unit belongs to something else, so the number would be read as what it is not.

Not so:

    takes 5 mL
    takes 5 min to 10 C

But so:

    takes 5 min
    takes 5 to 10 min

In a log, only a column with a unit, or of kind `number`, can have numbers as its limits.
""",
    ),
    Code(
        "Q03",
        "A range runs backwards",
        Severity.ERROR,
        """
The first value of a range is the smaller one, and the first time of a day the earlier one. The other way round no
value, however chosen, would be right. Parts of a dilution and people on duty must also be more than none.

Not so:

    takes 10 to 5 min
    open mon 17:00 to 08:00
    closed 2027-01-03 to 2026-12-24

But so:

    takes 5 to 10 min
    open mon 08:00 to 17:00
    closed 2026-12-24 to 2027-01-03
""",
    ),
    Code(
        "Q04",
        "A time is not a whole number of seconds",
        Severity.ERROR,
        """
Times are kept in whole seconds; no clock on the wall shows less. A fraction of a minute is fine as long as it comes
out even.

Not so:

    takes 0.33 min

But so:

    takes 20 s
    takes 3.5 min
""",
    ),
    Code(
        "Q05",
        "A number does not fit here",
        Severity.ERROR,
        """
Counts are whole numbers of a sensible size: people on duty, rows of a sheet, repetitions, days between two services.
The message says from where to where.

Not so:

    sheet monthly 5000 rows
    every 0 days from 2026-01-05
    every month on day 32

But so:

    sheet monthly 40 rows
    every 90 days from 2026-01-05
    every month on day 31

In a month that is shorter, the last day counts.
""",
    ),
    Code(
        "Q06",
        "A date or time does not exist",
        Severity.ERROR,
        """
Dates are written year-month-day and must be on the calendar; times of day run from 00:00 to 23:59.

Not so:

    effective 2026-02-30
    open mon 08:00 to 24:30

But so:

    effective 2026-02-28
    open mon 08:00 to 17:00
""",
        "ISO 8601:2019, calendar dates and times of day",
    ),
    Code(
        "Q07",
        "An altitude that no office has",
        Severity.ERROR,
        """
The altitude decides what a pressure gauge should read at a given temperature of steam, and at which temperature water
boils. A value above the highest town is a slip: metres and feet mixed up, or a digit too many.

Not so:

    altitude 7218 m

But so:

    altitude 7218 ft
    altitude 2200 m
""",
        "Boiling point and saturation pressure of water depend on air pressure (IAPWS-IF97, region 4)",
    ),
)
