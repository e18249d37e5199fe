"""Codes about a day's work: machines, chairs, people and sets against the visits booked."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

SCHEDULING = (
    "Lower bounds of resource-constrained scheduling (energy over a window of time); Baptiste, Le Pape, Nuijten"
)
POSTING = "Precedence constraint posting (Smith and Cheng, AAAI 1993), proved by dynamic controllability (Morris 2014)"

CODES: tuple[Code, ...] = (
    Code(
        "W01",
        "More than the machine or the chair can do",
        Severity.ERROR,
        """
From some hour on, more comes than the machine can take before the day's work must be ready, in whatever order it is
done. The sum is printed: how many sets, how many loads, how long each holds the machine (loading and unloading
included, machines at their longest), and the time there is.

Not so: one sterilizer that holds 6 cassettes and runs for 58 min, 4 cassettes an hour until 16:00, closing at 17:00.

But so: the last visits earlier; a second machine (`count 2`); visits that need fewer sets; or `ready by 18:30`, if
somebody stays.
""",
        SCHEDULING,
    ),
    Code(
        "W02",
        "More sets in use at once than there are",
        Severity.ERROR,
        """
Even if everything goes as fast as the text allows, more sets of a kind are away from the cabinet at one time than the
office owns (`count` of the item). A patient waits for instruments, or gets them unsterile.

But so: own more sets, or book fewer visits of that kind within the time a set needs to come back.
""",
        SCHEDULING,
    ),
    Code(
        "W03",
        "Sets too few when things take long",
        Severity.WARNING,
        """
When machines and patients take their longest, more sets of a kind are away at once than the office owns. On quick days
it may go well. `sopc plan` says how often.

But so: own as many as the plan asks for.
""",
        SCHEDULING,
    ),
    Code(
        "W04",
        "More work than people",
        Severity.ERROR,
        """
The hands-on work that falls to a role (or to roles that stand in for each other) takes longer than the people on duty
are there, even when they take the shortest times the text allows.

But so: more people on duty (`on duty 2 assistant` in the caseload, or in the role); other roles in the steps' `by`;
fewer visits.
""",
        SCHEDULING,
    ),
    Code(
        "W05",
        "A day neither shown to fit nor shown not to",
        Severity.REMARK,
        """
No sum shows that the day cannot be kept, but no plan was found either that keeps every limit whatever machines and
patients take. The remark says by how much the best plan found misses. Another order of work may do; on most days it may
go well all the same: `sopc plan` says how often.

A day shown to fit has no finding: then there is an order of work that keeps every limit, inside each procedure and
along the circuits, and `sopc plan` prints it.
""",
        POSTING,
    ),
    Code(
        "W06",
        "The day's plan lacks something",
        Severity.WARNING,
        """
A visit does not say how long it lasts; it uses an item that no circuit brings back; a circuit names no items or no
procedures; a load is put into a machine that does not say how many it holds. The plan then counts too little: nothing
for the time, one set at a time for the machine.

But so: `lasts 40 to 60 min` in the visit; `circuit … { for cassette  perform … }`; `holds 6 cassette` in the device.
""",
    ),
    Code(
        "W07",
        "Booked when the office is closed",
        Severity.ERROR,
        """
A visit begins at an hour, or a caseload is meant for a day of the week, at which the office is not open.

But so: other hours, or `open` in the office block.
""",
    ),
    Code(
        "W08",
        "The waits allowed break a limit of the circuit",
        Severity.ERROR,
        """
A circuit says how much time may pass from one moment to a later one of another procedure, and the texts themselves
allow more: a load may wait so long for its machine, the machine takes so long, and the sum is beyond the limit. Or a
procedure on the way says of the same moment that it may come later than the circuit allows. The sum is printed.

Not so: `loads wait at most 2 h` where soil may dry no longer than an hour before the wash starts.

But so: `loads wait at most 30 min`; or a step that makes the wait safe, and a limit that does not hold when it was
done: `limit wash of washing starts within 60 min after visit ends unless moisten of transport`.
""",
        "Sum of what must be allowed for along the way: waits as stated, machines at their longest",
    ),
    Code(
        "W09",
        "A limit of a circuit that is not shown to be kept",
        Severity.WARNING,
        """
No plan was found that keeps this limit of a circuit whatever machines and patients take, though all else is kept; the
warning says what could be promised, and where the time went. Or the limit cannot be looked at: it names a moment that
does not come on the way of every visit, or comes more than once; or no caseload books a visit that uses the items.

But so: less patience at the machines (`loads wait at most …`), one machine or person more, visits further apart; or
names of steps that are done once on the way from the visit to the cabinet.
""",
        POSTING,
    ),
    Code(
        "W10",
        "Visits that cannot all begin in time",
        Severity.ERROR,
        """
The visits named ask for the same people or chairs at the same time, and in no order can each begin within 15 min of its
hour, whatever is done with the used sets. Roles that stand in for each other count as one; patients take their longest.
No visit named can be left out: the others alone would do.

Not so: two fillings at 09:00 and 09:10 with one dentist.

But so: visits further apart; one more on duty (`on duty 2 dentist`); or another role in the visit's `by`.
""",
        "Pairs that can neither overlap nor follow each other, then bounded search over orders; deletion filter",
    ),
    Code(
        "W11",
        "Days that are not shown to follow each other",
        Severity.WARNING,
        """
A caseload that is ready only `next day` leaves sets and loads over. Each day is shown by itself from a morning on which
every set is ready; here no order of work was found in which the days of the week, one after the other, keep all limits,
each begun with what the one before left. A row of days ends with one that has all ready on the same day; without such a
day it must come round to a morning that finds all as an earlier one did. Weeks with closed days are not looked at.

Not so: six loads a day for a machine that can do five, each day `ready by 10:00 next day`.

But so: a shorter day in between that is ready by closing, fewer visits, or a second machine.
""",
        POSTING,
    ),
)
