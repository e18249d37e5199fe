"""Wraps finished drawings in an HTML page, one sheet each, ready to be written as PDF."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from sopc.render.flowchart import Drawing
from sopc.render.fonts import font_face_css


def sheets_html(drawings: Sequence[Drawing], title: str, language: str = "en") -> str:
    """Return an HTML text with each drawing on a sheet of its own size; the title is the only bookmark."""
    sizes = "".join(
        f"@page s{index} {{ size: {d.width_mm:.3f}mm {d.height_mm:.3f}mm; margin: 0 }}\n"
        f".s{index} {{ page: s{index} }}\n"
        for index, d in enumerate(drawings)
    )
    sheets = "\n".join(
        f'<section class="sheet s{index}">{_heading(title) if index == 0 else ""}{d.svg}</section>'
        for index, d in enumerate(drawings)
    )
    return (
        f'<!DOCTYPE html>\n<html lang="{escape(language)}"><head><meta charset="utf-8">'
        f"<title>{escape(title)}</title>\n<style>\n{font_face_css()}\n{sizes}"
        "body { margin: 0 }\n.sheet { break-before: page; position: relative }\n"
        ".sheet:first-child { break-before: auto }\nsvg { display: block }\n"
        "h1 { position: absolute; margin: 0; font-size: 1pt; color: transparent }\n"
        f"</style></head><body>\n{sheets}\n</body></html>\n"
    )


def _heading(title: str) -> str:
    return f"<h1>{escape(title)}</h1>"
