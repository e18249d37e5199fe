"""Puts the paper on disk: a whole new folder in place of the old one, or nothing at all."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path, PurePosixPath

from sopc import __version__
from sopc.press.figures import figures_of
from sopc.press.order import Order, Paper, Pressed, PressError
from sopc.press.standing import MANIFEST, manifest_at, stands
from sopc.press.unchanged import program
from sopc.render.stopping import stopping_later


def guard(order: Order) -> None:
    """Refuse a target that is no plain folder name or would cover the office's own texts."""
    target = order.out / order.name
    if not order.name or order.name in (".", "..") or PurePosixPath(order.name).name != order.name:
        raise PressError(f"“{order.name}” is not a folder name.")
    place = target.resolve()
    if place == order.folder or order.folder.is_relative_to(place):
        raise PressError(f"{target} would cover the office's own texts; print somewhere else with --out.")


def standing(order: Order) -> Pressed | None:
    """The paper that stands there already, when it was made by the same order and none of it was altered."""
    return stands(order.out / order.name, "order", _signature(order))


def write(order: Order, papers: Sequence[Paper], fresh: int) -> Pressed:
    """Put the new folder in place with two renames; files among the old paper that are not ours move along."""
    with stopping_later():
        return _write(order, order.out / order.name, papers, fresh)


def _write(order: Order, target: Path, papers: Sequence[Paper], fresh: int) -> Pressed:
    try:
        order.out.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=f".{order.name}-", dir=order.out))
    except OSError as error:
        raise PressError(f"{order.out} cannot be written: {error.strerror}.") from error
    try:
        _fill(made, order, papers)
        _keep_foreign(target, made)
        _swap(target, made)
    except (OSError, PressError) as error:
        shutil.rmtree(made, ignore_errors=True)
        if isinstance(error, PressError):
            raise
        raise PressError(f"{target} cannot be written: {error.strerror}. The last paper is untouched.") from error
    return Pressed(target, len(papers), sum(paper.pages for paper in papers), fresh)


def _fill(made: Path, order: Order, papers: Sequence[Paper]) -> None:
    for paper in papers:
        place = made / paper.path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(paper.data)
    (made / MANIFEST).write_text(manifest(order, papers), encoding="utf-8")
    made.chmod(0o755)


def manifest(order: Order, papers: Sequence[Paper]) -> str:
    """The list of what was printed: each file, its SHA-256, and the revision and source it came from."""
    entries = [
        {
            "path": paper.path,
            "sha256": hashlib.sha256(paper.data).hexdigest(),
            "document": paper.document,
            "title": paper.title,
            "revision": paper.revision,
            "source": paper.source,
            "pages": paper.pages,
        }
        for paper in sorted(papers, key=lambda paper: paper.path)
    ]
    content = {
        "office": order.office.premises.name,
        "printed": order.today.isoformat(),
        "logs": {"from": order.first.isoformat(), "to": order.last.isoformat()},
        "source": order.office.digest,
        "sopc": __version__,
        "order": _signature(order),
        "read": order.read,
        "files": entries,
    }
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"


def _signature(order: Order) -> str:
    """SHA-256 over all that the bytes of the paper depend on: texts, figures, dates, what is asked for, sopc itself."""
    total = hashlib.sha256()
    asked = (order.office.digest, order.today, order.first, order.last, sorted(order.only), program())
    total.update(repr(asked).encode())
    for name, data in sorted(figures_of(order.office, order.folder).items()):
        total.update(name.encode() + b"\0" + hashlib.sha256(data).digest())
    return total.hexdigest()


def _keep_foreign(target: Path, made: Path) -> None:
    """Copy what someone else put among the paper, so that a new print loses nothing."""
    if not target.is_dir():
        return
    known = manifest_at(target)
    ours = {MANIFEST, *(entry["path"] for entry in (known["files"] if known else ()))}
    for file in sorted(target.rglob("*")):
        inside = file.relative_to(target).as_posix()
        if file.is_file() and inside not in ours and not (made / inside).exists():
            (made / inside).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(file, made / inside)


def _swap(target: Path, made: Path) -> None:
    if not target.exists():
        made.rename(target)
        return
    if not target.is_dir() or target.is_symlink():
        raise PressError(f"{target} is in the way and is not a folder of ours.")
    old = target.with_name(f".{target.name}-old-{os.getpid()}")
    target.rename(old)
    try:
        made.rename(target)
    except OSError:
        old.rename(target)
        raise
    shutil.rmtree(old, ignore_errors=True)
