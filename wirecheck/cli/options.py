"""Arguments and options that several commands share."""

from __future__ import annotations

from typing import Annotated

import typer

Unit = Annotated[str, typer.Argument(metavar="UNIT", help="The unit file: how it is wired.")]
Change = Annotated[str, typer.Argument(metavar="CHANGE", help="The change file: the steps.")]
MaybeChange = Annotated[
    str | None, typer.Argument(metavar="[CHANGE]", help="The change file; then the unit as changed.")
]
When = Annotated[
    str, typer.Option("--when", metavar="TEXT", help='What to hold, such as "DS closed, TH.cool closed".')
]
Plainly = Annotated[
    bool, typer.Option("--plain", help="Ask the plain evaluator alone: a state at a time, slow.")
]
Json = Annotated[
    str | None, typer.Option("--json", metavar="FILE", help="Write JSON to FILE, `-` for standard output.")
]
Library = Annotated[
    str | None,
    typer.Option("--library", metavar="DIR", help="A folder of your own kinds of units, beside ours."),
]
