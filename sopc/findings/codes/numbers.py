"""Codes about numbers that hurt when wrong: steam, exposure, drying, A0, limits of what is read."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

_STEAM = "IAPWS-IF97, region 4 (saturated steam); ISO 2533:1975 (standard atmosphere)"
_ROWS = "The row of the published table that the finding names; it stands as `minimum` in the pack"

CODES: tuple[Code, ...] = (
    Code(
        "L01",
        "Pressure and temperature do not belong together",
        Severity.ERROR,
        """
Saturated steam of one temperature has one pressure. A gauge counts from the air around it, and the air is thinner
higher up: at 132 °C it shows 185 kPa (26.9 psi) at the coast and 209 kPa (30.4 psi) at 2,200 m. The check works out
what the display must show at the office's `altitude`, for `gauge` or `absolute` pressure, and lets five kilopascals
(0.7 psi) pass: weather moves the air by two or three, and panels round.

Not so, at 2,200 m:

    at 132 C for 4 min
    pressure 186 kPa gauge

But so:

    at 132 C for 4 min
    pressure 209 kPa gauge

Temperature decides; pressure tells whether it is steam. More pressure than belongs to the temperature means air in the
chamber.
""",
        _STEAM,
    ),
    Code(
        "L02",
        "A gauge that cannot be judged",
        Severity.WARNING,
        """
What a gauge must show depends on how high the office lies. Without `altitude` no one can tell whether the figure is
right. Add it to the office, in m or ft; or write `absolute` if the display counts from a vacuum.
""",
        _STEAM,
    ),
    Code(
        "L03",
        "A temperature this process cannot have",
        Severity.ERROR,
        """
Steam under pressure is hotter than boiling water; hot water in an open washer is not, and boils at 93 °C (199 °F) at
2,200 m. Most often a unit has slipped: 121 °F for 121 °C, 270 °C for 270 °F.

Not so:

    steam gravity
    at 121 F for 30 min

But so:

    steam gravity
    at 121 C for 30 min
""",
        _STEAM,
    ),
    Code(
        "L04",
        "Shorter than every published minimum",
        Severity.ERROR,
        """
The time at temperature is below what published tables ask for this process and this kind of load, and no maker's
instructions are named that would allow it. The tables stand in the pack as text, row by row (`minimum`). A temperature
counts as that of a row as tables print it, in whole degrees: 270 °F is the row of 132 °C.

Hold at least what the row asks; or, if the maker says otherwise, cite the maker in the program:

    program wrapped "Wrapped" {
      steam gravity
      at 270 F for 14 min
      suits wrapped
      cite ifu_07 "4.2" read
    }

Then the difference is only remarked (L07). Times worked out from F0 are never a reason to shorten a cycle: F0 counts
equivalent minutes at a reference temperature (121.1 °C here; at 121 °C the same cycle counts 2.5 % more), and presumes
clean items and saturated steam on every surface.
""",
        _ROWS,
    ),
    Code(
        "L05",
        "Drying shorter than every published minimum",
        Severity.ERROR,
        """
Packs that come out wet are not sterile: germs pass through wet paper. Published tables give a drying time beside each
exposure; this program stays below it, or does not say how long it dries, and no maker's instructions are named.

Dry at least as long as the row asks (`dry 20 to 30 min`), or cite the maker's instructions in the program.
""",
        _ROWS,
    ),
    Code(
        "L06",
        "Published minimums differ",
        Severity.WARNING,
        """
Two sources ask for different times at this temperature, and the program keeps one of them only. Dry heat at 150 °C is
an example: 150 minutes in one chart, three hours in European practice. Say by which source the office goes: cite it in
the program, best the maker's instructions. Or keep the stricter one.
""",
        _ROWS,
    ),
    Code(
        "L07",
        "Differs from what is published, by the maker's word",
        Severity.REMARK,
        """
