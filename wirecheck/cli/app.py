"""The application: every command, in the order of `--help`. Each makes one call of `api` and shows what it
answers; what is heavy is imported late.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from wirecheck.cli import output

# Command -> the module of this room that holds it, as a function of the same name.
COMMANDS = {
    "verify": "answers",
    "states": "answers",
    "lift": "answers",
    "meter": "answers",
    "ramp": "answers",
    "mistakes": "answers",
    "jobsheet": "field",
    "card": "field",
    "draw": "drawing",
    "new": "starting",
    "apply": "starting",
    "read": "learning",
    "find": "learning",
    "drill": "learning",
    "record": "records",
    "recheck": "records",
    "sweep": "fleet",
    "explain": "reference",
    "devices": "reference",
    "library": "library",
    "schemas": "reference",
}

# A value below zero, -10, is no option.
SETTINGS = {"ramp": {"ignore_unknown_options": True}}


class Built(Mapping[str, Any]):
    """Each command by its name, built when it is asked for: one that runs need not wait for twenty others."""

    def __getitem__(self, name: str) -> Any:
        if name not in COMMANDS:
            raise KeyError(name)
        return _built(name)

    def __iter__(self) -> Iterator[str]:
        return iter(COMMANDS)

    def __len__(self) -> int:
        return len(COMMANDS)


@cache
def _built(name: str) -> Any:
    alone = typer.Typer(add_completion=False, rich_markup_mode=None)
    function = getattr(import_module(f"wirecheck.cli.{COMMANDS[name]}"), name)
    alone.command(context_settings=SETTINGS.get(name))(function)
    return typer.main.get_command(alone)


class Group(TyperGroup):
    """The group of all commands."""

    def __init__(self, **said: Any) -> None:
        super().__init__(**said)
        self.commands = Built()  # type: ignore[assignment] # nothing is ever added to it


app = typer.Typer(
    name="wirecheck",
    cls=Group,
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import PackageNotFoundError, version

        try:
            output.say(f"wirecheck {version('wirecheck')}")
        except PackageNotFoundError:
            output.say("wirecheck, not installed")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Verifies a wiring change on heating, cooling or refrigeration equipment before it is made.

    Exit codes: 0 pass or done, 1 fail, 2 bad input, 3 not decided, 70 a fault of wirecheck itself.
    """
