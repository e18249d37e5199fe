"""Opens one side of a comparison: a folder on disk, or a folder as it stood at a revision of a git repository."""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

REVISION = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_./@{}^~+-]{0,199}")
"""What may stand before the colon; it never begins with a dash, so git takes it for no option."""

SECONDS = 60
LARGEST_ARCHIVE = 256 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Side:
    """An office folder that can be read, and how the user named it."""

    folder: Path
    label: str


@dataclass(frozen=True, slots=True)
class CannotOpen:
    """Why a side cannot be opened, in one plain sentence, and what would help."""

    spec: str
    sentence: str
    fix: str = ""


@contextmanager
def open_side(spec: str) -> Iterator[Side | CannotOpen]:
    """Open `spec`: a folder, or `REV:folder` with the folder below the current directory's or its own git repository.

    A folder of that very name on disk goes first. Files of a revision are laid out in a temporary folder that is gone
    when the block ends; links and special files of the archive are left out. Never raises for what the user typed.
    """
    if _is_folder(spec):
        yield Side(Path(spec), spec)
        return
    revision, colon, folder = spec.partition(":")
    if not colon:
        yield CannotOpen(spec, f"There is no folder “{spec}”.", "Give a folder, or REVISION:folder for a git revision.")
        return
    if not folder or "\0" in spec or not REVISION.fullmatch(revision):
        yield CannotOpen(spec, f"“{spec}” is not written as REVISION:folder.", "For example HEAD~1:protocols/office.")
        return
    place = Path(tempfile.mkdtemp(prefix="sopc-"))
    try:
        yield _from_git(spec, revision, folder, place)
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _is_folder(spec: str) -> bool:
    try:
        return Path(spec).is_dir()
    except (OSError, ValueError):
        return False


def _from_git(spec: str, revision: str, folder: str, place: Path) -> Side | CannotOpen:
    start = _nearest_folder(Path(folder))
    top = _git(start, "rev-parse", "--show-toplevel")
    if isinstance(top, str):
        return CannotOpen(spec, top, "")
    if top.returncode:
        return CannotOpen(
            spec,
            f"“{start}” is not inside a git repository, so there is no revision “{revision}”.",
            "Compare two folders instead, or run this inside the repository.",
        )
    root = Path(os.fsdecode(top.stdout).rstrip("\n"))
    inside = _path_inside(root, Path(folder))
    if inside is None:
        return CannotOpen(spec, f"“{folder}” lies outside the git repository at “{root}”.")
    commit = _git(root, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
    if isinstance(commit, str):
        return CannotOpen(spec, commit)
    if commit.returncode:
        fix = "Try HEAD, HEAD~1, a tag, or a number that `git log` shows."
        return CannotOpen(spec, f"The repository has no revision “{revision}”.", fix)
    name = commit.stdout.decode("ascii").strip()
    return _lay_out(spec, root, name, inside, place)


def _lay_out(spec: str, root: Path, commit: str, inside: PurePosixPath, place: Path) -> Side | CannotOpen:
    tree = commit if str(inside) == "." else f"{commit}:{inside}"
    kind = _git(root, "cat-file", "-t", tree)
    if isinstance(kind, str):
        return CannotOpen(spec, kind)
    if kind.returncode or kind.stdout.strip() not in (b"tree", b"commit"):
        sentence = f"There is no folder “{inside}” in revision {commit[:10]}."
        return CannotOpen(
            spec, sentence, "The folder may have had another name then; the path counts from the repository."
        )
    archive = _git(root, "archive", "--format=tar", tree)
    if isinstance(archive, str):
        return CannotOpen(spec, archive)
    if archive.returncode or len(archive.stdout) > LARGEST_ARCHIVE:
        return CannotOpen(spec, f"git could not hand over “{inside}” of revision {commit[:10]}.")
    try:
        _unpack(archive.stdout, place)
    except (tarfile.TarError, OSError) as error:
        return CannotOpen(spec, f"“{inside}” of revision {commit[:10]} could not be unpacked: {error}.")
    return Side(place, spec)


def _unpack(archive: bytes, place: Path) -> None:
    """Write the plain files of an archive below `place`, and nothing outside it."""
    with tarfile.open(fileobj=io.BytesIO(archive)) as tar:
        for member in tar:
            path = PurePosixPath(member.name)
            if not member.isfile() or path.is_absolute() or ".." in path.parts:
                continue
            content = tar.extractfile(member)
            target = place.joinpath(*path.parts)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content.read() if content else b"")


def _nearest_folder(folder: Path) -> Path:
    """The folder itself, or the nearest one above that exists today: it may have been moved since."""
    here = Path.cwd() / folder
    return next((place for place in (here, *here.parents) if _is_folder(str(place))), Path.cwd())


def _path_inside(root: Path, folder: Path) -> PurePosixPath | None:
    """The folder as a path below the repository's top: as seen from here, else as counted from the top."""
    top = root.resolve()
    here = (Path.cwd() / folder).resolve()
    if here.is_relative_to(top):
        return PurePosixPath(here.relative_to(top).as_posix())
    return None


def _git(where: Path, *arguments: str) -> subprocess.CompletedProcess[bytes] | str:
    """Run git without a shell; a sentence when it cannot run. Prompts, pagers and the user's hooks stay out of it."""
    quiet = {"GIT_TERMINAL_PROMPT": "0", "GIT_OPTIONAL_LOCKS": "0", "GIT_PAGER": "cat", "LC_ALL": "C"}
    command = ["git", "-c", "core.fsmonitor=false", "-C", str(where), *arguments]
    try:
        return subprocess.run(command, capture_output=True, timeout=SECONDS, check=False, env=os.environ | quiet)
    except FileNotFoundError:
        return "git is not installed, so revisions cannot be read; compare two folders instead."
    except (OSError, ValueError) as error:
        return f"git could not be run: {error}."
    except subprocess.TimeoutExpired:
        return f"git gave no answer within {SECONDS} seconds."
