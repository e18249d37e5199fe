"""Codes about the order of work: conditions on every path, and paths that lead somewhere."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

ACTIONS = "The conditions that the protocol's own actions need, bring and undo, checked on every path"
PATHS = "Every path of a flowchart ends in a terminal symbol (ISO 5807:1985)"

CODES: tuple[Code, ...] = (
    Code(
        "O01",
        "An action needs what the item does not have",
        Severity.ERROR,
        """
An action says what it `needs`. On at least one path through the procedure the item comes to it without. The path
is listed: each step, each answer, and where the condition was lost. A path counts even if it is rarely taken; it
will be taken one day.

Not so, because the item is wet when it is packed:

    step rinse "Rinse" { does rinse }
    step pack "Package" { does package }

But so:

    step rinse "Rinse" { does rinse }
    step dry "Dry" { does dry_off }
    step look "Inspect" { does inspect }
    step pack "Package" { does package }

A step with `when "…"` may be skipped, so what it brings cannot be relied on afterwards. If two steps belong to the
same case, put both into one `way` of a `choose`.
""",
        ACTIONS,
    ),
    Code(
        "O02",
        "The procedure does not keep its promise",
        Severity.ERROR,
        """
`handles tip from soiled to sterile` promises that every item is sterile at the end. One path ends without. The
message lists the path and names the line where the condition was lost, or says that nothing ever brought it.

Not so, because a “no” goes on as if it had been a “yes”:

    check "Indicator changed?" else continue

But so, because an ending with `stop` is not bound by the promise:

    check "Indicator changed?" else stop "Set the load aside and tell the coordinator."
""",
        ACTIONS,
    ),
    Code(
        "O03",
        "A branch relies on the one beside it",
        Severity.ERROR,
        """
Branches of `together` are done side by side. Which is faster is not known, so a step in one branch must not need
what only the other branch brings.

Not so:

    together {
      branch "Wash"    { step wash "Wash" { does clean } }
      branch "Package" { step pack "Package" { does package } }
    }

But so: let the branches prepare what is independent, and put what needs both after the closing brace.
""",
        ACTIONS,
    ),
    Code(
        "O04",
        "Side-by-side branches undo each other's work",
        Severity.ERROR,
        """
One branch needs or brings a condition of an item, and a branch done at the same time may take it away. Whether that
goes well depends on who is faster.

Not so: one branch dries the cassette while another rinses it.

But so: first rinse, then dry; or let the two branches work on different items (`does rinse on tray`).
""",
        ACTIONS,
    ),
    Code(
        "O05",
        "A procedure is performed on items that are not ready for it",
        Severity.ERROR,
        """
A procedure starts from conditions: `handles cassette from clean, dry to sterile`. It is performed here on items that
do not have them on some path.

Not so: `perform sterilize_load` straight after rinsing.

But so: dry, inspect and package first; or let the performed procedure start from less and do these steps itself.
""",
        ACTIONS,
    ),
    Code(
        "O06",
        "An action is not for this kind of item",
        Severity.ERROR,
        """
An action can be limited (`only for noncritical`) or barred (`never for heat sensitive`). The item here does not fit,
or does not say what it is.

Not so: `does sterilize on plastic_mirror`, when the mirror is `heat sensitive`.

But so: a `choose` with a way for items that stand the heat and another for those that do not. If the item simply
says nothing yet, add its category: `item mirror "Mirror" { semicritical  heat stable }`.
""",
        "Categories after Spaulding; limits as the protocol's actions state them",
    ),
    Code(
        "O07",
        "A single-use item is made fit for reuse",
        Severity.ERROR,
        """
The item is declared `single use`, and the procedure takes it from a condition into one that excludes it, such as
from soiled to clean. That brings a used item back to another patient.

Not so: `handles suction_tip from soiled to clean`, where the tip is `single use`.

But so: a step that discards it (`does discard on suction_tip`), and `handles suction_tip from soiled to discarded`.
""",
        "CDC, Guidelines for Infection Control in Dental Health-Care Settings 2003, single-use devices",
    ),
    Code(
        "O08",
        "Conditions that exclude each other are asked for at once",
        Severity.ERROR,
        """
No item can be wet and dry at once. A list of conditions that contains both can never be met.

Not so: `needs wet, dry`.

But so: only the one that is meant. If both can hold together after all, take the `excludes` out of the condition.
""",
    ),
    Code(
        "O09",
        "Not known in which condition the items come",
        Severity.ERROR,
        """
What happens to an item can be checked only if the procedure says from which condition it comes. So a step works only on
items that its procedure handles; and a procedure is performed on items it is made for. On others it may be performed
when nothing in it speaks of its own items by name.

Not so: `handles cassette from soiled to sterile` and in a step `does clean on handpiece`. Nor so: a procedure that
handles no items, and `does package` in one of its steps; or a task that `does package` with nothing before it.

But so: `handles cassette, handpiece from soiled to sterile`; or a procedure of its own for the handpiece.
""",
    ),
    Code(
        "O10",
        "No path leads to a step",
        Severity.ERROR,
        """
Whatever is answered, no one who follows the page comes to this step. Often a step before it ends with `next go to …`
or `next stop …` and nothing jumps to the step in question.

Not so:

    step a "Put away" { next stop "Done." }
    step b "Sign"

But so: sign first, then stop; or drop the `next`.
""",
        PATHS,
    ),
    Code(
        "O11",
        "A circle without a way out",
        Severity.ERROR,
        """
From this step on every path leads back into the same steps. The procedure never ends.

Not so: `step b "Dry" { next go to a }` when nothing between a and b leads elsewhere.

