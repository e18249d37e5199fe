"""What is measured: whole processes, side by side in one run, as ratios; the median of several."""

from __future__ import annotations

import math
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.bench.offices import office_text

ROOT = Path(__file__).resolve().parent.parent.parent
DEMO = ROOT / "protocols" / "larkspur_pass" / "2026-12"
TODAY = ("--today", "2026-12-02")


@dataclass(frozen=True, slots=True)
class Line:
    """One number and what it must hold."""

    what: str
    measured: str
    bound: str
    holds: bool


def ratio(what: str, value: float, most: float, note: str = "") -> Line:
    return Line(what, f"{value:.2f} ×{note}", f"≤ {most:g} ×", value <= most)


@contextmanager
def folder() -> Iterator[Path]:
    place = Path(tempfile.mkdtemp(prefix="sopc-bench-"))
    try:
        yield place
    finally:
        shutil.rmtree(place, ignore_errors=True)


def seconds(*command: str, cwd: Path = ROOT) -> float:
    begin = time.perf_counter()
    subprocess.run(command, cwd=cwd, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    return time.perf_counter() - begin


def side_by_side(one: tuple[str, ...], other: tuple[str, ...], rounds: int) -> tuple[float, float]:
    """The median times of two commands, run in turns so that both meet the same weather."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        times[0].append(seconds(*one))
        times[1].append(seconds(*other))
    return statistics.median(times[0]), statistics.median(times[1])


def python(code: str) -> tuple[str, ...]:
    return (sys.executable, "-c", code)


def sopc(*arguments: str) -> tuple[str, ...]:
    return (str(Path(sys.executable).parent / "sopc"), *arguments)


def office_in(place: Path, lines: int) -> Path:
    home = place / f"office-{lines}"
    home.mkdir(exist_ok=True)
    (home / "office.sop").write_text(office_text(lines), encoding="utf-8")
    return home


RAW_LARK = (
    "import sys; sys.setrecursionlimit(10000); from pathlib import Path; from lark import Lark; "
    "from sopc.language import grammar; "
    "parser = Lark(grammar.grammar_text(), parser='lalr', lexer='contextual', keep_all_tokens=True, "
    "maybe_placeholders=False, edit_terminals=grammar.whole_words, cache={cache!r}); "
    "[parser.parse(Path(file).read_text(encoding='utf-8')) for file in {files!r}]"
)


def raw_lark(files: Iterable[Path], place: Path) -> tuple[str, ...]:
    """Nothing but parsing these files by lark, its tables taken from a cache in `place`."""
    command = python(RAW_LARK.format(files=[str(file) for file in files], cache=str(place / "lark.cache")))
    seconds(*command)
    return command


def version() -> Iterator[Line]:
    ours, bare = side_by_side(sopc("--version"), python("pass"), 15)
    yield ratio("sopc --version / python -c pass", ours / bare, 4)


def check() -> Iterator[Line]:
    with folder() as place:
        home = office_in(place, 10_000)
        raw = raw_lark([home / "office.sop"], place)
        seconds(*sopc("check", str(home)))
        ours, parse = side_by_side(sopc("check", str(home), *TODAY), raw, 5)
        yield ratio("check of 10,000 lines / raw lark parse", ours / parse, 3)
        peak = peak_memory(*sopc("check", str(home), *TODAY))
        yield Line("check of 10,000 lines, peak memory", f"{peak:.0f} MB", "≤ 200 MB", peak <= 200)


def demo() -> Iterator[Line]:
    """The demo with the two packs it takes up, full days proven: one second where raw lark takes 0.42 s for them."""
    packs = [ROOT / "protocols" / "packs" / name for name in ("dental_program", "dental_reprocessing")]
    files = sorted(file for home in (DEMO, *packs) for file in home.rglob("*.sop"))
    with folder() as place:
        raw = raw_lark(files, place)
        seconds(*sopc("check", str(DEMO), *TODAY))
        ours, parse = side_by_side(sopc("check", str(DEMO), *TODAY), raw, 7)
        yield ratio(
            f"check of the demo / raw lark parse of its {len(files)} files", ours / parse, 2.4, f" ({ours:.1f} s)"
        )


def peak_memory(*command: str) -> float:
    """The peak resident memory of a command in MB, seen from a process that starts nothing else."""
    code = (
        "import resource, subprocess, sys; subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    done = subprocess.run((sys.executable, "-c", code, *command), capture_output=True, text=True, check=True, cwd=ROOT)
    return int(done.stdout.split()[-1]) / 1024


def growth() -> Iterator[Line]:
    sizes = (2_500, 5_000, 10_000, 20_000)
    with folder() as place:
        homes = [office_in(place, lines) for lines in sizes]
        seconds(*sopc("check", str(homes[0])))
        times = [statistics.median(seconds(*sopc("check", str(home), *TODAY)) for _ in range(3)) for home in homes]
        memory = [peak_memory(*sopc("check", str(home), *TODAY)) for home in homes]
    start = seconds(*sopc("explain", "R01"))
    yield exponent("growth of check time with lines (1×, 2×, 4×, 8×)", sizes, [max(t - start, 1e-3) for t in times])
    floor = peak_memory(*sopc("explain", "R01"))
    yield exponent("growth of check memory with lines", sizes, [max(m - floor, 1e-3) for m in memory])


def exponent(what: str, sizes: tuple[int, ...], values: list[float]) -> Line:
    """Fit value ~ size^k by least squares on logarithms; linear is k = 1."""
    xs, ys = [math.log(size) for size in sizes], [math.log(value) for value in values]
    mean_x, mean_y = statistics.fmean(xs), statistics.fmean(ys)
    power = sum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / sum((x - mean_x) ** 2 for x in xs)
    return Line(what, f"n^{power:.2f}", "≤ n^1.15", power <= 1.15)


def controllability() -> Iterator[Line]:
    from sopc.trade.controllability import is_controllable
    from tests.bench.networks import procedure_shaped

    network = procedure_shaped(1_000, 300, seed=7)
    times = []
    for _ in range(7):
        begin = time.perf_counter()
        assert is_controllable(network)
        times.append((time.perf_counter() - begin) * 1000)
    best = statistics.median(times)
    yield Line("controllability, 1,000 steps, 300 by machine", f"{best:.0f} ms", "≤ 50 ms", best <= 50)


ONE_PROCESS = """
import sys
from datetime import date
from pathlib import Path
import weasyprint
weasyprint.HTML(filename={html!r}).write_pdf({pdf!r}, pdf_variant="pdf/ua-1")
"""


def binder() -> Iterator[Line]:
    with folder() as place:
        home = place / "office"
        shutil.copytree(DEMO, home)
        html = place / "whole.html"
        html.write_text(whole_binder_html(home), encoding="utf-8")
        one = seconds(*python(ONE_PROCESS.format(html=str(html), pdf=str(place / "whole.pdf"))))
        build = sopc("build", str(home), "--out", str(place / "build"), *TODAY, "--only", "binder")
        cold = seconds(*build)
        yield ratio("cold binder / one default WeasyPrint process", cold / one, 0.5, f" ({cold:.0f} s)")
        again = statistics.median(seconds(*build) for _ in range(3))
        yield ratio("rebuild, nothing changed / cold", again / cold, 0.05, f" ({again:.1f} s)")
        touched = change_one_step(home)
        changed = seconds(*build)
        yield ratio(f"rebuild, one step changed ({touched}) / cold", changed / cold, 0.15, f" ({changed:.1f} s)")


def change_one_step(home: Path) -> str:
    """Reword one step's title in one procedure."""
    for file in sorted((home / "procedures").glob("*.sop")):
        text = file.read_text(encoding="utf-8")
        at = text.find("  step ")
        quote = text.find('"', at)
        reworded = text[: quote + 1] + "Now " + text[quote + 1 : quote + 2].lower() + text[quote + 2 :]
        file.write_text(reworded, encoding="utf-8")
        return file.name
    raise AssertionError("the demo has no procedure")


def whole_binder_html(home: Path) -> str:
    """The same pages as one document: what a plain program would hand to the page setter in one go."""
    from datetime import date

    import sopc as library
    from sopc.documents.binder import binder_documents
    from sopc.press.charting import binder_flowcharts
    from sopc.press.order import Order
    from sopc.render import fonts

    office, findings = library.load(home)
    assert office is not None, findings
    day = date(2026, 12, 1)
    order = Order(office, home, home, "x", day, day, day)
    drawn = binder_flowcharts(order, list(office.procedures.values()), None)
    pages = [document.html for document in binder_documents(office, day, drawn)]
    head = pages[0][: pages[0].index("</head>")]
    bodies = [page[page.index("<body") : page.index("</body>")] + "</body>" for page in pages]
    inner = "\n".join(body[body.index(">") + 1 : -len("</body>")] for body in bodies)
    return head.replace("font:", f"file://{fonts.folder()}/") + "</head><body>" + inner + "</body></html>"


MEASURES: dict[str, Callable[[], Iterator[Line]]] = {
    "version": version,
    "check": check,
    "demo": demo,
    "growth": growth,
    "controllability": controllability,
    "binder": binder,
}
