"""The rooms of the house: imports point one way, heavy ones wait until they are needed."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "sopc"

ORDER = (
    ("source", "shipped"),
    ("findings",),
    ("trade",),
    ("language",),
    ("model",),
    ("checks",),
    ("starting",),
    ("render",),
    ("documents",),
    ("library",),
    ("changes",),
    ("press",),
    ("cli", "__main__"),
)
LEVEL = {room: level for level, rooms in enumerate(ORDER) for room in rooms}
# Rooms that may not even know what lies below them in the order.
BLIND = {"trade": set(), "render": {"render", "shipped"}, "findings": {"findings", "source"}}


def room_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imports_of(path: Path) -> Iterator[tuple[str, int]]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.split(".")[0] == "sopc":
            parts = node.module.split(".")
            names = [parts[1]] if len(parts) > 1 else [alias.name for alias in node.names]
            yield from ((name, node.lineno) for name in names)


MODULES = [path for path in sorted(PACKAGE.rglob("*.py")) if path != PACKAGE / "__init__.py"]


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_a_room_imports_only_rooms_above_it(path: Path) -> None:
    room = room_of(path)
    for name, line in imports_of(path):
        if name in LEVEL:
            assert LEVEL[name] <= LEVEL[room], f"{path.name}:{line} imports sopc.{name} from sopc.{room}"
            blind = BLIND.get(room)
            assert blind is None or name in blind | {room}, f"{path.name}:{line}: {room} must not know {name}"


def test_every_room_has_its_place() -> None:
    assert {room_of(path) for path in MODULES} <= set(LEVEL)


HEAVY = ("weasyprint", "lark", "click", "jinja2", "rich", "wasmtime", "fontTools", "dateutil")


@pytest.mark.parametrize("heavy", HEAVY)
def test_importing_sopc_is_cheap(heavy: str) -> None:
    code = f"import sys, sopc; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_the_version_is_told_without_the_parser() -> None:
    code = (
        "import sys; from sopc.__main__ import main; main(['--version']);"
        "sys.exit(bool({'lark', 'click', 'weasyprint'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, capture_output=True).returncode == 0


def test_a_check_loads_nothing_that_only_printing_needs() -> None:
    printing = {"weasyprint", "jinja2", "markdown_it", "fontTools", "rich", "wasmtime"}
    code = (
        "import sys; from sopc.__main__ import main;"
        "main(['check', 'protocols/larkspur_pass/2026-12', '--today', '2026-12-02']);"
        f"sys.exit(' '.join({printing} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], check=False, capture_output=True, text=True, cwd=ROOT)
    assert run.stderr.strip() == ""
