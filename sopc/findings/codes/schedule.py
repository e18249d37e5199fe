"""Codes about recurring work: supplies renewed, tasks due, logs kept."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

LABEL = "Label of the product: shelf life of use dilutions"
RECUR = "Recurrence as in RFC 5545; opening hours as the office states them"

CODES: tuple[Code, ...] = (
    Code(
        "S01",
        "Used after it has run out",
        Severity.ERROR,
        """
A supply keeps for a time (`use within`), and the tasks that renew it do not come round often enough. Opening hours are
counted: what is made at the start of a nine-hour day is nine hours old at its end. Where every task that uses it is due
at the start or at the end of the day, only those moments count.

Not so: `use within 8 h`, renewed at the `start of day`, and the office is open from 08:00 to 17:00.

But so: a second schedule in the same task, `every day at 12:30`.
""",
        LABEL,
    ),
    Code(
        "S02",
        "Diluted, but for how long?",
        Severity.WARNING,
        """
A dilution does not keep like the concentrate. The label says how long; the container must carry it.

Not so: `supply bleach … { dilute 1 part to 9 parts }`

But so: `supply bleach … { dilute 1 part to 9 parts  use within 24 h }` and a task that `renews bleach`.
""",
        LABEL,
    ),
    Code(
        "S03",
        "Nothing renews it",
        Severity.WARNING,
        """
The supply keeps only for a time and is used, but no task renews it.

But so: `task fresh "Make up fresh solution" { by assistant  start of day  renews bath_solution  record bath_log }`.
For what is made when it is needed: a task `after "a spill"` that performs the procedure and `renews` the supply.
""",
        LABEL,
    ),
    Code(
        "S04",
        "Renewed only when something happens",
        Severity.WARNING,
        """
What is made after an event is fresh for what is done then. Where a task that is due by the calendar uses it too, nobody
can tell how old it is by then.

Not so: `task spill_mix { after "a spill"  renews bleach }` alone, when the weekly cleaning uses `bleach` as well.

But so: a schedule by the calendar beside it (`start of day`), or a supply of its own for the other work.
""",
        LABEL,
    ),
    Code(
        "S05",
        "Made fresh for other work",
        Severity.WARNING,
        """
What is made for each load or each patient is fresh for that load or patient. Work that comes at another time and uses
it too finds what is left over, and nobody can tell how old that is. A procedure that no task has done may come at any
time, unless it runs the machine for whose loads the supply is made, or is done after each visit.

Not so: `task mix { each load of washer  renews bath }` alone, when `task wipe { end of day  using bath }` uses it too.

But so: the other task `renews bath` itself, or a schedule by the calendar stands beside `each load of washer`.
""",
        LABEL,
    ),
    Code(
        "S06",
        "Runs out while the work goes on",
        Severity.WARNING,
        """
What is made for a load, a patient, or by the task that does the work is taken to be made as that work begins. Held
against `use within` is the end of the last step that uses it, on every way, with machines at their slowest and no time
lost in between. Where it would be too old even when made just before it is first used, that is said; where steps do not
say how long they take, it is undecided.

Not so: `use within 30 min`, a bath of `takes 25 to 30 min by machine`, and after it the step that uses it once more.

But so: make it twice, each time for a procedure of its own.
""",
        LABEL,
    ),
    Code(
        "S10",
        "A task that is never due",
        Severity.ERROR,
        """
A task without a schedule appears on no sheet and is done when someone thinks of it.

But so: `start of day`, `every week on mon`, `each load of sterilizer`, `after "a spill"`.
""",
    ),
    Code(
        "S11",
        "Which day?",
        Severity.ERROR,
        """
What is done every week, month, quarter or year names its day. Otherwise the log cannot print the date.

Not so: `every week`

But so: `every week on mon`, `every month on first tue`, `every quarter on day 1`, `every 90 days from 2026-01-05`.
""",
        RECUR,
    ),
    Code(
        "S12",
        "Due on a day the office is closed",
        Severity.WARNING,
        """
Within the coming year the task falls on a day the office is closed, and the text does not say what happens then.

Not so: `every week on mon`, when a Monday is a holiday.

But so: `every week on mon  if closed next open day` (or `previous open day`, or `skip`).
""",
        RECUR,
    ),
    Code(
        "S13",
        "Due on a weekday that is never open",
        Severity.ERROR,
        """
The office is never open on that weekday, so the task is never done.

Not so: `every week on sun` in an office open from Monday to Thursday.

But so: `every week on mon`, or `if closed next open day`.
""",
        RECUR,
    ),
    Code(
        "S14",
        "Due when no one is there",
        Severity.WARNING,
        """
