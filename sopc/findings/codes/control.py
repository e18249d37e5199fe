"""Codes about document control."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CONTROLLED = "Usual parts of a controlled document: number, revision, date in force, review, owner, approval"

CODES: tuple[Code, ...] = (
    Code(
        "C01",
        "Not a controlled document yet",
        Severity.WARNING,
        """
A page on the wall must say what it is, which revision, from when, who answers for it, who approved it, and when it is
looked over again.

    id "SOP-06"
    revision 3 effective 2026-12-01 review 2027-12-01
    owner coordinator  approver dentist
""",
        CONTROLLED,
    ),
    Code(
        "C02",
        "A number twice",
        Severity.ERROR,
        """
Two documents have the same number (`id`). Pages are filed and replaced by number; give one of them another.
""",
        CONTROLLED,
    ),
    Code(
        "C03",
        "Review overdue",
        Severity.WARNING,
        """
The review date has passed. Look the page over, with the staff who use it; then give it a new revision or, if nothing
changes, a new review date.
""",
        CONTROLLED,
    ),
    Code(
        "C04",
        "Revisions out of order",
        Severity.ERROR,
        """
Past revisions are listed oldest first, each with a higher number and a later date; the one in force comes last.

Not so: `history 2 2026-03-01 "…"` followed by `history 1 2026-05-01 "…"`.

But so: `history 1 2026-03-01 "first issue"`, `history 2 2026-05-01 "new washer"`, then
`revision 3 effective 2026-12-01`.
""",
        CONTROLLED,
    ),
    Code(
        "C05",
        "Review before it is in force",
        Severity.ERROR,
        """
The review date lies before the date in force, or on it. One of the two is a slip.

But so: `revision 3 effective 2026-12-01 review 2027-12-01`
""",
        CONTROLLED,
    ),
    Code(
        "C09",
        "In force only in years",
        Severity.WARNING,
        """
A revision may be printed some weeks before it is in force, so that everyone can be trained. Here the date in force is
more than a year away: mostly a slip in the year.

Not so: `revision 3 effective 2036-12-01 review 2037-12-01`, in 2026

But so: `revision 3 effective 2026-12-01 review 2027-12-01`
""",
        "Common practice, no source",
    ),
)
