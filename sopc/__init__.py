"""sopc compiles an office's infection-control protocol into the paper that people work from.

office, findings = sopc.load("my_office")
findings += sopc.check(office, date.today())
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = ["check", "load", "load_text"]

if TYPE_CHECKING:
    from sopc.library import check, load, load_text


def __getattr__(name: str) -> Any:
    # Verbs are imported when first used, so that `sopc --version` need not wait for the parser.
    if name in __all__:
        from sopc import library

        return getattr(library, name)
    raise AttributeError(f"module 'sopc' has no attribute {name!r}")
