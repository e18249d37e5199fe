"""Makes a drawing that looks the same in any viewer: the letters it uses travel inside the SVG file."""

from __future__ import annotations

import base64
import re
from functools import lru_cache
from io import BytesIO

from sopc.render.fonts import FAMILY, Weight, font_bytes, weight_files

_USUAL = frozenset(map(chr, range(0x20, 0x7F))) | frozenset("\u00a0\u202f°·×½–—‘’“”…←→≤≥")
"""What nearly every drawing is content with: cut once, used by all."""

_WEIGHT = re.compile(r'font-weight="(\d+)"')
_TEXT = re.compile(r">([^<]*)<")


def standalone(svg: str) -> str:
    """Return the drawing with the bundled face embedded, cut down to the letters it shows."""
    letters = _USUAL | frozenset("".join(_TEXT.findall(svg)))
    weights = {int(found) for found in _WEIGHT.findall(svg)} | {Weight.REGULAR.value}
    faces = "".join(_face(weight, "".join(sorted(letters))) for weight in Weight if weight.value in weights)
    head = svg.index(">", svg.index("<svg")) + 1
    return f"{svg[:head]}\n<style>{faces}</style>{svg[head:]}"


@lru_cache(maxsize=64)
def _face(weight: Weight, letters: str) -> str:
    from fontTools import subset
    from fontTools.ttLib import TTFont

    options = subset.Options(hinting=False, layout_features=[], notdef_outline=True, flavor="woff2")
    with TTFont(BytesIO(font_bytes(weight_files()[weight])), recalcTimestamp=False) as font:
        cutter = subset.Subsetter(options)
        cutter.populate(text=letters)
        cutter.subset(font)
        font.flavor = "woff2"
        target = BytesIO()
        font.save(target)
    data = base64.b64encode(target.getvalue()).decode()
    return (
        f"@font-face{{font-family:'{FAMILY}';font-weight:{weight.value};"
        f"src:url(data:font/woff2;base64,{data}) format('woff2')}}"
    )
