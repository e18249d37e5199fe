"""Codes about names and declarations: what is missing, said twice, or overridden wrongly."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "N01",
        "A name is not declared",
        Severity.ERROR,
        """
Every name refers to something that is declared somewhere in the office's files or in a pack: a role, an area, a
device, an item … This one is not, or it names something of another kind. A misspelt name gets a suggestion. The same
missing name is told once, with the number of its places.

Not so, if the role was declared as `assistant`:

    by asistant

But so:

    role assistant "Dental assistant"
    by assistant

Names need not be declared before they are used, and the file does not matter.
""",
    ),
    Code(
        "N02",
        "Something is declared twice",
        Severity.ERROR,
        """
Two declarations of the same kind have the same name. Nobody could tell which of the two the paper follows. If the first
one comes from a pack, and yours is to change it, say so by `override`.

Not so, where the pack declares bleach already:

    supply bleach "Bleach" { use within 12 h }

But so:

    override supply bleach {
      use within 12 h
      because "Label of our product."
    }
""",
    ),
    Code(
        "N03",
        "Something has no title",
        Severity.ERROR,
        """
The short name is for the text; paper prints the title. Without one, readers would see `hp_2` where “Handpiece, high
speed” should stand. The title of a step is the instruction itself: begin it with a verb.

Not so:

    item hp_2 { critical }
    step rinse { takes at least 30 s }

But so:

    item hp_2 "Handpiece, high speed" { critical }
    step rinse "Rinse under running water" { takes at least 30 s }
""",
    ),
    Code(
        "N04",
        "There is nothing of that name to override",
        Severity.ERROR,
        """
`override` changes what a pack declares: a thing, or one step of a procedure. No pack that is used declares this one.
Perhaps the name is misspelt, or the line `use pack …` is missing. An override cannot add steps, because a new step
would have no place in the order.

Not so:

    override supply bleech { use within 12 h  because "Our label." }

But so:

    use pack dental_reprocessing
    override supply bleach_spill { use within 12 h  because "Our label." }
""",
    ),
    Code(
        "N05",
        "Something is said twice",
        Severity.ERROR,
        """
This clause can be said only once of a thing: a step has one duration, a supply one storage time, an item one category.
Two of them contradict each other, or one is forgotten when the other is changed.

Not so:

    supply detergent "Detergent" {
      use within 8 h
      use within 24 h
    }

But so:

    supply detergent "Detergent" {
      use within 8 h
    }
""",
    ),
    Code(
        "N06",
        "An override gives no reason",
        Severity.ERROR,
        """
Where the office departs from the pack, an auditor will ask why. The reason is printed beside both wordings. A reason at
the end of the block holds for all of it; a step or program inside may have its own.

Not so:

    override supply bleach_spill { use within 12 h }

But so:

    override supply bleach_spill {
      use within 12 h
      because "The label of our product says 12 hours."
    }
""",
    ),
    Code(
        "N07",
        "A log has no such column",
        Severity.ERROR,
        """
`record LOG column …` names the columns in which something is written at this step. This log has no column of that
name, so there would be no place on the sheet to write it.

Not so:

    log loads "Sterilizer loads" { column result "Result" choice "pass" or "fail" }
    record loads column outcome

But so:

    record loads column result
""",
    ),
    Code(
        "N08",
        "A procedure has no such step",
        Severity.ERROR,
        """
`go to`, `repeat from` and `limit` name steps of the same procedure. There is none of that name in it, so the reader
would be sent to a step that is not there. To go on in another procedure, use `perform`.

Not so, if the step is named wash:

    check "Free of debris?" else repeat from washing at most 2 times then stop "Set it aside."

But so:

    check "Free of debris?" else repeat from wash at most 2 times then stop "Set it aside."
""",
    ),
    Code(
        "N09",
        "A device has no such program",
        Severity.ERROR,
        """
`runs DEVICE PROGRAM` starts a program that the device's own block declares. This device has none of that name; staff
would look for it on the panel in vain.

