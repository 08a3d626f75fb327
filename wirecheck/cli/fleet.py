"""The command for many units and changes at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wirecheck.cli import BAD_INPUT, FAIL, NOT_DECIDED, OUR_FAULT, PASS, output
from wirecheck.cli.progress import shown

if TYPE_CHECKING:
    from wirecheck.api.fleet import Sweep
    from wirecheck.report.fleet.line import Line

LINES = "results.jsonl"
EXITS = {"fault": OUR_FAULT, "fail": FAIL, "bad input": BAD_INPUT, "unknown": NOT_DECIDED, "pass": PASS}


def sweep(
    folder: Annotated[str, typer.Argument(metavar="FOLDER", help="Units and changes, in folders or not.")],
    out: Annotated[str, typer.Option("-o", "--out", metavar="DIR", help="The folder for the results.")],
    pairs: Annotated[
        str | None, typer.Option("--pairs", metavar="FILE", help="A list instead: UNIT CHANGE on each line.")
    ] = None,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", metavar="N", min=1, help="How many at once; as many as processors."),
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="Do all again, also what the results have of these files.")
    ] = False,
) -> int:
    """Verify every change of a folder on the units that it is for.

    A change is for the unit beside it, else for those of the next folder above; of several, for those on
    which its steps can be carried out. A unit without a change is checked as it stands. DIR gets
    results.jsonl, summary.html, results.sarif and results.xml (JUnit). Started again, it goes on where it
    ended.

    The exit code is that of the worst: 70, 1, 2, 3, 0.
    """
    from wirecheck import api
    from wirecheck.report.fleet import line, page

    found = api.sweep_of(folder, pairs, out)
    target = Path(out)
    output.folder(target)
    known = [] if anew else _known(target / LINES)
    with shown():
        lines, kept = _swept(found, known, target / LINES, jobs)
    _write(target, line.worst_first(lines), folder)
    output.show(page.screen(lines, kept, out, output.width()))
    return EXITS[line.worst_first(lines)[0]["verdict"]]


def _known(path: Path) -> list[Line]:
    """The lines of a sweep before, if there was one."""
    from wirecheck.report.fleet import line

    try:
        return line.read(path.read_text(encoding="utf-8", errors="replace"))
    except FileNotFoundError:
        return []


def _swept(found: Sweep, known: list[Line], path: Path, jobs: int | None) -> tuple[list[Line], int]:
    """Every line, each written as it comes; and how many were there before."""
    from wirecheck import api
    from wirecheck.progress import steps
    from wirecheck.report.fleet import line

    lines: list[Line] = []
    kept = 0
    output.write(path, "".join(map(line.text, known)))  # without what was cut short
    with output.adding(path) as add:
        counted = iter(steps("pairs", found.jobs))
        for row, before in api.swept(found, known, jobs):
            next(counted)
            lines.append(row)
            kept += before
            if not before:
                add(line.text(row))
        next(counted, None)
    return lines, kept


def _write(target: Path, lines: list[Line], folder: str) -> None:
    """Every form of the results, the lines in order."""
    import datetime

    from wirecheck import api
    from wirecheck.api.fleet import version
    from wirecheck.report import as_json
    from wirecheck.report.fleet import junit, line, page, sarif

    date = datetime.datetime.now().astimezone().date().isoformat()
    output.write(target / LINES, "".join(map(line.text, lines)))
    output.write(target / "summary.html", page.page(lines, folder, date, version()))
    output.write(target / "results.sarif", as_json.text(sarif.log(lines, version(), api.titles())))
    output.write(target / "results.xml", junit.xml(lines))
