"""The entry of the command line: answers --version at once and turns every fault into a sentence."""

from __future__ import annotations

import gc
import sys

COLLECT_AFTER = (
    100_000  # a run is short and keeps nearly all it makes: looking for what is unused costs more than it frees
)


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status: 0 clean, 1 errors found, 2 wrong use, 3 internal fault."""
    asked = sys.argv[1:] if arguments is None else arguments
    if asked == ["--version"]:
        from sopc import __version__

        print(f"sopc {__version__}")
        return 0
    from sopc.cli import run

    gc.set_threshold(COLLECT_AFTER)
    return run(asked)


if __name__ == "__main__":
    sys.exit(main())