The time of day lies outside opening hours.

Not so: `every day at 18:30`, when the office closes at 17:00.

But so: `end of day`.
""",
    ),
    Code(
        "S15",
        "A task without a record",
        Severity.WARNING,
        """
What is not written down cannot be shown. The task itself, or a step of the procedure it performs, records in a log.
What is done for each patient belongs to the patient's own record and is not asked for here.

But so: `record cleaning_log`; or, if no record is kept on purpose, `because "…"` (or a `note`) that says why.
""",
    ),
    Code(
        "S16",
        "Skipped every time",
        Severity.WARNING,
        """
What is due on a closed day is skipped (`if closed skip`), and within the year every day on which it is due is one.

Not so: `every year on 12-25  if closed skip`, or `every 7 days from` a Sunday, in an office closed then.

But so: `if closed next open day`
""",
        RECUR,
    ),
    Code(
        "S17",
        "Not due for a long time yet",
        Severity.WARNING,
        """
What is due every so many days begins later than that many days from today: often a slip of the year.

Not so: `every 90 days from 2036-01-05`, checked in 2026.

But so: `every 90 days from 2026-01-05`, the day on which it was done last, or the next one.
""",
        RECUR,
    ),
    Code(
        "S18",
        "Waits for a load that is never run",
        Severity.WARNING,
        """
A task is due with each load of a machine, and no step of any procedure runs a program of it.

Not so: `each load of sterilizer_2`, when every procedure `runs sterilizer …`.

But so: `each load of sterilizer`, or a procedure that `runs sterilizer_2 …`.
""",
    ),
    Code(
        "S20",
        "A log no one writes in",
        Severity.WARNING,
        """
No task, step or training records in this log.

But so: `record spore_log` in the step that reads the result; or take the log out.
""",
    ),
    Code(
        "S21",
        "A log without columns",
        Severity.ERROR,
        """
A sheet with nothing to fill in. Say what is written down:

    column on_date "Date" date
    column temp "Temperature" C from 132 to 137
    column who "Initials" initials
""",
    ),
    Code(
        "S23",
        "No place to sign",
        Severity.REMARK,
        """
An entry belongs to the person who made it: without a place to sign, no one can be asked about it later, and an
inspector cannot tell who did the work. Add `column who "Initials" initials`.
""",
    ),
    Code(
        "S25",
        "What to do beyond the limits?",
        Severity.WARNING,
        """
A limit is of use only if it is said what follows when it is broken: what is stopped, what becomes of the items, who is
told.

But so: `out of limits "Do not use the load. Set it aside and tell the coordinator."`
""",
    ),
    Code(
        "S26",
        "A row longer than its sheet",
        Severity.ERROR,
        """
The row of a log covers more time than the sheet it stands on.

Not so: `sheet weekly one row a month`

But so: `sheet yearly one row a month`
""",
    ),
    Code(
        "S27",
        "A log too wide for its sheet",
        Severity.ERROR,
        """
Side by side, the columns of the log need more than the width of a landscape leaf, each as narrow as a pen and the
longest word of its title allow: 15 mm for initials, 18 mm for a reading or a time, 25 mm for a date, 35 mm for words.

Not so: fourteen columns of readings in one log

But so: two logs; shorter words in the titles; or one column of the kind `choice` in place of several to be ticked.
""",
    ),
    Code(
        "S28",
        "Beyond the limits, and on it goes",
        Severity.WARNING,
        """
A step has a reading or a result written into a column with limits and asks whether it is in order; on “no” the page
simply goes on. The sheet says what to do beyond its limits, the page says nothing of it.

Not so: `check "Clean?" else continue` with `record wash_log column outcome`, of which the sheet accepts “clean” only

But so: `else stop "…"`, `else repeat from …`, `else perform … then continue`; or `else lose clean then …`.
""",
    ),
    Code(
        "S29",
        "A run that leaves no record",
        Severity.WARNING,
        """
A log is for a machine, and some procedure that runs it writes its runs down there. Another procedure runs the same
machine, and neither it nor the task that has it done writes into any log for that machine: the sheet looks complete and
is not.

But so: `record bath_log column …` in the step that runs the bath.
""",
    ),
    Code(
        "S30",
        "Which of the two is in order?",
        Severity.WARNING,
        """
A column offers a thing and its opposite (“yes” or “no”, “growth” or “no growth”), a step asks the question behind it
and goes another way on “no”; but the column does not say which of the two it accepts. Neither the sheet nor whoever
looks it through can tell a bad entry from a good one.

Not so: `column result "Sheet" choice "even" or "uneven"`

But so: `column result "Sheet" choice "even" or "uneven" accept "even"`
""",
    ),
)
