"""The command that lists the library of units."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import output
from wirecheck.cli.options import Library


def library(
    name: Annotated[
        str | None, typer.Argument(metavar="[KIND]", help="One kind of unit: its file and its changes.")
    ] = None,
    folder: Library = None,
) -> int:
    """Kinds of units to start from, and the changes people make to them."""
    from wirecheck import api
    from wirecheck.report import library as report

    if name is None:
        output.show(report.kinds(api.unit_kinds(folder), output.width()))
    else:
        output.show(report.kind(*api.unit_kind(name, folder), output.width()))
    return 0
