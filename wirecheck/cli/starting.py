"""Commands that write a unit file: as a change leaves it, and a new one to begin with."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wirecheck.cli import output
from wirecheck.cli.options import Change, Library, Unit

if TYPE_CHECKING:
    from wirecheck.design.start import Answers, Question

NONE = "none"  # of what may be several: not one of them


def apply(
    unit: Unit,
    change: Change,
    out: Annotated[str, typer.Option("-o", "--out", metavar="NEW.yaml", help="The unit as changed.")],
    date: Annotated[
        str, typer.Option("--date", metavar="TEXT", help="When it was done; today, if not given.")
    ] = "",
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="NEW.yaml may be UNIT itself, which is then replaced.")
    ] = False,
) -> int:
    """Write the unit as a change leaves it: the as-built file.

    The order and the comments of UNIT are kept, what is taken out stays as a comment, and the steps stand
    at the end. The file is read back and compared before it is put in place.
    """
    import datetime

    from wirecheck import api
    from wirecheck.report import starting

    _not_over(out, unit, change, overwrite)
    today = datetime.datetime.now().astimezone().date().isoformat()
    done = api.apply(unit, change, out, date or today)
    output.deliver(done.text, out)
    if out != output.STDOUT:
        output.show(starting.applied(out, done.changed, done.remarks, output.width()))
    return 0


def _not_over(out: str, unit: str, change: str, overwrite: bool) -> None:
    """Refuse to write over what is read, but over the unit where that is said."""
    if output.same_file(out, change):
        raise typer.BadParameter("NEW.yaml is the change itself; give another name", param_hint="-o")
    if output.same_file(out, unit) and not overwrite:
        message = "NEW.yaml is the unit itself; give another name, or say --overwrite"
        raise typer.BadParameter(message, param_hint="-o")


def _answer(words: str) -> Any:
    return typer.Option(metavar="ANSWER", help=words)


def new(
    kind: Annotated[
        str | None, typer.Argument(metavar="[KIND]", help="What to begin with; all kinds, if not given.")
    ] = None,
    out: Annotated[str | None, typer.Option("-o", "--out", metavar="FILE", help="The unit file.")] = None,
    name: Annotated[str, typer.Option("--name", metavar="TEXT", help="What the unit is called.")] = "",
    supply: Annotated[
        str | None, _answer("What feeds it: split-240, wye-208, single-230, three-208 …")
    ] = None,
    poles: Annotated[str | None, _answer("Poles that the contactor opens: one, two, three.")] = None,
    compressor: Annotated[str | None, _answer("psc, start-kit, three-phase.")] = None,
    fan: Annotated[str | None, _answer("psc, shaded-pole, three-phase, none.")] = None,
    capacitor: Annotated[str | None, _answer("dual, separate.")] = None,
    safety: Annotated[
        str | None, _answer("With commas: high-pressure, low-pressure, discharge, drain-pan, overload.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="FILE may be there already.")] = False,
    folder: Library = None,
) -> int:
    """Begin a unit file: the kinds of units there are, or one of them written to make your own.

    The kind condensing-unit is made from a few answers; on a terminal what no option answers is asked.
    """
    said = {"supply": supply, "poles": poles, "compressor": compressor, "fan": fan,
            "capacitor": capacitor, "safety": safety}  # fmt: skip
    given = {question: _names(text) for question, text in said.items() if text is not None}
    if kind is None:
        return _kinds(folder)
    if out is None:
        raise typer.BadParameter("say which file to write: -o FILE", param_hint="-o")
    if out != output.STDOUT and Path(out).exists() and not overwrite:
        message = f"{out} is there already; give another name, or say --overwrite"
        raise typer.BadParameter(message, param_hint="-o")
    if kind != "condensing-unit":
        return _copied(kind, out, folder, [*given, *(["name"] if name else [])])
    return _begun(out, given, name)


def _kinds(folder: str | None) -> int:
    from wirecheck import api
    from wirecheck.report import starting

    output.show(starting.kinds(api.unit_kinds(folder), output.width()))
    return 0


def _copied(kind: str, out: str, folder: str | None, given: list[str]) -> int:
    """A kind of the library, as it stands there."""
    from wirecheck import api
    from wirecheck.report import starting

    text = api.kind_text(kind, folder)
    if given:
        message = f"{kind} is written as it stands in the library; only condensing-unit takes answers"
        raise typer.BadParameter(message, param_hint=f"--{given[0]}")
    output.deliver(text, out)
    if out != output.STDOUT:
        output.show(starting.copied(kind, out, output.width()))
    return 0


def _begun(out: str, given: Answers, name: str) -> int:
    """A condensing unit from answers; those that are missing are asked on a terminal."""
    from wirecheck import api
    from wirecheck.report import starting

    asked = output.is_terminal()
    text, chosen = api.begin(_asked(given) if asked else given, name or "a condensing unit")
    output.deliver(text, out)
    if out != output.STDOUT:
        taken = [] if asked else [q for q in chosen if q not in given]
        output.show(starting.written(out, chosen, taken, output.width()))
    return 0


def _asked(given: Answers) -> Answers:
    """The answers with those added that were missing; what is given is judged when all are there."""
    from wirecheck.design.start import questions
    from wirecheck.report import starting

    heard: Answers = {}
    chosen: Answers = {}
    for question in questions():
        chosen[question.name] = given.get(question.name, question.usual(chosen))
        open_ = question.several or len(question.fitting(chosen)) > 1
        if open_ and question.name not in given:
            output.show(starting.question(question, chosen, output.width()))
            chosen[question.name] = heard[question.name] = _heard(question, chosen)
    return given | heard


def _heard(question: Question, chosen: Answers) -> tuple[str, ...]:
    """An answer that fits; asked again until there is one."""
    from wirecheck.report import starting

    fit = [a.name for a in question.fitting(chosen)]
    numbers = [str(k) for k in range(1, len(fit) + 1)]
    while True:
        line = output.prompt(f"{question.name}:")
        if line is None:  # the end of all input: nothing is written
            raise KeyboardInterrupt
        if not line:
            return question.usual(chosen)
        if question.several and line == NONE:
            return ()
        names = tuple(fit[int(n) - 1] if n in numbers else n for n in _names(line))
        if all(n in fit for n in names) and (question.several or len(names) == 1):
            return names
        output.show(starting.no_such(fit, output.width()))


def _names(text: str) -> tuple[str, ...]:
    """Names with commas or blanks between."""
    return tuple(dict.fromkeys(text.replace(",", " ").split()))