The program is below the published minimum, and a maker's instructions are named. They go first: this is no fault. It is
told so that someone looks once more, and can show the page when asked.
""",
        "CDC, Statement on Reprocessing Dental Handpieces, 2018: the maker's instructions for use go first",
    ),
    Code(
        "L08",
        "No published minimum covers this",
        Severity.WARNING,
        """
No table has a row for this process, kind of load and temperature. That is not the same as no time at all: the 2008
table, for one, has no entry for dynamic air removal at 121 °C. Only the maker's instructions can vouch for such a
cycle; cite them in the program. Between two rows the cooler one is enough; what is less than that is not decided here.
""",
        _ROWS,
    ),
    Code(
        "L09",
        "The A0 aimed at is not reached",
        Severity.ERROR,
        """
A0 counts how much a washer's hot water does, in equivalent seconds at 80 °C: ten degrees more count tenfold, and
nothing counts below 65 °C. 90 °C for one minute is an A0 of 600, five minutes 3000. Half a percent is let pass, as
makers round: 93 °C for five minutes is sold as 6000.

Not so:

    hot water before sterilizing
    a0 3000
    at 90 C for 1 min

But so:

    hot water before sterilizing
    a0 3000
    at 90 C for 5 min
""",
        "ISO 15883-1, definition of A0",
    ),
    Code(
        "L10",
        "Hot water that aims at nothing",
        Severity.WARNING,
        """
How much thermal disinfection is enough depends on what follows, and is contested by country: an A0 of 600 where
sterilizing follows, 3000 by stricter practice and where it does not. So the text says both: `hot water before
sterilizing` or `hot water without sterilizing`, and `a0 …`.
""",
        "EFHSS, question 473 on the A0 value; ISO 15883-1",
    ),
    Code(
        "L11",
        "A program that cannot be compared",
        Severity.WARNING,
        """
A program that heats says by what (`steam gravity`, `steam prevacuum`, `dry heat static`, `dry heat forced`, `chemical
vapor`, `hot water`; `hot air` if it only dries), how hot for how long (`at … for …`), for which loads (`suits wrapped,
hollow`), and how long it dries where published tables ask for it (`dry …`). Only then can published minimums be held
against it. A program that only tests the machine says `suits tests`.
""",
    ),
    Code(
        "L12",
        "A cycle that is never for such items",
        Severity.ERROR,
        """
A published row bars some items: implantable devices, for one, are never sterilized unwrapped. A procedure runs a
program of that kind with an item that is barred.
""",
        _ROWS,
    ),
    Code(
        "L13",
        "Unwrapped, and no word of caution",
        Severity.WARNING,
        """
Some cycles are published together with a caution: what is sterilized unwrapped is used at once, carried covered, and
never stored. The procedure that runs such a program carries no `danger`, `warning`, `caution` or `notice`, neither in
the step nor in its head.
""",
        _ROWS,
    ),
    Code(
        "L14",
        "A published minimum that asks nothing",
        Severity.ERROR,
        """
A `minimum` says of which process it speaks, how hot for how long (or which A0), and who says so. Where one of these is
missing, programs would be held against nothing.

But so:

    minimum gravity_wrapped_132 "Gravity displacement, wrapped instruments" {
      steam gravity
      for wrapped
      at 132 C for 15 min
      dry 15 to 30 min
      cite cdc08 "Table 7" read
    }
""",
    ),
    Code(
        "L15",
        "A limit that lets a bad cycle pass",
        Severity.ERROR,
        """
The lower limit of a log column is below what the program itself is set to: a cycle that stayed too cool, or was held
too short, would be written down as in order. Often the sheet was copied from an older machine. A column of the cycle's
temperature, time or pressure without any limit lets everything pass.

For a washer both columns together count: the coolest temperature and the shortest time that are accepted must still
reach the A0 aimed at.
""",
    ),
    Code(
        "L16",
        "A limit that no good cycle keeps",
        Severity.ERROR,
        """
