"""Codes about words and figures: what a page says twice, and not the same."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "X01",
        "The words say another time",
        Severity.WARNING,
        """
The title of a step says how long it lasts (“keep wet for two minutes”, “…, ten minutes”), or a note does and says
nothing else (“At least thirty seconds.”, “Never longer than 15 minutes”); the clause lets it be over sooner, or last
longer. Day plans and limits go by the clause, people by the words. Longer than the words say is let pass where they
give no longest time: one may have several to do.

Not so: `step soak "Soak for ten minutes" { takes 1 to 2 min }`

But so: `step soak "Soak for ten minutes" { takes 10 to 12 min }`; or a limit that lets so much time go by after it.
""",
    ),
    Code(
        "X02",
        "The words speak of another cycle",
        Severity.WARNING,
        """
A step that runs a program says in words how hot it gets and for how long it holds (“270 °F for 4 minutes”) or dries
(“dry 20 to 30 minutes”), and the program does otherwise; or the program's own title names another temperature.

Not so:

    program wrapped "Wrapped, 275 °F" { steam prevacuum at 270 F for 4 min dry 20 min suits wrapped }

But so: `program wrapped "Wrapped, 270 °F" { steam prevacuum at 270 F for 4 min … }`

Where the words name several cycles, one of them must be the program's.
""",
    ),
    Code(
        "X03",
        "The question asks for what the sheet does not",
        Severity.WARNING,
        """
A step asks whether a reading is in order (“270 to 275 °F, 4 minutes or more?”) and has it written down in a column that
accepts something else, or anything. An end that the question leaves open may be drawn on the sheet all the same.

Not so: `check "At least 194 °F?"` with `record washer_log column peak` and `column peak "Peak" F at least 180`

But so: `column peak "Peak" F at least 194`
""",
    ),
    Code(
        "X04",
        "The words say other parts, or another age",
        Severity.WARNING,
        """
A solution is mixed in the parts of its clause `dilute`; a step that uses it, or its own note, says others (“one part
with nine parts water”, “1 + 9”, “1:10”). Or its note, or the place cited, says by when it is used up (“used within
fourteen days”, “fresh each day”), and `use within` lets it keep longer.

Not so: `supply strip "Test strips" { use within 60 day note "An opened tube is used up within thirty days." }`

But so: `use within 30 day`
""",
    ),
    Code(
        "X05",
        "Done when no task has it done",
        Severity.WARNING,
        """
The head of a procedure prints when it is done (“at the start of the day”, “every Monday”, “after each patient”), and of
the tasks that have it done none is due then. Calendars and task lists go by the tasks, people by the page.

Not so: `done "every Monday"`, when the task that performs it says `every week on thu`.

But so: `every week on mon` in that task; or the day that is meant in `done`.
""",
    ),
)