But so: `check "Dry?" else repeat from b at most 2 times then stop "Tell the coordinator."`
""",
        PATHS,
    ),
    Code(
        "O12",
        "A repeat without a limit",
        Severity.ERROR,
        """
A repeat must say how often, and what follows when that did not help. Otherwise an item that will not come clean is
washed all day.

Not so: `check "Clean?" else repeat from wash`

But so: `check "Clean?" else repeat from wash at most 2 times then stop "Set it aside and tell the coordinator."`
""",
    ),
    Code(
        "O13",
        "`go to` leads back without a limit",
        Severity.WARNING,
        """
`go to` is for going forward. Going back is a repeat and needs a limit, so that staff know when to give up.

Not so: `check "Clean?" else go to wash`

But so: `check "Clean?" else repeat from wash at most 2 times then stop "Set it aside."`
""",
    ),
    Code(
        "O14",
        "A check says nothing about “no”",
        Severity.WARNING,
        """
A check is a question that can be answered “no”. If nothing follows on it, the question is no use.

Not so: `check "Indicator changed?"`

But so: `check "Indicator changed?" else stop "Do not release the load. Tell the coordinator."`

If work goes on all the same, say that too: `else continue`.
""",
        PATHS,
    ),
    Code(
        "O15",
        "Nothing follows when the repeats are used up",
        Severity.WARNING,
        """
`repeat from wash at most 2 times` says when to stop repeating, but not what to do with the item then.

But so: `repeat from wash at most 2 times then stop "Set it aside and tell the coordinator."`
""",
        PATHS,
    ),
    Code(
        "O16",
        "Procedures perform each other in a circle",
        Severity.ERROR,
        """
Procedure a performs b, and b performs a, directly or through others. Whoever follows the pages never comes to an end.

Not so: “Spill” performs “Change gloves”, which performs “Spill”.

But so: let one of them stop with an instruction, or put the common steps into a third procedure.
""",
        PATHS,
    ),
    Code(
        "O17",
        "A jump into or out of a side-by-side branch",
        Severity.ERROR,
        """
While one branch is done another goes on. A jump from one into the other, or out of both, leaves open what becomes of
the rest.

Not so: in a branch, `check "Clean?" else repeat from` a step that stands before the `together`.

But so: repeat inside the branch; or ask the question behind the closing brace of `together` and repeat all of it.
""",
    ),
    Code(
        "O18",
        "A repeat that leads ahead",
        Severity.ERROR,
        """
A repeat takes the reader back to a step that was done, so that it is done again. A step that comes later has not been
done yet: to leap to it is to skip what lies between.

Not so: in the step `wash`, `else repeat from dry at most 2 times then stop "…"`, where `dry` comes later.

But so: `else repeat from wash at most 2 times then stop "…"`; or, to skip ahead, `else go to dry`.
""",
    ),
    Code(
        "O19",
        "A procedure without steps",
        Severity.WARNING,
        """
A procedure says in steps what is done. One without any promises, meets and is performed, and nothing is done.

But so: `procedure turnover "Turn the room over" { … step strip "Take off the barriers" { } }`
""",
    ),
    Code(
        "O20",
        "An action skips what must come before",
        Severity.ERROR,
        """
A condition says `only after` which others must hold before it, whichever action brings it about. An action brings it
and does not need them, so no step would stop an item that came without. This happens when an office writes an action
of its own, or overrides what one of a pack needs: the new `needs` replaces the whole list.

Not so: `condition sterile "Sterile" { only after clean }`, and

    override action sterilize { needs packaged because "Ours." }

But so:

    override action sterilize { needs clean, packaged because "Ours." }
""",
        ACTIONS,
    ),
    Code(
        "O21",
        "An action leaves standing what must be done again",
        Severity.ERROR,
        """
A condition says `again after` what ends it: once an item is cleaned anew, it is no longer inspected, whatever was seen
before. An action brings that about and does not undo the condition, so that the item would count as inspected still.

Not so: `condition inspected "Inspected" { again after clean }`, and

    action wash "Wash" { brings clean, wet }

But so:

    action wash "Wash" { brings clean, wet undoes inspected }
""",
        ACTIONS,
    ),
    Code(
        "O22",
        "A case for which no way is given",
        Severity.ERROR,
        """
A question has several ways, and each says when it is taken: by a number, by yes or no, or by the class of an item. One
case is left out. Where items are handled, only what these may be is looked at. Numbers begin at zero, but those of
temperature; what is counted begins at one.

Not so:

    choose "How much was it?" {
      way "Small" when "under 10 mL" { step wipe "Wipe it up" { } }
      way "Large" when "over 10 mL" { step soak "Soak it up" { } }
    }

But so: `way "Large" when "10 mL or more"`.
""",
    ),
    Code(
        "O23",
        "No way for all else",
        Severity.WARNING,
        """
Each way of a question says in words of its own when it is taken. That one of them always fits, nobody can tell from the
text; a case that nobody thought of has no way. The way that is right for all else says no `when`. Ways of which none
says one are answers by their titles, from which staff choose.

Not so:

    choose "Which machine?" {
      way "Washer" when "the washer is in order" { step one "Load the washer" { } }
      way "Bath" when "the washer is full" { step two "Fill the bath" { } }
    }

But so: `way "Bath" { … }`, printed as “otherwise”.
""",
    ),
    Code(
        "O24",
        "A limit that nobody counts to",
        Severity.WARNING,
        """
A repeat may be gone through ten times and more. Nobody at a sink or a sterilizer keeps count so far, so that the limit
is none; and what does not come right in a few passes will not come right in ten.

Not so: `repeat from wash at most 20 times then stop "Discard it."`

But so: `repeat from wash at most 2 times then stop "Discard it."`
""",
        "Common practice; no published figure",
    ),
)
