"""The command that draws."""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from wirecheck.cli import output
from wirecheck.cli.options import MaybeChange, Unit
from wirecheck.cli.progress import shown

PICTURES = (".svg", ".png", ".html", ".dot")


def draw(
    unit: Unit,
    change: MaybeChange = None,
    *,
    out: Annotated[
        str,
        typer.Option("-o", "--out", metavar="FILE", help="The picture: .svg, .png, .dot; or a page, .html."),
    ],
    only: Annotated[
        Literal["ladder", "connections", "overview"] | None,
        typer.Option("--only", help="One picture: ladder, connections, or overview (what hangs on what)."),
    ] = None,
    when: Annotated[
        str | None,
        typer.Option(
            "--when", metavar="TEXT", help='The state to show, such as "TH.cool closed"; else at rest.'
        ),
    ] = None,
    dot: Annotated[
        str | None, typer.Option("--dot", metavar="PROGRAM", help="Your own `dot`, to lay the overview out.")
    ] = None,
) -> int:
    """Drawings: a ladder, or which conductor goes to which screw; before and after a change."""
    from pathlib import Path

    from wirecheck import api

    ending = ".svg" if out == output.STDOUT else Path(out).suffix.lower()
    if ending not in PICTURES:
        raise typer.BadParameter(f"{out!r} must end in {' or '.join(PICTURES)}", param_hint="-o")
    if ending == ".html":
        if only is not None:
            raise typer.BadParameter("a page, .html, has every drawing", param_hint="--only")
        with shown():
            text = api.page(unit, change, when)
        output.deliver(text, out)
        return 0
    if when is not None and (only == "overview" or ending == ".dot"):
        raise typer.BadParameter("an overview shows no state", param_hint="--when")
    if ending == ".dot" and only not in (None, "overview"):
        raise typer.BadParameter(f"a .dot file is the overview, not {only}", param_hint="--only")
    if only == "overview" or ending == ".dot":
        text = api.overview(unit, change, ".dot" if ending == ".dot" else ".svg", dot)
    elif only == "connections":
        text = api.connections(unit, change, when)
    else:
        text = api.draw(unit, change, when)
    if ending == ".png":
        output.write(Path(out), api.png(text))
    else:
        output.deliver(text, out)
    return 0
