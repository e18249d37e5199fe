"""The commands: parse arguments, call, print; nothing else."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from sopc import __version__
from sopc.findings import Finding
from sopc.source import SourceFile

if TYPE_CHECKING:
    from sopc.language.read import Reading
    from sopc.model.nouns import Office

CLEAN, FOUND, WRONG_USE, FAULT = 0, 1, 2, 3


class Examples(click.Command):
    """A command whose help ends with examples, printed as they are."""

    def __init__(self, *args: Any, examples: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.examples = examples

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        if self.examples:
            with formatter.section("Examples"):
                formatter.write("\n".join(f"  {line}" for line in self.examples.strip().split("\n")) + "\n")


class Day(click.ParamType[date]):
    """A calendar date, year-month-day."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        try:
            return date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"{value!r} is no date; write year-month-day, like 2026-12-31", param, ctx)


OFFICE = click.argument("path", type=click.Path(exists=True, file_okay=False, path_type=Path))
TODAY = click.option("--today", type=Day(), help="The date to work with instead of the clock's.")
FORMAT = click.option("--format", "form", type=click.Choice(["text", "json", "sarif"]), default="text",
                      show_default=True, help="How findings are written.")  # fmt: skip


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="sopc", message="%(prog)s %(version)s")
def commands() -> None:
    """Check an office's infection-control protocol and print it: binder, wall charts, log sheets, change report.

    An office is a folder of .sop texts. Begin with `sopc init my_office`, edit the texts, then `sopc check my_office`
    and `sopc build my_office`.
    """


@commands.command(
    cls=Examples,
    examples="""
sopc check my_office                     # all findings, worst first to mend
sopc check my_office --format json       # for another program
sopc check my_office --format sarif      # for an editor or a code host that reads SARIF 2.1.0
sopc check my_office --today 2027-01-15  # what will be overdue then?
sopc check my_office --requirements      # each requirement: what shows that it is met, or what is lacking
sopc check my_office --requirements --format json
""",
)
@OFFICE
@TODAY
@FORMAT
@click.option("--requirements", "listed", is_flag=True, help="List all requirements and how they stand (text, json).")
def check(path: Path, today: date | None, form: str, listed: bool) -> int:
    """Check whether the protocol in PATH can be followed; print what is wrong, where, and how to mend it."""
    day = today or date.today()
    office, findings, reading = _checked(path, day)
    if listed and form == "sarif":
        raise click.BadParameter("the list of requirements is text or json", param_hint="--format")
    if not listed or office is None:
        _print_findings(findings, reading.files, form, sys.stdout)
        return _status(findings)
    from sopc.press.requirements import requirement_data, requirement_list

    click.echo((requirement_data if form == "json" else requirement_list)(office, day), nl=False)
    return _status(findings)


@commands.command(
    cls=Examples,
    examples="""
sopc build my_office                                       # everything, into build/, logs for this month
sopc build my_office --from 2027-01-01 --to 2027-12-31     # log sheets for a year
sopc build my_office --only logs --name logs-2027 --from 2027-01-01 --to 2027-12-31
sopc build my_office --only charts                         # wall charts, at the reading distance the office declares
""",
)
@OFFICE
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), default=Path("build"), show_default=True,
              help="Where the paper goes: OUT/OFFICE/.")  # fmt: skip
@TODAY
@click.option("--from", "first", type=Day(), help="First day of the log sheets (default: first of this month).")
@click.option("--to", "last", type=Day(), help="Last day of the log sheets (default: last of that month).")
@click.option("--only", type=click.Choice(["binder", "charts", "logs"]), multiple=True, help="Print only this kind.")
@click.option("--name", help="Name of the folder under OUT (default: the office folder's name).")
@click.option("--workers", type=click.IntRange(1, 64), help="Processes that set pages (default: one a core).")
def build(path: Path, out: Path, today: date | None, first: date | None, last: date | None, only: tuple[str, ...],
          name: str | None, workers: int | None) -> int:  # fmt: skip
    """Check PATH and print its paper: binder, procedures, wall charts and log sheets.

    A protocol with errors is not printed, and the last good paper stays as it was.
    """
    from sopc.press import Order, PressError, press
    from sopc.press.unchanged import Asked
    from sopc.render.setters import setters

    day = today or date.today()
    home = path.resolve()
    asked = Asked(home, out, name or home.name, day, *_period(day, first, last), frozenset(only))
    material = asked.material()
    already = asked.standing(material)
    if already is not None:
        click.echo(already.in_words(), err=True)
        return CLEAN
    # The processes that set pages load the layout engine while the texts are read.
    with setters(workers) as crew:
        office, findings, reading = _checked(path, day)
        _print_findings(findings, reading.files, "text", sys.stderr, only_if_any=True)
        if office is None or _status(findings) != CLEAN:
            click.echo("Nothing was printed: mend the errors first.", err=True)
            return FOUND
        read = material if not findings and asked.material() == material else ""
        order = Order(office, home, out, asked.name, day, asked.first, asked.last, asked.only, workers, read)
        try:
            with _progress() as progress:
                result = press(order, progress, crew)
        except PressError as error:
            click.echo(f"sopc: {error}", err=True)
            return WRONG_USE
    click.echo(result.in_words(), err=True)
    return CLEAN


