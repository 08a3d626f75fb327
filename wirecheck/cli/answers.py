"""Commands that answer a question about a unit or a change."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import FAIL, NOT_DECIDED, PASS, output
from wirecheck.cli.options import Change, Json, MaybeChange, Plainly, Unit, When
from wirecheck.cli.progress import shown

EXITS = {"pass": PASS, "fail": FAIL, "unknown": NOT_DECIDED}


def verify(unit: Unit, change: Change, json: Json = None, plain: Plainly = False) -> int:
    """Is the change right? The main job.

    Of two unit files, OLD and NEW, what differs between them is found and checked as a change that allows
    nothing. Exit code 0 pass, 1 fail, 3 not decided, 2 bad input.
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


def states(
    unit: Unit, change: MaybeChange = None, when: When = "", json: Json = None, plain: Plainly = False
) -> int:
    """Every settled state that can be reached.

    States that differ in the range of a quantity alone are one row. `verify` counts each of them, in the unit
    before and after side by side, so its number is often greater.
    """
    from wirecheck import api
    from wirecheck.report import as_json, table

    with shown():
        circuit, answer = api.states(unit, change, when, plain)
    if json is not None:
        output.deliver(as_json.text(as_json.states(answer)), json)
    else:
        output.show(table.page(circuit, answer, output.width()))
    return 0


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


POINTS = (
    "a meter has two probes: after UNIT, and CHANGE if there is one, give two points. A point is a terminal "
    "(K1.T2), a pole of a supply (MAINS.L1; MAINS.PE is earth), a splice, or a loose end (W7:K1.T2). "
    "Given: {}"
)


def _probed(what: list[str]) -> tuple[str, str | None, list[str]]:
    """Unit, change where the second word is a file, and the points."""
    from pathlib import Path

    unit, *rest = what
    a_file = bool(rest) and (rest[0].lower().endswith((".yaml", ".yml")) or Path(rest[0]).is_file())
    return unit, rest.pop(0) if a_file else None, rest


def meter(
    what: Annotated[
        list[str],
        typer.Argument(
            metavar="UNIT [CHANGE] [A B]",
            help="The files, then the two terminals; without them, everything that is live.",
        ),
    ],
    when: When = "",
    ohms: Annotated[bool, typer.Option("--ohms", help="Ohms, the supplies away; else volts.")] = False,
    at_step: Annotated[
        int | None,
        typer.Option("--at-step", metavar="N", help="In the middle of CHANGE, after N of its plain steps."),
    ] = None,
    json: Json = None,
) -> int:
    """What does a meter between two terminals read, and what is live with it?"""
    from wirecheck import api
    from wirecheck.report import as_json, reading

    unit, change, points = _probed(what)
    if len(points) != 2 and (points or ohms):
        found = f"only {points[0]}" if len(points) == 1 else ", ".join(points) or "none"
        raise typer.BadParameter(POINTS.format(found))
    a, b = points or ("", "")
    if not points:
        circuit, stands = api.live(unit, change, when, at_step)
        answer, lines = as_json.live(stands), reading.live(circuit, stands, output.width())
    elif ohms:
        circuit, resistance = api.ohms(unit, change, a, b, when, at_step)
        answer, lines = as_json.ohms(resistance), reading.ohms(circuit, a, b, resistance, output.width())
    else:
        circuit, volts = api.meter(unit, change, a, b, when, at_step)
        answer, lines = as_json.meter(volts, a, b), reading.volts(circuit, a, b, volts, output.width())
    if json is not None:
        output.deliver(as_json.text(answer), json)
    else:
        output.show(lines)
    return 0


def ramp(
    what: Annotated[
        list[str],
        typer.Argument(
            metavar="UNIT [CHANGE] QUANTITY FROM TO [BACK]",
            help='The files, the quantity, and its values: "250 psig" "450 psig" "250 psig".',
        ),
    ],
    when: When = "",
    out: Annotated[
        str | None, typer.Option("-o", "--out", metavar="FILE.svg", help="Draw the timeline to FILE.svg.")
    ] = None,
    json: Json = None,
) -> int:
    """What happens as a pressure or temperature rises and falls?

    In order: at which value which switch moves, and what starts and stops.
    """
    from wirecheck import api
    from wirecheck.report import as_json, ramping

    for word in what:
        if word.startswith("-") and not word[1:2].isdigit():
            raise typer.BadParameter(f"no such option: {word}")
    unit, *rest = what
    change = rest.pop(0) if rest and rest[0].lower().endswith((".yaml", ".yml")) else None
    if len(rest) < 3:
        raise typer.BadParameter("give UNIT, a CHANGE if there is one, QUANTITY, FROM and TO")
    if out is not None and out != output.STDOUT and not out.lower().endswith(".svg"):
        raise typer.BadParameter(f"{out!r} must end in .svg", param_hint="-o")
    circuit, answer = api.ramp(unit, change, rest[0], tuple(rest[1:]), when)
    if out is not None:
        output.deliver(ramping.picture(circuit, answer), out)
    if json is not None:
        output.deliver(as_json.text(ramping.as_json(circuit, answer)), json)
    elif out != output.STDOUT:
        output.show(ramping.page(circuit, answer, output.width()))
    return 0


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
