"""Codes about time: limits that can be kept, and who decides how long something takes."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

STN = "Dechter, Meiri, Pearl: Temporal constraint networks, Artificial Intelligence 49 (1991)"
STNU = "Morris: Dynamic controllability and dispatchability relationships, CPAIOR 2014"

CODES: tuple[Code, ...] = (
    Code(
        "T01",
        "Times that cannot be kept together",
        Severity.ERROR,
        """
Some lines need more time than another allows. Exactly the lines that clash are listed, with their sum; take any one
of them away and the others can be kept. The fix is the smallest change of one line that repairs it. Lines that cite
law or instructions are never offered for change.

Not so:

    step soak "Soak" { takes at least 30 min }
    step wash "Wash" { takes at least 40 min }
    limit wash ends within 60 min after soak starts

But so: `limit wash ends within 70 min after soak starts`, if that is allowed; or soak for less; or let other work that
lies between go on side by side (`together`).
""",
        STN,
    ),
    Code(
        "T02",
        "A limit that depends on luck with the machine",
        Severity.ERROR,
        """
The limit can be kept if the machine happens to take the right time, but not whatever it takes. Staff see only what has
happened so far; they cannot know in advance when the machine will be done.

Not so: the washer takes 35 to 50 min by machine, and

    limit unload starts within 40 min after wash starts

But so: count from the end of the cycle (`… after wash ends`), or allow for the longest cycle and the time staff need
to react.
""",
        STNU,
    ),
    Code(
        "T03",
        "Nothing says how long at most",
        Severity.WARNING,
        """
The step ends when a machine or the outcome says so (“until dry”), and the text gives no longest time. Whoever waits
does not know when something is wrong, and no later limit can be promised. So it is with a machine whose program does
not say how long it `lasts`.

Not so: `takes at least 10 min until "dry"`

But so: `takes 10 to 30 min until "dry"` with `check "Dry?" else repeat from dry at most 1 times then stop "…"`.
""",
        STNU,
    ),
    Code(
        "T04",
        "Who decides how long?",
        Severity.WARNING,
        """
The step uses a machine that runs programs, and its time is a range. If staff decide, they can aim for any time in the
range; if the machine decides, they cannot. The verdict on time limits depends on it.

Not so: `using sterilizer  takes 35 to 50 min`

But so: `runs sterilizer wrapped` (the program says how long), or `takes 35 to 50 min by machine`, or `… by staff`.
""",
        STNU,
    ),
    Code(
        "T05",
        "A limit that never binds",
        Severity.WARNING,
        """
On no way through the procedure does the later moment come after the earlier one. Mostly the two are the wrong way
round, or they stand in different ways of a choice.

Not so, when soaking comes first: `limit soak starts within 30 min after wash ends`

But so: `limit wash starts within 30 min after soak ends`
""",
    ),
    Code(
        "T06",
        "Not every way was looked at",
        Severity.REMARK,
        """
The procedure parts so often between the moments that limits name that its ways are too many to try one by one. The
plain way, every single departure from it and the longest way were tried. What was not tried is not proven.

Split the procedure, or ask fewer questions between the two moments of a limit.
""",
    ),
    Code(
        "T07",
        "A limit over steps of unknown length",
        Severity.WARNING,
        """
Between the two moments of the limit something is done of which the text does not say how long it takes, or only how
long at most. No one can tell whether the limit can be kept; it is not taken for kept. What is left of the limit for
those steps is worked out from all others, machines at their slowest.

Not so:

    step open "Open the box" { }
    step wash "Wash" { takes 20 to 50 min by machine }
    limit wash ends within 60 min after open starts

But so: `step open "Open the box" { takes 10 to 30 s }`, as measured. A step that states only a longest time counts as
that long; where the limit is kept even so, nothing is said.
""",
        STNU,
    ),
    Code(
        "T08",
        "Longer than a day's opening",
        Severity.WARNING,
        """
The step or task keeps staff at it, at the quickest, for longer than the office is open on its longest day. Either the
unit is a wrong one, or it is not staff who decide: waiting for a machine or an outcome keeps nobody.

Not so, when the office is open from 08:00 to 17:00: `takes 24 h`

But so: `takes 24 h by machine`, or `takes 24 to 26 h until "the color has changed"`.
""",
    ),
    Code(
        "T09",
        "It runs out while it is in use",
        Severity.WARNING,
        """
A step needs a supply for longer than the supply keeps once it is mixed or opened. Mostly a unit has slipped.

Not so: `use within 10 min`, and a step that uses it `takes 30 to 60 min`

But so: `use within 10 h`, if the label says so; or renew it before the step and between its parts.
""",
    ),
    Code(
        "T10",
        "Kept only by doing two things at once",
        Severity.WARNING,
        """
Branches side by side are for the same role, of which one is on duty, and the limit leaves less time than their work
takes one after the other. What staff choose the time of counts as work; a machine that runs, a wait until something is
done and the contact time of a chemical do not.

Not so: two branches of 10 min each `by dentist`, and `limit procedure ends within 15 min after procedure starts`.

But so: one of the two `by assistant`
""",
        STNU,
    ),
    Code(
        "T11",
        "A limit that depends on how a performed procedure goes",
        Severity.WARNING,
        """
A step performs a procedure that asks questions or goes several ways, so that it takes now this long, now that long.
The limit can be kept at the slowest; but only one who knew beforehand how the answers fall could surely begin other
work at the right moment. sopc does not look into every turn of such a procedure, and says that this is undecided. Where
the steps of what is performed simply follow each other, they are looked at one by one, and T02 tells.

Not so, when `wash_up` takes 5 to 30 min, as the wash must be repeated or not:

    together {
      branch "Instruments" { step a "Wash up" { perform wash_up } }
      branch "Room" { step b "Set up" { takes 3 min } }
    }
    limit a ends within 3 min after b ends

But so: count from what is seen (`limit b starts within 3 min after a ends`), or do one after the other.
""",
        STNU,
    ),
    Code(
        "T12",
        "A limit that depends on an answer not yet given",
        Severity.WARNING,
        """
In branches side by side one of them asks a question, repeats or chooses, so that it takes now this long, now that
long. However the answers fall, the limit could be kept by who knew them beforehand; but no way of working was found
that keeps it whatever the answer, each thing being begun no sooner than what it must wait for is known. Many manners of
waiting are tried, not all: it is undecided.

Not so, when the wash may have to be repeated:

    together {
      branch "Instruments" {
        step a "Wash" { takes 20 min  check "Clean?" else repeat from a at most 1 times then continue }
      }
      branch "Room" { step b "Set up" { takes 10 min } }
    }
    step c "Lay out" { takes 1 min }
    limit c starts within 5 min after b ends
    limit c starts within 8 min after a ends

But so: do one after the other (`step b` behind the branches), or allow for the time of `b` after `a` ends.
""",
        STNU,
    ),
)