def _period(today: date, first: date | None, last: date | None) -> tuple[date, date]:
    from calendar import monthrange

    begin = first or (last or today).replace(day=1)
    end = last or begin.replace(day=monthrange(begin.year, begin.month)[1])
    if end < begin:
        raise click.BadParameter("the last day comes before the first", param_hint="--to")
    if (end - begin).days > 3 * 366:
        raise click.BadParameter("more than three years of log sheets at once", param_hint="--to")
    return begin, end


@commands.command(
    cls=Examples,
    examples="""
sopc diff offices/2026-09 offices/2026-12                   # two folders
sopc diff v1.3:office office                                # a git revision against the folder as it is
sopc diff HEAD~5:office HEAD:office --pdf change-report.pdf
""",
)
@click.argument("old")
@click.argument("new")
@TODAY
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Also write the report as a PDF.")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for the PDF.")
def diff(old: str, new: str, today: date | None, pdf: Path | None, out: Path | None) -> int:
    """Say what changed from OLD to NEW, which paper it touches and who must be retrained.

    OLD and NEW are office folders, or REV:folder in a git repository.
    """
    from sopc.press.report import ReportError, report

    day = today or date.today()
    target = pdf or (out / "change-report.pdf" if out else None)
    try:
        made = report(old, new, day, target, colour=_colour(sys.stdout))
    except ReportError as error:
        if error.findings:
            _print_findings(error.findings, error.files, "text", sys.stderr)
        click.echo(f"sopc: {error}", err=True)
        return FOUND if error.findings else WRONG_USE
    click.echo(made.text, nl=False)
    if made.pdf is not None:
        click.echo(f"Wrote {made.pdf}", err=True)
    return CLEAN


@commands.command(
    cls=Examples,
    examples="""
sopc plan my_office                                  # an ordinary day: what to own, when the last load must start
sopc plan my_office --day 2027-01-11                 # the caseload meant for that day of the week
sopc plan my_office --caseload busy_day --runs 2000 --pdf day-plan.pdf
""",
)
@OFFICE
@TODAY
@click.option("--day", type=Day(), help="The day to plan (default: the first day of the week the caseload is for).")
@click.option("--caseload", "name", help="The caseload to plan by its name (default: the first one for the day).")
@click.option("--runs", type=click.IntRange(1, 20_000), default=500, show_default=True, help="Days to play.")
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, help="Same seed, same days.")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Also write the plan as a PDF.")
def plan(path: Path, today: date | None, day: date | None, name: str | None, runs: int, seed: int,
         pdf: Path | None) -> int:  # fmt: skip
    """Play a day of PATH's visits many times: sets to own, loads by the hour, hands, waiting, the last load.

    A simulation is not a promise. Whether the day can be kept for certain is said beside it.
    """
    from sopc.press.order import PressError
    from sopc.press.plan import in_words, plan_of, write_pdf

    when = today or date.today()
    office, findings, reading = _checked(path, when)
    if office is None or _status(findings) != CLEAN:
        _print_findings(findings, reading.files, "text", sys.stderr)
    if office is None:
        click.echo("Nothing was planned: mend the errors first.", err=True)
        return FOUND
    try:
        made = plan_of(office, name, day, runs, seed)
        click.echo(in_words(made), nl=False)
        if pdf is not None:
            write_pdf(made, when, pdf)
            click.echo(f"Wrote {pdf}", err=True)
    except PressError as error:
        click.echo(f"sopc: {error}", err=True)
        return WRONG_USE
    return _status(findings)


@commands.command(
    cls=Examples,
    examples="""
sopc explain O01         # what this finding means and how to mend it
sopc explain             # all codes, one line each
sopc explain --all       # the reference page of codes, as Markdown
""",
)
@click.argument("name", metavar="CODE", required=False)
@click.option("--all", "everything", is_flag=True, help="All codes at length, as Markdown.")
def explain(name: str | None, everything: bool) -> int:
    """Explain a finding's CODE at length; without one, list all codes."""
    from sopc.findings.explain import as_written, listing, long_form, page
    from sopc.findings.finding import alike
    from sopc.findings.registry import codes

    known = codes()
    if everything:
        click.echo(page(), nl=False)
        return CLEAN
    if name is None:
        click.echo(listing(), nl=False)
        return CLEAN
    entry = known.get(as_written(name))
    if entry is None:
        close = alike(name.upper(), known, count=3, likeness=0.6)
        hint = f" Did you mean {' or '.join(close)}?" if close else " `sopc explain` lists all codes."
        click.echo(f"sopc: there is no code {name}.{hint}", err=True)
        return WRONG_USE
    click.echo(long_form(entry), nl=False)
    return CLEAN


