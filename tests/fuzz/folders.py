"""Office folders as no one should keep them: links that lead out, odd names, other encodings, circles of `use`."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from pathlib import Path

from tests.fuzz.offices import hosts
from tests.fuzz.spoiling import spoilt

Draw = random.Random
Spoil = Callable[[Draw, Path], None]

NAMES: tuple[bytes, ...] = (
    b"a.sop",
    b"A.SOP",
    b"office.sop",
    b"Office.sop",
    b" .sop",
    b".sop",
    b"with space.sop",
    b"line\nbreak.sop",
    b"bell\x07.sop",
    b"latin\xe9.sop",
    "composed\u00e9.sop".encode(),
    "composed\u0065\u0301.sop".encode(),
    "turned\u202egnp.sop".encode(),
    b"percent%20.sop",
    b"quote\".sop",
    b"-n.sop",
    b"n" * 240 + b".sop",
)  # fmt: skip


def build(draw: Draw, folder: Path) -> None:
    """An office folder spoilt in one to four ways."""
    folder.mkdir()
    for name, text in draw.choice(hosts()[:5]).items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    (folder.parent / "outside.sop").write_text('term "Outside" "Lies elsewhere."\n')
    for _ in range(draw.randint(1, 4)):
        draw.choice(WAYS)(draw, folder)


def _texts(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*.sop") if path.is_file() and not path.is_symlink())


def _free(draw: Draw, folder: Path) -> Path:
    """A path that is not taken, at the top or in a subfolder."""
    below = folder / draw.choice(("", "", "procedures", "packs/own", "packs/example_pack"))
    below.mkdir(parents=True, exist_ok=True)
    path = below / os.fsdecode(draw.choice(NAMES))
    if path.is_symlink() or path.exists():
        path = below / f"{draw.randrange(10**9)}.sop"
    return path


def odd_name(draw: Draw, folder: Path) -> None:
    """A sound text under an odd name."""
    _free(draw, folder).write_text(f'term "T{draw.randrange(9)}" "Text."\n')


def link(draw: Draw, folder: Path) -> None:
    """A link: out of the folder, to itself, to nothing, to a sound text, to the folder."""
    targets = (folder.parent / "outside.sop", Path("/etc/passwd"), Path("nowhere.sop"), folder, folder.parent)
    path = _free(draw, folder)
    path.symlink_to(path.name if draw.random() < 0.2 else draw.choice(targets))


def no_file(draw: Draw, folder: Path) -> None:
    """What ends like a text and is none: a folder, a pipe."""
    path = _free(draw, folder)
    path.mkdir() if draw.random() < 0.5 else os.mkfifo(path)


def other_bytes(draw: Draw, folder: Path) -> None:
    """A text in another encoding, cut in the middle of a letter, or no text at all."""
    sound = 'term "Größe" "Maß – “so”."\n'
    data = (
        sound.encode("utf-16"),
        sound.encode("utf-16-le"),
        sound.encode("utf-8-sig"),
        sound.encode("cp1252"),
        sound.encode()[:7] + b"\xc3",
        b"\x00" * 50,
        bytes(draw.randrange(256) for _ in range(60)),
        b"",
        b"\xed\xa0\x80",
    )
    _free(draw, folder).write_bytes(draw.choice(data))


def too_large(draw: Draw, folder: Path) -> None:
    """A file beyond all measure; it takes no room on the disk."""
    with _free(draw, folder).open("wb") as file:
        file.truncate(20 * 1024**3)


def uses(draw: Draw, folder: Path) -> None:
    """Texts that use each other, themselves, what is not there, what lies outside, or a pack."""
    known = [path.relative_to(folder).as_posix() for path in _texts(folder)] or ["office.sop"]
    asked = [
        *known,
        "../outside.sop",
        "/etc/passwd",
        "",
        ".",
        "..",
        "procedures",
        "a/../../x.sop",
        "C:\\x.sop",
        "~/x.sop",
    ]
    lines = [f'use "{draw.choice(asked)}"' for _ in range(draw.randint(1, 5))]
    lines += [f"use pack {draw.choice(('own', 'example_pack', 'nothing', 'european_steam', 'dental_reprocessing'))}"]
    names = [path for path in _texts(folder) if path.stat().st_size < 1_000_000]
    if names:
        path = draw.choice(names)
        path.write_bytes(
            "\n".join(draw.sample(lines, len(lines))).encode(errors="surrogateescape") + b"\n" + path.read_bytes()
        )


def many(draw: Draw, folder: Path) -> None:
    """Many small texts, each using the next."""
    below = folder / "many"
    below.mkdir(exist_ok=True)
    for number in range(draw.choice((3, 60, 400))):
        (below / f"{number}.sop").write_text(f'use "many/{number + 1}.sop"\nterm "M{number}" "Text."\n')
    (folder / f"z{draw.randrange(9)}.sop").write_text('use "many/0.sop"\n')


def without(draw: Draw, folder: Path) -> None:
    """A text taken away."""
    texts = _texts(folder)
    if texts:
        draw.choice(texts).unlink()


def said_again(draw: Draw, folder: Path) -> None:
    """Everything of one text once more under another name."""
    texts = [path for path in _texts(folder) if path.stat().st_size < 1_000_000]
    if texts:
        _free(draw, folder).write_bytes(draw.choice(texts).read_bytes())


def spoilt_text(draw: Draw, folder: Path) -> None:
    """One text spoilt."""
    texts = [path for path in _texts(folder) if path.stat().st_size < 100_000]
    if texts:
        path = draw.choice(texts)
        path.write_bytes(spoilt(draw, path.read_bytes().decode("utf-8", "replace"), 2).encode("utf-8", "replace"))


def figure(draw: Draw, folder: Path) -> None:
    """A figure that is missing, leads out, is no picture, or is one."""
    (folder / "figures").mkdir(exist_ok=True)
    path = folder / "figures" / draw.choice(("tray.svg", "tray.png", "tray.gif", "TRAY.SVG"))
    if not path.is_symlink() and not path.exists():
        path.write_bytes(
            draw.choice((b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\x89PNG", b"", b"\xff\xd8\xff", b"no"))
        )
    name = draw.choice((path.name, "../../outside.sop", "/etc/passwd", "", "tray.svg/", "nothing.svg"))
    procedure = f'procedure shown{draw.randrange(9)} "Shown" {{ id "S-{draw.randrange(9)}" figure "figures/{name}" }}\n'
    (folder / f"shown{draw.randrange(9)}.sop").write_text(procedure)


WAYS: tuple[Spoil, ...] = (
    odd_name,
    link,
    no_file,
    other_bytes,
    too_large,
    uses,
    uses,
    many,
    without,
    said_again,
    spoilt_text,
    spoilt_text,
    figure,
)
