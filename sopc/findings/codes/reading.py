"""Codes about reading the files of an office folder."""

from sopc.findings.finding import Severity
from sopc.findings.registry import Code

CODES: tuple[Code, ...] = (
    Code(
        "R01",
        "A file is too large",
        Severity.ERROR,
        """
The largest file that is read is 8 MiB, many times the text of any office. A larger one is something else under the
wrong name: a scan, a spreadsheet, a copy of a disk.

Not so:

    protocol.sop  (a scanned binder, 50 MiB, renamed)

But so: keep pictures in `figures/` and name them in the text; divide a long text into files and read them by `use`.

    use "procedures/instruments.sop"
""",
    ),
    Code(
        "R02",
        "A file cannot be read",
        Severity.ERROR,
        """
The file is there, but the computer will not hand it over: it belongs to another user, it is a folder, or it is not an
ordinary file at all. Nothing of what it says can reach paper, so no paper is made.

Not so, because this names a folder:

    use "procedures"

But so:

    use "procedures/instruments.sop"

If the name is right, look at the file's permissions, and whether another program holds it open.
""",
    ),
    Code(
        "R03",
        "A file is not in UTF-8",
        Severity.ERROR,
        """
Text is kept as bytes, and a byte means different letters in different encodings: what was ° in one program becomes Â°
in another. Files of sopc are in UTF-8, the encoding that all today's editors offer. The message names the first place
that cannot be UTF-8.

Not so: saved as "Unicode" (UTF-16), "ANSI", "Windows-1252" or "Latin-1".

But so: in your editor choose "Save as", encoding "UTF-8", and save. Then look through the text once: letters with
accents and signs such as ° and µ may have to be typed again.
""",
    ),
    Code(
        "R04",
        "A file is not text",
        Severity.ERROR,
        """
The file holds NUL bytes. No text has them; programs, pictures and word-processor documents do. Often such a file was
only given the ending .sop.

Not so: a `.docx` renamed to `.sop`.

But so: open the document in its own program, copy the text, and paste it into a new file that a plain text editor
saves as UTF-8.
""",
    ),
    Code(
        "R05",
        "A file is indented with tabs",
        Severity.REMARK,
        """
Tabs are read like spaces, so nothing goes wrong. But one editor shows a tab two columns wide and another eight, and a
text that lined up on your screen looks torn on the next. Two spaces for each level look the same everywhere.

Not so (→ is a tab):

    step rinse "Rinse" {
    →→takes at least 30 s

But so:

    step rinse "Rinse" {
      takes at least 30 s
""",
    ),
    Code(
        "R06",
        "A use adds nothing",
        Severity.WARNING,
        """
`use` reads another file. All .sop files directly in the office folder are read in any case, and each file is read
only once. A `use` that names such a file, or says the same as an earlier line, can be deleted.

Not so, because machines.sop lies beside this file:

    use "machines.sop"

But so, because the file lies in a folder of its own:

    use "procedures/instruments.sop"
""",
    ),
    Code(
        "R07",
        "Nothing uses a file of the folder",
        Severity.WARNING,
        """
A file in a subfolder is read only when some other file uses it. This one is used by none: what it says is on no
paper, however carefully it was written. That is how a procedure comes to be missing from the binder.

Not so: procedures/spill.sop exists, and no file mentions it.

But so, in office.sop:

    use "procedures/spill.sop"

If it is a draft, move it out of the office folder until it is ready.
""",
    ),
    Code(
        "R08",
        "A file says nothing",
        Severity.WARNING,
        """
The file is empty, or holds only comments. Lines that begin with # are for the author and never reach paper. Perhaps
the text was never saved, or was commented out for a trial.

Not so:

    # role assistant "Dental assistant"

But so:

    role assistant "Dental assistant"
""",
    ),
    Code(
        "R09",
        "The folder holds no .sop file",
        Severity.ERROR,
        """
An office is a folder with at least one file that ends in .sop directly inside it. Either the path names another
folder, perhaps the one around it, or the text is not written yet.

Not so:

    sopc check offices

But so:

    sopc check offices/two_birches

`sopc init FOLDER` begins a new office with a small text to change.
""",
    ),
    Code(
        "R10",
        "A name leads out of the office folder",
        Severity.ERROR,
        """
Everything that is printed must lie in the folder that is kept, dated and signed. So a `use` cannot name a file
elsewhere on the computer: that file could change or vanish, and the binder could not be made again.

Not so:

    use "../shared/spill.sop"
    use "C:\\texts\\spill.sop"
    use "/home/me/spill.sop"

But so, after copying the file into the folder; names have forward slashes on every computer:

    use "procedures/spill.sop"

What several offices share can be made a pack: a folder `packs/NAME` that each office carries and reads by
`use pack NAME`.
""",
    ),
    Code(
        "R11",
        "A link leads out of the office folder",
        Severity.ERROR,
        """
The file in the folder is only a link to one elsewhere. What it points to could change without anyone seeing it here,
and an auditor's copy of the folder would lack it.

Not so: procedures/spill.sop → /srv/shared/spill.sop

But so: delete the link and copy the file itself into the folder. Links that stay within the folder are followed.
""",
    ),
    Code(
        "R12",
        "A file that is used does not exist",
        Severity.ERROR,
        """
`use` names a file that is not there. Names are given from the office folder on, whatever file the line stands in,
with forward slashes, capitals and the ending .sop.

Not so, in procedures/day.sop:

    use "spill.sop"

But so:

    use "procedures/spill.sop"
""",
    ),
    Code(
        "R13",
        "Files use each other in a circle",
        Severity.ERROR,
        """
One file uses a second, and the second, perhaps by a third, uses the first again. Each file is read once, so one of
the lines is without sense; the message lists the circle.

Not so:

    # procedures/a.sop
    use "procedures/b.sop"
    # procedures/b.sop
    use "procedures/a.sop"

But so: one file, such as office.sop, uses all the others. Names need not be declared before they are used, so the
order of the files does not matter.
""",
    ),
    Code(
        "R14",
        "Too many files",
        Severity.ERROR,
        """
More than 2,000 files are read. An office fills a few dozen; so this folder is something else, or holds old copies
beside the present text.

Not so: one folder with every year's texts side by side.

But so: one folder for each office and edition, such as `two_birches/2026-12`, and the old ones beside it.
""",
    ),
    Code(
        "R15",
        "A pack does not exist",
        Severity.ERROR,
        """
`use pack NAME` reads a pack: first from `packs/NAME` in the office folder, else from those that come with sopc. There
is none of that name in either place. The message lists the packs there are.

Not so:

    use pack dental

But so:

    use pack dental_reprocessing
""",
    ),
    Code(
        "R16",
        "Files use each other too deep",
        Severity.ERROR,
        """
One file uses a second, the second a third, and so on, more than fifty deep. Nobody could find what stands where.

Not so: each procedure's file uses the next one.

But so, all in office.sop:

    use "procedures/day.sop"
    use "procedures/instruments.sop"
    use "procedures/spill.sop"
""",
    ),
)
