"""Runs the seeded faults over the demo office: `make faults`, or `python -m tests.faults --most 20 --kind order`."""

from __future__ import annotations

import argparse
import gc
import os
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.faults.catalogue import demo, drawn, kinds
from tests.faults.kinds import KINDS, Mutant
from tests.faults.report import Tally, always, below, flagged, harmful, innocent, misses, reasons, table
from tests.faults.trial import Bench, Outcome

PAGE = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"
BEGIN, END = "<!-- seeded faults: begin -->", "<!-- seeded faults: end -->"
SHARE = 25  # mutants a worker tries before it reports

_bench: list[Bench] = []


def _start() -> None:
    _bench.append(demo())
    gc.collect()
    gc.freeze()  # the office that stays is not looked through again for every mutant
    gc.set_threshold(50_000)


def _judge(share: Sequence[tuple[str, Mutant]]) -> list[Outcome]:
    return list(_bench[0].judge_all(share))


def run(most: int, seed: int, names: Sequence[str], processes: int) -> list[Outcome]:
    """Try up to `most` mutants of each kind; the order of the outcomes is that of the register."""
    protocol = demo().protocol
    chosen = [kind for kind in kinds() if not names or kind.name in names or kind.family in names]
    work = [(kind.name, made) for kind in chosen for made in drawn(protocol, kind, most, seed)]
    shares = [work[place : place + SHARE] for place in range(0, len(work), SHARE)]
    found: list[Outcome] = []
    with ProcessPoolExecutor(processes, initializer=_start) as pool:
        for outcomes in _shown(pool.map(_judge, shares), len(work)):
            found += outcomes
    return found


def _shown(results: Iterator[list[Outcome]], total: int) -> Iterator[list[Outcome]]:
    begin, done = time.monotonic(), 0
    for outcomes in results:
        done += len(outcomes)
        rate = done / (time.monotonic() - begin)
        print(f"\r{done} of {total} tried, {rate:.0f} a second ", end="", file=sys.stderr, flush=True)
        yield outcomes
    print(file=sys.stderr)


def page(outcomes: Sequence[Outcome], most: int, seed: int) -> str:
    """What goes into the page for contributors."""
    total = Tally().add(harmful(outcomes))
    return (
        f"{len(outcomes):,} mutants of the demo office (at most {most} a kind, seed {seed}). Of {total.made:,} spoilt\n"
        f"in their text {total.caught:,} are caught, {total.harmless:,} do no harm and {total.missed:,} are missed:\n"
        f"**{total.share:.1%}** of the harmful.\n\n"
        f"{table(outcomes)}\n\n"
        f"None missed: {always(outcomes)}.\n\n"
        f"No harm done, {len(flagged(outcomes))} flagged: {innocent(outcomes)}.\n\n"
        f"Survivors that do no harm, by the rule that says so:\n\n{reasons(outcomes)}\n\n"
        f"Missed, with an example of each kind:\n\n{misses(outcomes, 1)}\n"
    )


def main(arguments: Sequence[str]) -> int:
    """Run, print, and return 1 when a sure fault lives or a harmless change is flagged."""
    options = argparse.ArgumentParser(prog="python -m tests.faults")
    options.add_argument("--most", type=int, default=100, help="mutants of each kind")
    options.add_argument("--seed", type=int, default=7)
    options.add_argument("--kind", action="append", default=[], help="only this kind or family; may be given again")
    options.add_argument("--all-misses", action="store_true", help="list every miss")
    options.add_argument("--write", action="store_true", help="put the table into DEVELOPERS.md")
    options.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    chosen = options.parse_args(arguments)
    unknown = set(chosen.kind) - {name for kind in kinds() for name in (kind.name, kind.family)}
    if unknown:
        options.error(f"no such kind: {', '.join(sorted(unknown))}; there are {', '.join(KINDS)}")
    outcomes = run(chosen.most, chosen.seed, chosen.kind, chosen.processes)
    text = page(outcomes, chosen.most, chosen.seed)
    print(text)
    if chosen.all_misses:
        print(misses(outcomes))
    for outcome in [*below(outcomes), *flagged(outcomes)]:
        print(f"WRONG: {outcome.kind}: {outcome.mutant.where}: {outcome.mutant.what}: {outcome.why or 'not told'}")
    if chosen.write:
        _write(text)
    return 1 if below(outcomes) or flagged(outcomes) else 0


def _write(text: str) -> None:
    whole = PAGE.read_text(encoding="utf-8")
    before, _, rest = whole.partition(BEGIN)
    PAGE.write_text(f"{before}{BEGIN}\n\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
