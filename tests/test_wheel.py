"""The wheel stands alone: installed into an empty environment it checks and prints without the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def run(*command: str | Path, cwd: Path) -> str:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    words = [str(part) for part in command]
    done = subprocess.run(words, cwd=cwd, env=environment, capture_output=True, text=True, check=False, timeout=900)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty environment with the wheel in it; what sopc depends on is lent from the environment of the tests."""
    base = tmp_path_factory.mktemp("wheel")
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check")
    run(*pip, "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", base, ROOT, cwd=base)
    venv.create(base / "env", with_pip=False)
    python = base / "env" / "bin" / "python"
    run(*pip, "--python", python, "install", "--quiet", "--no-deps", "--no-index", *base.glob("*.whl"), cwd=base)
    site = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=base).strip())
    lent = site / "lent"
    lent.mkdir()
    for entry in Path(sysconfig.get_path("purelib")).iterdir():
        if "sopc" not in entry.name and not entry.name.endswith(".pth"):
            (lent / entry.name).symlink_to(entry)
    (site / "lent.pth").write_text(str(lent) + "\n")
    return python


def test_it_carries_grammar_templates_and_protocols(installed: Path, tmp_path: Path) -> None:
    code = (
        "import sopc, pathlib; from sopc.shipped import shipped\n"
        "home = pathlib.Path(sopc.__file__).parent\n"
        "for name in ('grammar', 'templates', 'protocols'):\n"
        "    assert shipped(name).is_relative_to(home) and any(shipped(name).iterdir()), name\n"
    )
    run(installed, "-c", code, cwd=tmp_path)


def test_a_new_office_checks_and_prints(installed: Path, tmp_path: Path) -> None:
    run(installed, "-m", "sopc", "init", "office", cwd=tmp_path)
    run(installed, "-m", "sopc", "check", "office", "--today", "2026-12-01", cwd=tmp_path)
    run(installed, "-m", "sopc", "build", "office", "--today", "2026-12-01", cwd=tmp_path)
    assert (tmp_path / "build" / "office" / "binder.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.long
def test_the_demo_office_prints(installed: Path, tmp_path: Path) -> None:
    demo = ROOT / "protocols" / "larkspur_pass" / "2026-12"
    run(installed, "-m", "sopc", "build", demo, "--today", "2026-12-01", "--name", "demo", cwd=tmp_path)
    assert (tmp_path / "build" / "demo" / "binder.pdf").read_bytes().startswith(b"%PDF")
