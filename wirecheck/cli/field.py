"""Commands for the work at the unit: the job sheet and the card for the panel door."""

from __future__ import annotations

from typing import Annotated

import typer

from wirecheck.cli import FAIL, NOT_DECIDED, PASS, output
from wirecheck.cli.options import Change, MaybeChange, Plainly, Unit
from wirecheck.cli.progress import shown

EXITS = {"pass": PASS, "fail": FAIL, "unknown": NOT_DECIDED}
SHEETS = (".html", ".md")


def jobsheet(
    unit: Unit,
    change: Change,
    *,
    out: Annotated[str, typer.Option("-o", "--out", metavar="FILE", help="The sheet: .html or .md.")],
    plain: Plainly = False,
) -> int:
    """The job on one page, to print or to read on a phone.

    The verdict, what to take along, the steps with pictures and cautions, and the readings to expect. Exit
    code as of `verify`; of a change that fails the sheet has no steps.
    """
    from wirecheck import api
    from wirecheck.report.job import marked, page, sheet

    ending = _ending(out, SHEETS, ".md")
    with shown():
        job = api.jobsheet(unit, change, plain)
    made = sheet.sheet(job)
    output.deliver(marked.text(made) if ending == ".md" else page.page(made), out)
    return EXITS[job.verified.verdict]


def card(
    unit: Unit,
    change: MaybeChange = None,
    *,
    out: Annotated[str, typer.Option("-o", "--out", metavar="FILE.html", help="The card.")],
    paper: Annotated[str, typer.Option("--paper", metavar="SIZE", help="letter, a4 or a5.")] = "letter",
) -> int:
    """The card for the panel door: the ladder as it is now, what was added, the set points.

    Prints on a letter or A4 sheet, or on an A5 sheet and its back, with room for a date and a signature. A
    change that fails gets no card.
    """
    from wirecheck import api
    from wirecheck.report.job import card as cards

    _ending(out, (".html",), ".html")
    if paper.lower() not in cards.PAPERS:
        raise typer.BadParameter(f"{paper!r} is none of {', '.join(cards.PAPERS)}", param_hint="--paper")
    made = api.card(unit, change)
    if made.verdict == "fail":
        output.complain("no card: the change fails; `wirecheck verify` tells why.")
        return FAIL
    output.deliver(cards.page(made, paper.lower()), out)
    return EXITS[made.verdict or "pass"]


def _ending(out: str, endings: tuple[str, ...], standard: str) -> str:
    """How the file's name ends; of standard output the standard one. Raises typer.BadParameter."""
    from pathlib import Path

    found = standard if out == output.STDOUT else Path(out).suffix.lower()
    if found not in endings:
        raise typer.BadParameter(f"{out!r} must end in {' or '.join(endings)}", param_hint="-o")
    return found
