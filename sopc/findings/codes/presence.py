"""Codes about what must be there: people, means, places, contact times."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "P01",
        "No one is named to do it",
        Severity.ERROR,
        """
Every step and every task names a role. A role in the procedure holds for all its steps that do not name another.

Not so: `step wash "Wash" { does clean }` in a procedure without `by`.

But so: `by assistant` in the procedure, and `by dentist` in the one step that is hers.
""",
    ),
    Code(
        "P02",
        "What an action is done with is missing",
        Severity.ERROR,
        """
The action says what it is done `with`: a kind of device, a device or a supply. The step must use or run one of them.

Not so: `does sterilize` and nothing else.

But so: `does sterilize  runs sterilizer wrapped`, or `does package  using pouch`.
""",
    ),
    Code(
        "P03",
        "Supplies that must not come together are used together",
        Severity.ERROR,
        """
One of the supplies says `not with` the other: bleach and acids, for one, give off chlorine gas.

Not so: `using bleach, descaler`

But so: one of them only; or two steps with a thorough rinse between.
""",
        "Labels and safety data sheets of the supplies",
    ),
    Code(
        "P04",
        "Supplies that must not come together are kept together",
        Severity.WARNING,
        """
Both stand in the same area, and one says `not with` the other. A leak or a mistaken bottle brings them together.

Not so: `supply bleach … { in sink_room }` and `supply descaler … { in sink_room  not with bleach }`

But so: keep one of them in another area.
""",
        "Labels and safety data sheets of the supplies",
    ),
    Code(
        "P05",
        "Shorter than the contact time",
        Severity.ERROR,
        """
The action `lasts contact time`, and the step may be over before the supply's `contact` has passed. A product wiped off
too soon has not disinfected.

Not so: `takes 1 to 5 min  using wipe`, when the wipe's label says `contact 2 min`.

But so: `takes at least 2 min  using wipe`
""",
        "Label of the product (EPA-registered use directions)",
    ),
    Code(
        "P06",
        "No time stated where contact time counts",
        Severity.WARNING,
        """
The action `lasts contact time`. The page should say how long, where the reader's hand is.

Not so: `does disinfect  using wipe`

But so: `does disinfect  using wipe  takes at least 2 min`
""",
        "Label of the product (EPA-registered use directions)",
    ),
    Code(
        "P07",
        "Contact time of what?",
        Severity.ERROR,
        """
The action `lasts contact time`, but the step uses no supply that states a `contact` time.

Not so: `does disinfect` with nothing used, or with a supply that has no `contact`.

But so: `supply wipe "Wipe" { contact 2 min }` and `does disinfect  using wipe`
""",
        "Label of the product (EPA-registered use directions)",
    ),
    Code(
        "P08",
        "More people than are on duty",
        Severity.ERROR,
        """
The step takes more people of a role at once than are ever on duty. A second person who checks must be another person.

Not so: `by assistant  second person assistant`, when `on duty 1`.

But so: `second person hygienist`
""",
    ),
    Code(
        "P09",
        "It stands elsewhere",
        Severity.WARNING,
        """
The step is done in one area, and a device it uses stands in another: a machine that runs programs, or one that is
`fixed in` its place. The same holds for an item that is fixed: it is worked on where it is.

Not so: `in operatory  runs sterilizer wrapped`, when the sterilizer is `in sterile_room`.

But so: `in sterile_room  runs sterilizer wrapped`
""",
    ),
    Code(
        "P10",
        "No place is named",
        Severity.WARNING,
        """
The office declares areas, and these steps name none. Charts hang where the work is; clean and dirty are kept apart by
place.

But so: `in sink_room` in the procedure, and another `in` where a step is done elsewhere.
""",
    ),
    Code(
        "P12",
        "Done by one who is not trained in it",
        Severity.WARNING,
        """
Where an office declares trainings, one of them must cover each procedure for every role that works by it: the roles of
its steps, those that stand in for them, and those whom a task gives it to.

