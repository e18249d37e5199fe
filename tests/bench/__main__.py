"""Runs the benchmarks and prints each number beside its bound: `make bench` or `python -m tests.bench NAME …`."""

from __future__ import annotations

import sys

from tests.bench.measures import MEASURES


def main(names: list[str]) -> int:
    """Measure everything, or only what is named; exit with 1 when a number does not hold."""
    unknown = [name for name in names if name not in MEASURES]
    if unknown:
        print(f"no such measure: {', '.join(unknown)}; there are {', '.join(MEASURES)}", file=sys.stderr)
        return 2
    failed = 0
    print(f"{'what':<58} {'measured':>16} {'holds':>12}")
    for name in names or MEASURES:
        for line in MEASURES[name]():
            failed += not line.holds
            verdict = "" if line.holds else "DOES NOT HOLD"
            print(f"{line.what:<58} {line.measured:>16} {line.bound:>12}  {verdict}", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
