"""The commands. Each makes one call of `api` and shows what it answers; what is heavy is imported late."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import output

app = typer.Typer(
    name="wirecheck",
    help="Verifies a wiring change on heating, cooling or refrigeration equipment before it is made.",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

Unit = Annotated[str, typer.Argument(metavar="UNIT", help="The unit file: how it is wired.")]
Change = Annotated[str, typer.Argument(metavar="CHANGE", help="The change file: the steps.")]
MaybeChange = Annotated[
    str | None, typer.Argument(metavar="[CHANGE]", help="The change file; then the unit as changed.")
]
When = Annotated[
    str, typer.Option("--when", metavar="TEXT", help='What to hold, such as "DS closed, TH.cool closed".')
]
Json = Annotated[
    str | None, typer.Option("--json", metavar="FILE", help="Write JSON to FILE, `-` for standard output.")
]

EXITS = {"pass": 0, "fail": 1, "unknown": 3}


@app.command()
def verify(unit: Unit, change: Change, json: Json = None) -> int:
    """Is the change right? Exit 0 pass, 1 fail, 3 not decided, 2 bad input."""
    from wirecheck import api
    from wirecheck.report import as_json, verdict

    changed, answer = api.verify(unit, change)
    if json is not None:
        output.deliver(as_json.text(as_json.verified(changed, answer)), json)
    if json != output.STDOUT:
        output.show(verdict.page(changed, answer, output.width()))
    return EXITS[answer.verdict]


@app.command()
def states(unit: Unit, change: MaybeChange = None, when: When = "", json: Json = None) -> int:
    """Every settled state that can be reached."""
    from wirecheck import api
    from wirecheck.report import as_json, table

    circuit, answer = api.states(unit, change, when)
    if json is not None:
        output.deliver(as_json.text(as_json.states(answer)), json)
    else:
        output.show(table.page(circuit, answer, output.width()))
    return 0


@app.command()
def lift(
    unit: Unit,
    load: Annotated[str, typer.Argument(metavar="LOAD", help="The load that is to stop: FAN.")],
    json: Json = None,
) -> int:
    """Which conductor, opened alone, stops a load and touches nothing else?"""
    from wirecheck import api
    from wirecheck.report import as_json, lifting

    circuit, answer, advice = api.lift(unit, load)
    if json is not None:
        says = lifting.short(circuit, answer, advice)
        output.deliver(as_json.text(as_json.lift(answer, advice, says)), json)
    else:
        output.show(lifting.page(circuit, answer, advice, output.width()))
    return 0


@app.command()
def meter(
    what: Annotated[
        list[str], typer.Argument(metavar="UNIT [CHANGE] A B", help="The files, then the two terminals.")
    ],
    when: When = "",
    ohms: Annotated[bool, typer.Option("--ohms", help="Ohms, the supplies away; else volts.")] = False,
    json: Json = None,
) -> int:
    """What does a meter between two terminals read?"""
    from wirecheck import api
    from wirecheck.report import as_json, reading

    if len(what) not in (3, 4):
        raise typer.BadParameter("give UNIT, a CHANGE if there is one, then two terminals: A B")
    unit, change, (a, b) = what[0], what[1] if len(what) == 4 else None, what[-2:]
    if ohms:
        circuit, resistance = api.ohms(unit, change, a, b, when)
        answer, lines = as_json.ohms(resistance), reading.ohms(circuit, a, b, resistance, output.width())
    else:
        circuit, volts = api.meter(unit, change, a, b, when)
        answer, lines = as_json.meter(volts, a, b), reading.volts(circuit, a, b, volts, output.width())
    if json is not None:
        output.deliver(as_json.text(answer), json)
    else:
        output.show(lines)
    return 0
