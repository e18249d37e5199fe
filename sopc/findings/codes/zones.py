"""Codes about zones: which way items go, and as what they come in."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "Z01",
        "Against the flow",
        Severity.ERROR,
        """
An item is where an action or a performed procedure last handled it. It goes from one zone to another only where a
`flow` leads, on every path, into performed procedures and from one stage of a circuit to the next. What fails and goes
back needs a way back that is declared. A zone that no `flow` names takes no items.

Not so: `step wash { does wash  in bench }` after `step pack { does pack  in sterile_room }`, with `flow sink to bench`.

But so: wash before it crosses, or say which way it may go back: `flow bench to sink only contained`.
""",
        "CDC, Best Practices for Cleaning and Sterilization in Dental Settings; one-way flow from memory",
    ),
    Code(
        "Z02",
        "It comes in without what is asked for",
        Severity.ERROR,
        """
A zone `admits` only items that have certain conditions, and a `flow … only …` is a way for such items alone. On some
path an item comes without one of them. Where a procedure handles an item first, it counts as coming in.

Not so: `step inspect { does inspect  in bench }` on soiled tips, when `zone clean_side { admits clean }`.

But so: clean it on its own side first; or contain it first, on a way `only contained`.
""",
        "CDC, Best Practices for Sterilization in Dental Settings, instrument processing area",
    ),
    Code(
        "Z03",
        "Kept in another zone",
        Severity.ERROR,
        """
A zone `keeps` a condition: items come to be so there, wait there, and are found there. A procedure that starts from
such items begins there, one that promises them ends there.

Not so: `does store  in sink_room`, when `zone storage { keeps stored }`.

But so: `does store  in pack_room`, an area of that zone.
""",
    ),
    Code(
        "Z04",
        "In two zones at once",
        Severity.ERROR,
        """
Two branches side by side handle the same item in different zones.

Not so: `branch "One" { … does wash on tip  in sink }  branch "Two" { … does pack on tip  in bench }`

But so: one after the other, or each on items of its own.
""",
    ),
    Code(
        "Z05",
        "A place in no zone",
        Severity.WARNING,
        """
A `flow` is declared, and items are handled in an area that lies in no zone: whether they go along the flow is not
decided.

Not so: `area corner "Corner" { }`

But so: `area corner "Corner" { zone clean_side }`
""",
    ),
    Code(
        "Z06",
        "Two pages name two places",
        Severity.WARNING,
        """
A step performs a procedure and names a place in a zone where that procedure handles nothing.

Not so: `step cook { perform sterilization  in sink_room }`, when sterilizing is done in the sterile room.

But so: `step cook { perform sterilization  in sterile_room }`
""",
    ),
    Code(
        "Z07",
        "To and fro for anything",
        Severity.WARNING,
        """
Ways between zones lead in a circle, be it of two zones or of more, and none of them asks for anything: no way says
`only …`, no zone it leads to `admits …`. Then anything may come from anywhere on it to anywhere else, and the flow
keeps nothing apart. A circle as such is right: instruments go round.

Not so: `flow sink to bench` and `flow bench to sink`

But so: `flow sink to bench` and `flow bench to sink only contained`
""",
        "CDC, Best Practices for Cleaning and Sterilization in Dental Settings; one-way flow from memory",
    ),
)