@commands.command(
    cls=Examples,
    examples="""
sopc init my_office      # a small office that compiles, with guidance in comments
""",
)
@click.argument("folder", type=click.Path(path_type=Path))
def init(folder: Path) -> int:
    """Begin a new office in FOLDER: a small protocol that compiles, to be made your own."""
    from sopc.starting import StartError, start

    try:
        made = start(folder)
    except StartError as error:
        click.echo(f"sopc: {error}", err=True)
        return WRONG_USE
    click.echo(f"Began an office in {folder} ({len(made)} files).\nNext:  sopc check {folder}", err=True)
    return CLEAN


# ── Shared by the commands ──────────────────────────────────────────────────────────────────────


def _checked(path: Path, today: date) -> tuple[Office | None, list[Finding], Reading]:
    from sopc.language.folder import DiskFolder
    from sopc.library import check as check_office
    from sopc.library import in_order, load_from

    office, findings, reading = load_from(DiskFolder(path.resolve()))
    if office is not None:
        findings = in_order([*findings, *check_office(office, today)])
    return office, findings, reading


def _status(findings: Sequence[Finding]) -> int:
    from sopc.library import failed

    return FOUND if failed(findings) else CLEAN


def _print_findings(findings: Sequence[Finding], files: Mapping[str, SourceFile], form: str, stream: Any,
                    only_if_any: bool = False) -> None:  # fmt: skip
    if only_if_any and not findings:
        return
    if form == "json":
        from sopc.findings.data import render as render_data

        click.echo(render_data(findings, __version__).encode(), file=stream, nl=False)
    elif form == "sarif":
        from sopc.findings.sarif import render as render_sarif

        click.echo(render_sarif(findings, files, __version__, _status(findings)).encode(), file=stream, nl=False)
    else:
        from sopc.findings.text import render

        click.echo(render(findings, files, colour=_colour(stream)), file=stream, nl=False)


def _colour(stream: Any) -> bool:
    return bool(stream.isatty()) and not os.environ.get("NO_COLOR")


@contextmanager
def _progress() -> Iterator[Any]:
    """A progress line on standard error while pages are set; silent when that is not a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = Console(stderr=True, no_color=bool(os.environ.get("NO_COLOR")))
    with Progress(TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
                  console=console, transient=True) as bar:  # fmt: skip
        line = bar.add_task("Setting pages", total=None)

        def tell(name: str, done: int, total: int) -> None:
            bar.update(line, description=name[:40].ljust(40), completed=done, total=total)

        yield tell


def run(arguments: list[str]) -> int:
    """Run a command; faults of the program become one paragraph, never a bare traceback."""
    _speak_anywhere()
    _end_orderly()
    try:
        result = commands.main(args=arguments, prog_name="sopc", standalone_mode=False)
        return result if isinstance(result, int) else CLEAN
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as error:
        error.show()
        return WRONG_USE
    except (click.Abort, KeyboardInterrupt):
        click.echo("sopc: stopped; nothing is left half done.", err=True)
        return WRONG_USE
    except BrokenPipeError:
        sys.stderr.close()
        return CLEAN
    except Exception as error:
        return _fault(error)


def _speak_anywhere() -> None:
    """A terminal that lacks a letter shows a question mark for it; findings for programs are UTF-8 everywhere."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


class _Stopped(KeyboardInterrupt):
    """A request to stop.

    A class of its own: when a plain KeyboardInterrupt has passed through code that Python makes from a text, as it
    makes dataclasses, the process ends itself by SIGINT at its end, though the interrupt was caught.
    """


def _end_orderly() -> None:
    """Let a request to end (SIGTERM) leave as an interrupt from the keyboard does: temporary files are removed."""
    import signal

    def stop(*_: object) -> None:
        raise _Stopped

    # Only the main thread of a program may set this, and one that calls us may have set its own.
    with suppress(ValueError):
        if signal.getsignal(signal.SIGTERM) is signal.SIG_DFL:
            signal.signal(signal.SIGTERM, stop)
        if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
            signal.signal(signal.SIGINT, stop)


def _fault(error: Exception) -> int:
    import traceback

    last = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{Path(last.filename).name}:{last.lineno}"
    click.echo(
        f"sopc: this is a fault of sopc {__version__}, not of your text: {type(error).__name__} at {place}: {error}\n"
        "Nothing was printed. Please report it with the office's texts and this line; "
        "SOPC_TRACE=1 shows where it happened.",
        err=True,
    )
    if os.environ.get("SOPC_TRACE"):
        traceback.print_exception(error)
    return FAULT
