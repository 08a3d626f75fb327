"""The commands. Each makes one call of `api` and shows what it answers; what is heavy is imported late."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import FAIL, NOT_DECIDED, PASS, output
from wirecheck.cli.progress import shown

app = typer.Typer(
    name="wirecheck",
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
Plainly = Annotated[
    bool, typer.Option("--plain", help="Ask the plain evaluator alone: a state at a time, slow.")
]
Json = Annotated[
    str | None, typer.Option("--json", metavar="FILE", help="Write JSON to FILE, `-` for standard output.")
]

EXITS = {"pass": PASS, "fail": FAIL, "unknown": NOT_DECIDED}
PICTURES = (".svg", ".dot")


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import PackageNotFoundError, version

        try:
            output.say(f"wirecheck {version('wirecheck')}")
        except PackageNotFoundError:
            output.say("wirecheck, not installed")
        raise typer.Exit


@app.command()
def verify(unit: Unit, change: Change, json: Json = None, plain: Plainly = False) -> int:
    """Is the change right? The main job.

    Exit code 0 pass, 1 fail, 3 not decided, 2 bad input.
    """
    from wirecheck import api
    from wirecheck.report import as_json, verdict

    with shown():
        changed, answer = api.verify(unit, change, plain)
    if json is not None:
        output.deliver(as_json.text(as_json.verified(changed, answer)), json)
    if json != output.STDOUT:
        output.show(verdict.page(changed, answer, output.width()))
    return EXITS[answer.verdict]


@app.command()
def states(
    unit: Unit, change: MaybeChange = None, when: When = "", json: Json = None, plain: Plainly = False
) -> int:
    """Every settled state that can be reached."""
    from wirecheck import api
    from wirecheck.report import as_json, table

    with shown():
        circuit, answer = api.states(unit, change, when, plain)
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
    plain: Plainly = False,
) -> int:
    """Which conductor to lift to stop a load.

    For every conductor, what opening it alone does to the load and to everything else.
    """
    from wirecheck import api
    from wirecheck.report import as_json, lifting

    with shown():
        answer, advice = api.lift(unit, load, plain)
    if json is not None:
        says = lifting.short(answer, advice)
        output.deliver(as_json.text(as_json.lift(answer, advice, says)), json)
    else:
        output.show(lifting.page(answer, advice, output.width()))
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


@app.command()
def ramp(
    what: Annotated[
        list[str],
        typer.Argument(
            metavar="UNIT [CHANGE] QUANTITY FROM TO [BACK]",
            help='The files, the quantity, and its values: "250 psig" "450 psig" "250 psig".',
        ),
    ],
    when: When = "",
    json: Json = None,
) -> int:
    """What happens as a pressure or temperature rises and falls?

    In order: at which value which switch moves, and what starts and stops.
    """
    from wirecheck import api
    from wirecheck.report import as_json, ramping

    unit, *rest = what
    change = rest.pop(0) if rest and rest[0].lower().endswith((".yaml", ".yml")) else None
    if len(rest) < 3:
        raise typer.BadParameter("give UNIT, a CHANGE if there is one, QUANTITY, FROM and TO")
    circuit, answer = api.ramp(unit, change, rest[0], tuple(rest[1:]), when)
    if json is not None:
        output.deliver(as_json.text(ramping.as_json(circuit, answer)), json)
    else:
        output.show(ramping.page(circuit, answer, output.width()))
    return 0


@app.command()
def mistakes(unit: Unit, change: Change, json: Json = None, plain: Plainly = False) -> int:
    """What can be done wrong in a change, and how it would show.

    Every single wiring mistake, what it would do, and the shortest list of things to do and observe that
    shows it.
    """
    from wirecheck import api
    from wirecheck.report import as_json, mistaken

    with shown():
        answer = api.mistakes(unit, change, plain)
    if json is not None:
        output.deliver(as_json.text(mistaken.as_json(answer)), json)
    else:
        output.show(mistaken.page(answer, output.width()))
    return 0


@app.command()
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


@app.command()
def explain(
    code: Annotated[
        str | None, typer.Argument(metavar="[CODE]", help="An error's code, or a check's name.")
    ] = None,
) -> int:
    """What an error's code or a check means, by example."""
    from wirecheck import api
    from wirecheck.report import catalogue

    if code is None:
        output.show(catalogue.codes(api.codes(), output.width()))
    else:
        output.say(api.explain(code).rstrip("\n"))
    return 0


@app.command()
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


@app.command()
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


@app.callback()
def main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """Verifies a wiring change on heating, cooling or refrigeration equipment before it is made.

    Exit codes: 0 pass or done, 1 fail, 2 bad input, 3 not decided, 70 a fault of wirecheck itself.
    """
