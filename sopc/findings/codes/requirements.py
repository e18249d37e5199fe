"""Codes about requirements."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "M01",
        "Said to be met, and is not",
        Severity.ERROR,
        """
A requirement consists of sentences (`requires …`), and each of them is held against the office's texts. Something says
that it meets this requirement (`meets …`), but one of the sentences does not hold, or cannot be told to hold. The
finding names what came closest and what it lacks.

    requirement MON-03 "Spore test at least weekly, kept three years" {
      requires a task that meets this, in every calendar week
      requires a log that meets this, kept at least 3 years
    }

Not so: `log spore_log "Spore tests" { keep 1 years  meets MON-03 }`

But so: `log spore_log "Spore tests" { keep 3 years  meets MON-03 }`

Where the office decides otherwise for a time, `set aside … until … by … because …` says so, and it is printed.
""",
    ),
    Code(
        "M02",
        "Requirements that stand open",
        Severity.WARNING,
        """
These requirements are not met by the texts, nothing is said to meet them, and no one has decided to set them aside.
`sopc check --requirements` lists each with what it asks for. Write what is asked for; or `set aside … until … by …
because …`; or, where there is no such thing in the office, `not applicable … because …`.

But so: `not applicable MON-04 because "This office places no implants."`
""",
    ),
    Code(
        "M03",
        "Says that it meets what does not look at it",
        Severity.REMARK,
        """
It says that it `meets` a requirement, but the requirement's sentences look at other things: at a task where this is an
area, at steps that do something else. The requirement is met without it, and the page for the inspector does not name
it.

Not so: `area packing "Packaging" { meets MON-03 }`

But so: `task spore_weekly "Spore test" { does biological_test on sterilizer  every week on mon  meets MON-03 }`
""",
    ),
    Code(
        "M04",
        "Set aside too long",
        Severity.ERROR,
        """
`set aside … until …` ends with its date. Either the requirement is met by now, or someone decides again, with a new
date and a reason that holds today.
""",
    ),
    Code(
        "M05",
        "Two answers to one requirement",
        Severity.WARNING,
        """
The requirement is set aside or said to be not applicable, and yet the texts meet it, or something is said to meet it.
Take out what is no longer true.
""",
    ),
    Code(
        "M06",
        "A requirement that nothing decides",
        Severity.WARNING,
        """
A requirement has neither a sentence that the texts decide nor the mark that eyes must see it.
Anything that says `meets` would do, whatever it holds.

Not so: `requirement OUR-01 "The bench is wiped after each patient" { group "Ours" }`

But so: `requirement OUR-01 "The bench is wiped after each patient" { requires a task that meets this, each patient }`
""",
    ),
    Code(
        "M07",
        "A sentence that makes no sense",
        Severity.ERROR,
        """
A sentence says of a thing what cannot be said of it, or ties two things that have nothing to do with each other: a log
wears no gloves, and no supply belongs to a role. Such a sentence is never decided.

Not so: `requires a log that meets this, wearing gloves`

But so: `requires a step that meets this, wearing gloves`
""",
    ),
)