A log column does not accept what the program itself does: its upper limit is below the temperature the program works
at, or its lower one above the time the program holds. Every good cycle would be out of limits. Either loads are thrown
back, or people learn not to heed limits. Look at the unit of the column too.
""",
    ),
    Code(
        "L17",
        "Limits of pressure and of temperature do not belong together",
        Severity.ERROR,
        """
A log has limits for temperature and for pressure. For saturated steam they are one and the same thing, seen twice: the
pressure column begins and ends where the temperature column does, at the office's altitude. Five kilopascals (0.7 psi)
are let pass, as weather and rounding ask for that much.
""",
        _STEAM,
    ),
    Code(
        "L18",
        "A limit beyond what is published",
        Severity.ERROR,
        """
For some readings bounds are published, and stand in the pack as `bounds`: output water of dental units at most 500
CFU/mL, eyewash water 60 to 100 °F. A column of a log for such a device accepts more than that, or has no limit at all.

A stricter published `goal` (200 CFU/mL, 1995) is asked only of a log that cites its source.
""",
        "The bounds that the finding names; they stand as `bounds` in the pack",
    ),
    Code(
        "L19",
        "The strength is not what the parts make",
        Severity.ERROR,
        """
Parts and stock give one strength; the text says another. Two slips are common. One part and ten parts is called 1:10,
and is 1:11, nine percent weaker: 1:10 is one part in ten parts in all, 1 + 9. And 0.5 % is written as 10,000 ppm: one
percent is 10,000 ppm, half a percent 5,000.

Not so:

    supply bleach "Bleach 1:10" {
      stock 5.25 %
      dilute 1 part to 10 parts
      strength 5250 ppm
    }

But so:

    supply bleach "Bleach 1:10" {
      stock 5.25 %
      dilute 1 part to 9 parts
      strength 5250 ppm
    }

Five percent more or less is let pass: measuring by hand, and whether hypochlorite is read as available chlorine (5.25 %
sodium hypochlorite is 5.00 % available chlorine), make up to that much.
""",
        "WHO 2014, annex G (1:100 is 1 part + 99 parts; 5 % is 50,000 ppm)",
    ),
    Code(
        "L20",
        "Weaker or stronger than the label asks",
        Severity.ERROR,
        """
The strength that parts and stock make lies outside of what the label asks (`works at 500 to 1000 ppm`; a single figure
is the least). Too weak does not disinfect; too strong harms skin, lungs and metal. The finding says what to measure out
for the office's own container (`container 1 qt`), or for a litre.
""",
        "The label of the product",
    ),
    Code(
        "L21",
        "Strong enough? No one can tell",
        Severity.WARNING,
        """
The supply says at which strength it works, but neither how strong its stock is and how it is diluted, nor how strong it
is as it is used. Add `stock …` and `dilute …`, or `strength …`.
""",
    ),
    Code(
        "L22",
        "Dry before its time is over",
        Severity.ERROR,
        """
A disinfectant works for as long as the surface is wet. Wiped once, this one dries (`stays wet 90 s`) before its contact
time is over (`contact 3 min`). The step says that it is wetted again in time, or another product is used:

    step disinfect "Wipe, and keep wet for three minutes" {
      does disinfect_surface
      using wipe
      takes at least 3 min
      rewet every 60 s
    }
""",
        "Labels of disinfectants: the surface stays visibly wet for the whole contact time",
    ),
    Code(
        "L23",
        "Chemicals meet one after the other",
        Severity.ERROR,
        """
Two supplies that must not come together (`not with`) are used in different steps, in the same place and on the same
items, and on some way through the procedure nothing in between takes the first one away. Procedures that are performed
on the way count, and branches side by side. Rinse in between: an action that `removes chemicals`.

But so:

    action rinse "Rinse" { removes chemicals }
    step bleach_it "Wet with bleach" { using bleach }
    step rinse_it "Rinse with plenty of water" { does rinse }
    step descale "Descale" { using acid_cleaner }
