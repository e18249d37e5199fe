"""Codes about the form of the text: words, braces, quotes, units that do not fit where they stand."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "F01",
        "Something does not fit where it stands",
        Severity.ERROR,
        """
Each block takes certain clauses, and each clause has a form. The word that is pointed at fits neither; the message
says what could stand there. Most often a keyword is misspelt, a name or text is missing just before, or a comma is too
many.

Not so:

    step rinse "Rinse under running water" {
      take at least 30 s
      by assistant,
    }

But so:

    step rinse "Rinse under running water" {
      takes at least 30 s
      by assistant
    }

The order of the clauses in a block is free. The reference page shows each clause by an example.
""",
    ),
    Code(
        "F02",
        "A { is never closed",
        Severity.ERROR,
        """
Every { that opens a block needs its }. Here one is missing, and the text goes on with something that cannot be inside
that block, or ends. The message points at the block that most likely lacks it; it judges by the indentation, so a
neatly indented text is diagnosed better.

Not so:

    role assistant "Dental assistant" {
      on duty 1 to 2
    role dentist "Dentist"

But so:

    role assistant "Dental assistant" {
      on duty 1 to 2
    }
    role dentist "Dentist"
""",
    ),
    Code(
        "F03",
        "The file ends in the middle of a clause",
        Severity.ERROR,
        """
The last line is not finished. Perhaps the file was cut off when it was copied or saved; then more may be missing than
the end of this line.

Not so, as the last line:

    use pack

But so:

    use pack dental_reprocessing
""",
    ),
    Code(
        "F04",
        "A } closes nothing",
        Severity.ERROR,
        """
No block is open where this } stands. Either it is one too many, or a block further up was closed too early, and what
should have been inside it now stands outside.

Not so:

    area packing "Packing bench" { zone clean_zone } }

But so:

    area packing "Packing bench" { zone clean_zone }
""",
    ),
    Code(
        "F05",
        "Curly quotation marks",
        Severity.ERROR,
        """
A word processor turned straight quotation marks into curly ones. The language knows only straight ones, so that it is
always plain where a text begins and ends. Inside a text, curly marks are welcome.

Not so:

    role assistant “Dental assistant”

But so:

    role assistant "Dental assistant"
    note "Write “cool” on the tag."

Plain text editors leave quotation marks as they are typed.
""",
    ),
    Code(
        "F06",
        "A character that has no meaning",
        Severity.ERROR,
        """
The language has hardly any signs: braces around blocks, commas in lists, quotes around texts, # before a comment.
Ranges take the word “to”, decimals a point, dilutions their parts in words. Names are made of the letters a to z and
digits, joined by _ or -.

Not so:

    takes 5-10 min;
    dilute 1:10
    step größe "Size"

But so:

    takes 5 to 10 min
    dilute 1 part to 9 parts
    step size "Größe"

An invisible character comes along when text is copied from a web page or a PDF: delete it together with its
neighbours, and type those again.
""",
    ),
    Code(
        "F07",
        "A text has no closing quotation mark",
        Severity.ERROR,
        '''
A text in "quotes" ends on the line on which it begins. A longer one stands between three quotation marks on either
side and may run over many lines. Inside a text use single quotes.

Not so:

    note "Rinse well, and dry
    note "Say "stop" when you see debris"

But so:

    note "Rinse well, and dry."
    note """
      Rinse well.
      Dry with a lint-free cloth.
    """
    note "Say 'stop' when you see debris"
''',
    ),
    Code(
        "F08",
        "A number has no unit",
        Severity.ERROR,
        """
Every quantity carries its unit, because 5 minutes and 5 seconds, 132 °C and 132 °F look alike without it. Counts
(how many people, rows, times) have none.

Not so:

    takes 5
    at 132 for 4 min

But so:

    takes 5 min
    at 132 C for 4 min
""",
        "Common practice: error-prone dose designations are a named cause of harm",
    ),
    Code(
        "F09",
        "Too many mistakes in one file",
        Severity.ERROR,
        """
Twenty-five mistakes were found, and the rest of the file is not looked at. After so many, one early slip is probably
the cause of several others.

Not so: pasting a page of ordinary prose into a .sop file.

But so: mend the first few, run again, and go on. Prose belongs into a `note "…"`, a `purpose "…"` or a comment that
begins with #.
""",
    ),
    Code(
        "F10",
        "A clause stands in the wrong block",
        Severity.ERROR,
        """
The clause exists, but not in this kind of block, or it stands outside of any. If it stands outside, a } further up may
have closed its block too early; the message names that line.

Not so:

    step wash "Wash" {
      owner hygienist
    }

But so:

    procedure wash_cassettes "Wash cassettes" {
      owner hygienist
      step wash "Wash" { takes 5 min }
    }
""",
    ),
    Code(
        "F11",
        "A { is missing",
        Severity.ERROR,
        """
What is said of a thing stands between braces behind its name and title. The line that is pointed at names a thing, the
next line says something of it, but no { stands between them.

Not so:

    role assistant "Dental assistant"
      on duty 1 to 2
    }

But so:

    role assistant "Dental assistant" {
      on duty 1 to 2
    }
""",
    ),
    Code(
        "F12",
        "Blocks lie too deep inside one another",
        Severity.ERROR,
        """
More than twenty blocks are open at once. No reader could follow such a procedure on paper; more often some } are
missing further up.

Not so: a choice in a way in a choice in a way in a choice …

But so: make a procedure of the inner part and call it.

    step spill "Clean up the spill" { perform clean_spill }
""",
    ),
)
