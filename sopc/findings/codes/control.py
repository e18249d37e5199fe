"""Codes about document control and requirements."""

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
        "C06",
        "Requirements without an answer",
        Severity.REMARK,
        """
Each requirement is met by something (`meets MON-03` in a step, task, log, device or training), set aside for now with a
date and a reason, or not applicable with a reason. These are none of the three. The binder lists them as open.
""",
    ),
    Code(
        "C07",
        "Two answers to one requirement",
        Severity.WARNING,
        """
The requirement is met by something, and also set aside or said to be not applicable. Take out what is no longer true.
""",
    ),
    Code(
        "C08",
        "Set aside too long",
        Severity.ERROR,
        """
`set aside … until …` ends with its date. Either the requirement is met by now, or someone decides again, with a new
date and a reason that holds today.
""",
    ),
)
