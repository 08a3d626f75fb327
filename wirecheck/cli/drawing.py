"""The command that draws."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import output
from wirecheck.cli.options import MaybeChange, Unit

PICTURES = (".svg", ".dot")


def draw(
    unit: Unit,
    change: MaybeChange = None,
    *,
    out: Annotated[str, typer.Option("-o", "--out", metavar="FILE", help="The picture: .svg or .dot.")],
    overview: Annotated[
        bool, typer.Option("--overview", help="What hangs on what; .dot is that always.")
    ] = False,
    dot: Annotated[
        str | None, typer.Option("--dot", metavar="PROGRAM", help="Your own `dot`, to lay the overview out.")
    ] = None,
) -> int:
    """A ladder drawing, before and after a change."""
    from pathlib import Path

    from wirecheck import api

    ending = ".svg" if out == output.STDOUT else Path(out).suffix.lower()
    if ending not in PICTURES:
        raise typer.BadParameter(f"{out!r} must end in {' or '.join(PICTURES)}", param_hint="-o")
    if overview or ending == ".dot":
        output.deliver(api.overview(unit, change, ending, dot), out)
    else:
        output.deliver(api.draw(unit, change), out)
    return 0
