"""Templates to pages: whatever a file says stands there as text, and nothing in it acts."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Environment, Template
    from markupsafe import Markup

CODE = re.compile("`([^`]+)`")
TEMPLATES = Path(__file__).parent / "templates"


def inert(text: str) -> str:
    """Text without what could steer a terminal, a browser or the direction of reading."""
    return "".join(c if c.isprintable() else " " if c in "\t\n" else "�" for c in text)


def coded(text: str) -> Markup:
    """Text escaped and inert, what stands between backticks as code."""
    from markupsafe import Markup, escape

    code = Markup("<code>{}</code>")
    parts = CODE.split(inert(text))  # every second one stood between backticks
    return Markup("").join(code.format(part) if k % 2 else escape(part) for k, part in enumerate(parts))


def template(name: str) -> Template:
    """A page of `templates/`. Every value put into it is escaped and inert; a name it lacks is an error."""
    return _environment().get_template(name)


@cache
def _environment() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_inert,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["coded"] = coded
    return made


def _inert(value: Any) -> Any:
    return inert(value) if type(value) is str else value  # markup that the template made stays as it is
