"""Commands that tell what wirecheck knows: codes, device types, schemas."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import output


def explain(
    code: Annotated[
        str | None, typer.Argument(metavar="[CODE]", help="An error's code, a check, or a word of the files.")
    ] = None,
) -> int:
    """What an error's code, a check or a word of the files means, by example."""
    from wirecheck import api
    from wirecheck.report import catalogue

    if code is None:
        output.show(catalogue.codes(api.codes(), output.width()))
    else:
        output.say(api.explain(code).rstrip("\n"))
    return 0


def devices(
    name: Annotated[str | None, typer.Argument(metavar="[TYPE]", help="One device type.")] = None,
) -> int:
    """The built-in device types, and what each takes."""
    from wirecheck import api
    from wirecheck.report import catalogue

    if name is None:
        output.show(catalogue.devices(api.devices(), output.width()))
    else:
        output.show(catalogue.device(api.device(name), output.width()))
    return 0


def schemas(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="The folder to write them to.")],
) -> int:
    """Write the JSON schemas for editors."""
    from pathlib import Path

    from wirecheck import api

    output.folder(Path(folder))
    for name, text in api.schemas().items():
        output.write(Path(folder) / name, text)
    return 0