""",
        "Canadian Partnership for Children's Health and Environment: risks of cleaning with bleach",
    ),
    Code(
        "L24",
        "A disinfectant without its contact time",
        Severity.WARNING,
        """
A supply that has a strength at which it works, or a time for which it stays wet, disinfects. How long it must stay on
is half of what its label says, and is missing here: `contact 2 min`.
""",
        "Labels of disinfectants: contact time",
    ),
    Code(
        "L25",
        "A mix the log has no box for",
        Severity.ERROR,
        """
The log in which a fresh mix is recorded lets people tick its parts (`choice "1 + 9" or "1 + 49"`), and the parts this
supply is mixed in are not among them. One of the two is wrong.
""",
    ),
    Code(
        "L26",
        "Less time than the program takes",
        Severity.ERROR,
        """
A step lasts as long as the programs it runs, unless it says otherwise; here it says less. Time limits would be proven
with a machine that is done before it can be. Programs of one machine run one after the other.

Not so: `runs washer wash  takes 1 min`, when the program `lasts 8 to 12 min by machine`.

But so: `runs washer wash`
""",
    ),
    Code(
        "L27",
        "Not a program for what is in it",
        Severity.ERROR,
        """
Something is done to items in a machine by a program that is not for them: one that only tests the machine (`suits
tests`), one for items of another category, or, for hollow items, one that is not said to suit them. From hollow items
air must be drawn before steam comes in.

Not so: `does sterilize  runs sterilizer air_test`

But so: `does sterilize  runs sterilizer wrapped`, and `suits wrapped, hollow` in that program.
""",
        "EN 13060 and ANSI/AAMI ST55: cycles are for stated kinds of load (from memory)",
    ),
    Code(
        "L28",
        "A program shorter than its parts",
        Severity.ERROR,
        """
A program holds its temperature and dries; both belong to how long it `lasts`, and heating up comes on top.

Not so: `at 134 C for 4 min  dry 20 min  lasts 15 min`

But so: `at 134 C for 4 min  dry 20 min  lasts 40 to 50 min by machine`
""",
    ),
    Code(
        "L29",
        "By which program?",
        Severity.WARNING,
        """
An action is done with a machine that has programs, and the step runs none of them. Neither the time nor the temperature
can be held against anything.

Not so: `does sterilize  using sterilizer`

But so: `does sterilize  runs sterilizer wrapped`
""",
    ),
    Code(
        "L30",
        "A published number changed without a source",
        Severity.WARNING,
        """
Programs and log columns are held against the published rows of a pack (`minimum`, `bounds`). An office may replace them
by others that are published; then it says by whom.

Not so: `override minimum gravity { because "It takes too long."  at 121 C for 15 min }`

But so: the same with `cite` of the table in which that number stands.
""",
    ),
    Code(
        "L31",
        "Packed otherwise than the program asks",
        Severity.ERROR,
        """
A program that suits `wrapped` loads only is run with an item that on some path is not packed, or one that suits
`unwrapped` loads only with an item that is. Which condition of an item means that it is packed, the condition says:
`condition packaged "Packaged" { is wrapped }`. A program for open trays holds too short for packs and does not dry
them; one for packs leaves what comes out unpacked sterile only until it is touched.

Not so: the program says `suits unwrapped`, and its step `does sterilize on tip` when the tip was packaged before.

But so: run the program that `suits wrapped`, or leave the packaging out and use what comes out at once.
""",
    ),
    Code(
        "L32",
        "Nothing says what is packed",
        Severity.WARNING,
        """
A program suits only one kind of packaging, and no condition of the office says that an item in it is a wrapped load.
Whether the program is run with the right loads is undecided.

Not so: `condition packaged "Packaged"`

But so: `condition packaged "Packaged" { is wrapped }`
""",
    ),
)
