"""The broken offices and what is found in them, for tests that look over all findings."""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path

from sopc.findings import Finding
from sopc.language.folder import TextFolder
from sopc.language.read import Reading
from sopc.library import check, in_order, load_from

FOLDER = Path(__file__).resolve().parent
BASE = (FOLDER / "base.txt").read_text(encoding="utf-8")
BROKEN = sorted(path.name for path in FOLDER.glob("*.sop"))
PACKS = {
    "packs/idle/idle.sop": 'action hum "Hum" { }\n',
    "packs/rows/rows.sop": 'source table "Published rows" { authority guideline }\n'
    'minimum row_121 "Gravity, wrapped" { steam gravity for wrapped at 121 C for 30 min cite table "1" read }\n',
}
TODAY = date(2026, 12, 1)


def findings_of(texts: dict[str, str]) -> tuple[list[Finding], Reading]:
    """What is found when `texts` are read together with the clean base, but for what they say it is without."""
    base = BASE
    for left_out in re.findall(r"^# the base without: (.*)$", "\n".join(texts.values()), re.MULTILINE):
        assert left_out in base
        base = base.replace(left_out, "")
    office, findings, reading = load_from(TextFolder({"base.sop": base, **PACKS, **texts}))
    told = check(office, TODAY) if office else []
    return in_order([*findings, *told]), reading


@cache
def found_in(name: str) -> tuple[list[Finding], Reading]:
    """What is found in one of the broken offices."""
    return findings_of({name: (FOLDER / name).read_text(encoding="utf-8")})
