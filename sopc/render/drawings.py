"""Lets the drawings in a page travel beside it, so that style sheets are not matched against their every line."""

from __future__ import annotations

import re
from xml.etree import ElementTree

DRAWING_SCHEME = "drawing:"
_SMALL = 1500
_SIZE = re.compile(r'\s(?:width|height|viewBox)="[^"]*"')
_MARGIN = 100
"""Room around a picture, so that the engine's clipping at its edge cuts nothing that stands on the edge."""
_DRAWING = re.compile(
    r'(<svg [^>]*viewBox="([\d.-]+) ([\d.-]+) ([\d.-]+) ([\d.-]+)"[^>]*>)(\s*<title>[^<]*</title>)(.*?)</svg>',
    re.DOTALL,
)


def drawings_apart(html: str) -> tuple[str, dict[str, bytes]]:
    """Return a page in which each larger SVG only shows a picture, and the pictures by name.

    The element, its attributes and its title stay in place, so that style sheets and tags find what they found
    before. What is no well-formed XML by itself stays where it is.
    """
    taken: dict[str, bytes] = {}

    def shown(found: re.Match[str]) -> str:
        head, *room, title, inside = found.groups()
        left, top, width, height = map(float, room)
        wider = f"{left - _MARGIN:g} {top - _MARGIN:g} {width + 2 * _MARGIN:.12g} {height + 2 * _MARGIN:.12g}"
        picture = f'{_SIZE.sub("", head)[:-1]} viewBox="{wider}">{title}{inside}</svg>'.encode()
        if len(inside) < _SMALL or not _is_xml(picture):
            return found.group()
        name = str(len(taken))
        taken[name] = picture
        place = 'x="{}" y="{}" width="{}" height="{}"'.format(*wider.split(" "))
        return f'{head}{title}<image href="{DRAWING_SCHEME}{name}" {place}/></svg>'

    return _DRAWING.sub(shown, html), taken


def _is_xml(data: bytes) -> bool:
    try:
        ElementTree.fromstring(data)
    except ElementTree.ParseError:
        return False
    return b"xmlns=" in data[: data.index(b">")]