Not so: `by front_desk` in a procedure that only `training reprocessing { for assistant  covers … }` covers.

But so: `for assistant, front_desk` in that training, or the work given to the assistant.
""",
        "29 CFR 1910.1030(g)(2), for tasks with exposure to blood; elsewhere sopc's own rule",
    ),
    Code(
        "P13",
        "One person would have to be two",
        Severity.ERROR,
        """
A step says `another person than` an earlier one, so that nobody vouches for their own work. On some path, with the
fewest people on duty, nobody else is left who may do it.

Not so: `step free { by officer  another person than load }`, when `load` is `by officer` too and one is on duty.

But so: `by officer or dentist` in one of the two, or let another role stand in.
""",
        "ISO 9001:2015 8.6 and common practice of release: who releases is named (from memory)",
    ),
    Code(
        "P14",
        "Another person than no one",
        Severity.WARNING,
        """
A step says `another person than` one that no path does before it or beside it: there is nobody to be another than.

Not so: `step load { another person than free }`, when `free` comes after `load`.

But so: say it in the later of the two steps.
""",
    ),
    Code(
        "P15",
        "Too little is worn",
        Severity.ERROR,
        """
An action, a supply, or the zone in which an item is handled asks for protective equipment (`wearing`), and the step, or
its procedure, says less. Of pieces joined by `or` one is enough. A step that says nothing wears nothing.

Not so: `does clean_by_hand  wearing gloves`, when the action says `wearing utility_gloves, eyewear or face_shield`.

But so: `does clean_by_hand  wearing utility_gloves, face_shield`
""",
        "CDC, Best Practices for Personal Protective Equipment (dental); 29 CFR 1910.1030(d)(3)",
    ),
    Code(
        "P16",
        "Put on or taken off out of order",
        Severity.ERROR,
        """
From one step of a person to the next, pieces only come on or only come off, and one of them out of its order: something
with a higher `put on` number is worn already, or something with a lower `take off` number stays on. Where some go and
others come, work is changed for other work, and no order is held.

Not so: `wearing gown, mask, gloves`, then `wearing gown, gloves`, when gloves come off first.

But so: `wearing gown, mask`, then `wearing gown`.
""",
        "Common teaching of donning and doffing (from memory); CDC asks that equipment comes off before one leaves",
    ),
    Code(
        "P17",
        "Gloves come off, and hands are not cleaned",
        Severity.ERROR,
        """
A piece of protective equipment says what is done `once off`: after gloves, hands are cleaned before anything else is
touched. From one step to the next of the same person the piece is no longer worn, on some path, and the next step does
none of these actions. A step that performs a procedure counts when the first act of that procedure is one of them,
whichever way it goes. Gloves changed for others came off too.

Not so:

    step sort "Sort the instruments" { wearing utility_gloves }
    step write "Write up the load" { wearing nothing record load_log }

But so, between the two:

    step clean_hands "Clean your hands" { wearing nothing perform hand_hygiene }
""",
        "CDC: Guidelines for infection control in dental health-care settings, MMWR 52 (RR-17), 2003, III and IV",
    ),
    Code(
        "P18",
        "Soiled equipment on the clean side",
        Severity.ERROR,
        """
A piece of protective equipment says `off before clean`. It was worn in a zone that admits anything, and is still worn,
by the same person on some path, at a step in a zone that admits only items in certain conditions. A step without the
piece in between will do: what is put on after it is taken for fresh.

Not so, where the cleaning area admits anything and the packing area only what is clean:

    step wash "Wash it" { wearing utility_gloves in cleaning }
    step pack "Pack it" { wearing utility_gloves in packing }

But so, between the two:

    step hands "Clean your hands" { wearing nothing does wash_hands in cleaning }
""",
        "CDC: Guidelines for infection control in dental health-care settings, MMWR 52 (RR-17), 2003, IV",
    ),
)
