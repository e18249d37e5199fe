"""Begin a new office: copy the shipped starting texts into an empty or new folder."""

from __future__ import annotations

from pathlib import Path

from sopc.shipped import shipped


class StartError(ValueError):
    """The folder cannot take a new office; the text says why."""


def start(folder: Path) -> list[Path]:
    """Copy the starting office into `folder` and return the files made. Nothing that exists is overwritten."""
    origin = shipped("protocols") / "starter"
    texts = sorted(path for path in origin.rglob("*") if path.is_file())
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise StartError(f"{folder} is not empty; name a new folder, so that nothing of yours is overwritten.")
    made = []
    try:
        for text in texts:
            target = folder / text.relative_to(origin)
            target.parent.mkdir(parents=True, exist_ok=True)
            with target.open("xb") as file:
                file.write(text.read_bytes())
            made.append(target)
    except OSError as error:
        raise StartError(f"{folder} cannot be written: {error.strerror}.") from error
    return made
