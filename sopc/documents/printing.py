"""Prints page models through the templates: one environment, strict about names and escaping everything."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from sopc.documents.frame import Frame
from sopc.documents.markdown import rendered
from sopc.documents.wording import bound_units
from sopc.render.fonts import FAMILY, font_face_css
from sopc.shipped import shipped

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup


def printed(template: str, frame: Frame, **model: object) -> str:
    """Return the HTML of one document; raises jinja2.UndefinedError when a template names what the model lacks."""
    from markupsafe import Markup

    page = _environment().get_template(template)
    return page.render(frame=frame, fonts=Markup(font_face_css(italic=True)), family=FAMILY, **model)


@lru_cache(maxsize=1)
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(shipped("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        finalize=_with_bound_units,
    )
    environment.filters["markdown"] = rendered
    environment.filters["drawing"] = _drawing
    return environment


def _with_bound_units(value: object) -> object:
    """Keep a number and its unit on one line in every text that is printed; drawings and HTML stay as they are."""
    return bound_units(value) if type(value) is str else value


def _drawing(svg: str) -> Markup:
    """Let an SVG that we drew ourselves stand in the page, without the XML head it may have."""
    from markupsafe import Markup

    return Markup(svg[svg.index("<svg") :])
