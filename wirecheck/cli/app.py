"""The application: every command, in the order of `--help`. Each makes one call of `api` and shows what it
answers; what is heavy is imported late.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from wirecheck.cli import (
    answers,
    drawing,
    field,
    fleet,
    learning,
    library,
    output,
    records,
    reference,
    starting,
)

if TYPE_CHECKING:
    from collections.abc import Callable

app = typer.Typer(
    name="wirecheck",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

COMMANDS = (
    answers.verify,
    answers.states,
    answers.lift,
    answers.meter,
    answers.ramp,
    answers.mistakes,
    field.jobsheet,
    field.card,
    drawing.draw,
    starting.new,
    starting.apply,
    learning.read,
    learning.find,
    learning.drill,
    records.record,
    records.recheck,
    fleet.sweep,
    reference.explain,
    reference.devices,
    library.library,
    reference.schemas,
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


# A value below zero, -10, is no option.
SETTINGS: dict[Callable[..., int], dict[str, bool]] = {answers.ramp: {"ignore_unknown_options": True}}

for command in COMMANDS:
    app.command(context_settings=SETTINGS.get(command))(command)