Not so:

    device sterilizer "Steam sterilizer" { program wrapped "Wrapped" { lasts 40 min by machine } }
    runs sterilizer unwrapped

But so:

    runs sterilizer wrapped
""",
    ),
    Code(
        "N10",
        "A column accepts what it does not offer",
        Severity.ERROR,
        """
A column with choices says which of them is within limits: `accept "pass"`. The accepted entry must be one of the
choices, letter by letter; otherwise no entry could ever be accepted.

Not so:

    column result "Result" choice "pass" or "fail" accept "passed"

But so:

    column result "Result" choice "pass" or "fail" accept "pass"
""",
    ),
    Code(
        "N11",
        "The text names no office",
        Severity.ERROR,
        """
One block says whose protocol this is. Without it no page could carry a name, and no calendar could be drawn.

Not so: a folder with procedures and machines, but without an `office` block.

But so:

    office "Two Birches Dental" {
      open mon to thu 08:00 to 17:00
      altitude 1450 m
    }
""",
    ),
    Code(
        "N12",
        "The office has no opening hours",
        Severity.ERROR,
        """
Log sheets name the days on which the office works, and tasks fall on those days. Without opening hours there are none.

Not so:

    office "Two Birches Dental" { paper a4 }

But so:

    office "Two Birches Dental" {
      open mon to thu 08:00 to 17:00
      open fri 08:00 to 12:00
      paper a4
    }
""",
    ),
    Code(
        "N13",
        "A name is a word of the language",
        Severity.ERROR,
        """
Words that begin declarations and the clauses of procedures and steps cannot be names: step, check, log, item, by, in,
takes, record and the like. Where such a name was used, it would be taken for the beginning of the next clause.

Not so:

    step check "Check the pack"
    log log "Sterilizer loads"

But so:

    step check_pack "Check the pack"
    log loads "Sterilizer loads"
""",
    ),
    Code(
        "N14",
        "An override of something that is not a pack's",
        Severity.ERROR,
        """
An override says where the office departs from a pack, and is printed as a departure. This thing is declared by the
same hand that overrides it: change it where it stands, so that there is one place to read.

Not so:

    role assistant "Assistant"
    override role assistant "Dental assistant" { because "Clearer." }

But so:

    role assistant "Dental assistant"
""",
    ),
    Code(
        "N15",
        "An override cannot add ways or branches",
        Severity.ERROR,
        """
An override changes single steps of a pack's procedure, each by its name; their order stays. A `choose` or `together`
would need a place in that order.

Not so:

    override procedure clean_instruments {
      choose "Which way?" { way "By hand" { step scrub "Brush" } }
      because "We have no washer."
    }

But so: write the procedure anew under a name of your own, and leave the pack's unused.

    procedure clean_by_hand "Clean instruments by hand" {
      step scrub "Brush each instrument under the water line" { takes 3 to 6 min }
    }
""",
    ),
    Code(
        "N16",
        "Too many outcomes follow one another",
        Severity.ERROR,
        """
After a “no” one thing follows, at most two or three: repeat, then stop. A longer chain cannot be kept in mind by
someone who stands at the bench with wet gloves.

Not so:

    check "Dry?" else perform a then perform b then perform c then perform d then perform e …

But so: make steps of it, and lead there.

    check "Dry?" else go to dry_again
""",
    ),
    Code(
        "N17",
        "Nothing of a pack is used",
        Severity.REMARK,
        """
`use pack …` reads a pack, but the office names nothing that the pack declares, overrides nothing of it, and the pack
brings nothing that counts by itself, such as requirements, procedures, tasks or published minimums. Perhaps the line is
left over, or the office's own declarations stand where the pack's were meant.

Not so:

    use pack lab_work

But so: take the line out; or use what it declares.

    use pack lab_work
    step rinse "Rinse the impression" { does rinse_impression }
""",
    ),
)
