"""The entry of the command line: answers --version at once and turns every fault into a sentence."""

from __future__ import annotations

import sys


def main(arguments: list[str] | None = None) -> int:
    """Run one command and return its exit status: 0 clean, 1 errors found, 2 wrong use, 3 internal fault."""
    asked = sys.argv[1:] if arguments is None else arguments
    if asked == ["--version"]:
        from sopc import __version__

        print(f"sopc {__version__}")
        return 0
    from sopc.cli import run

    return run(asked)


if __name__ == "__main__":
    sys.exit(main())
