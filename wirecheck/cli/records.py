"""Commands of the reviewer: a change put on record, and a record checked again."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from wirecheck.cli import FAIL, NOT_DECIDED, PASS, output
from wirecheck.cli.answers import EXITS
from wirecheck.cli.options import Change, Json, Plainly, Unit
from wirecheck.cli.progress import shown

RECHECKED = {"same": PASS, "differs": FAIL, "not decided": NOT_DECIDED}
RECORD, PAGE = ".json", ".html"


def record(
    unit: Unit,
    change: Change,
    *,
    out: Annotated[
        str,
        typer.Option(
            "-o", "--out", metavar="FILE", help="FILE.json; FILE.html beside it is the page to print."
        ),
    ],
    made_by: Annotated[str, typer.Option(metavar="NAME", help="Who made the change.")] = "",
    reviewed_by: Annotated[str, typer.Option(metavar="NAME", help="Who reviewed it.")] = "",
    date: Annotated[str, typer.Option(metavar="YYYY-MM-DD", help="Date of the record; today.")] = "",
    sign: Annotated[
        str | None,
        typer.Option(metavar="KEY", help="Private Ed25519 key: signs FILE.json, as FILE.json.sig."),
    ] = None,
    plain: Plainly = False,
) -> int:
    """Put a change on record: what was checked, with which result, and what was not.

    Exit code as `verify`: 0 pass, 1 fail, 3 not decided, 2 bad input. The record is written in each.
    """
    from wirecheck import api
    from wirecheck.report.record.make import People

    people = People(_date(date), made_by, reviewed_by)
    target = _target(out, sign)
    with shown():
        text, page, answer = api.record(unit, change, people, target.parent, plain)
    if out == output.STDOUT:
        output.deliver(text, out)
        return EXITS[answer.verdict]
    signature = None if sign is None else api.sign(text.encode(), sign, _passphrase)
    output.write(target, text)
    output.write(target.with_suffix(PAGE), page)
    if signature is not None:
        output.write(Path(f"{target}.sig"), signature)
    signed = f", signature {target}.sig" if signature is not None else ""
    output.say(f"{answer.verdict}: record {target}, page to print {target.with_suffix(PAGE)}{signed}")
    return EXITS[answer.verdict]


def _date(text: str) -> datetime.date:
    if not text:
        return datetime.datetime.now().astimezone().date()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is no date of the form YYYY-MM-DD", param_hint="--date") from None


def _target(out: str, sign: str | None) -> Path:
    """The record's file; either ending names both it and the page."""
    if out == output.STDOUT:
        if sign is not None:
            raise typer.BadParameter("what is signed must be a file: give -o FILE.json", param_hint="--sign")
        return Path(out)
    if Path(out).suffix.lower() not in (RECORD, PAGE):
        raise typer.BadParameter(f"{out!r} must end in {RECORD} or {PAGE}", param_hint="-o")
    return Path(out).with_suffix(RECORD)


def _passphrase() -> str:
    return str(typer.prompt("Passphrase of the key", hide_input=True, err=True))


def recheck(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The record: a .json that `record` wrote.")],
    unit: Annotated[str | None, typer.Option(metavar="FILE", help="Where the unit file is now.")] = None,
    change: Annotated[str | None, typer.Option(metavar="FILE", help="Where the change file is now.")] = None,
    exact: Annotated[
        bool, typer.Option("--bytes", help="Both files must be the same byte for byte, comments included.")
    ] = False,
    signature: Annotated[
        str | None, typer.Option(metavar="FILE", help="The detached signature; else FILE.sig.")
    ] = None,
    signer: Annotated[str | None, typer.Option(metavar="KEY", help="The signer's public key.")] = None,
    json: Json = None,
    plain: Plainly = False,
) -> int:
    """Is a record as it was written, of these files, and does today's version come to the same?

    Exit code 0 the same, 1 something differs, 2 bad input, 3 no longer decided.
    """
    from wirecheck import api
    from wirecheck.report.record import telling

    if signature is not None and signer is None:
        raise typer.BadParameter("give the signer's public key too: --signer KEY", param_hint="--signature")
    with shown():
        answer = api.recheck(file, unit, change, signature, signer, exact, plain)
    if json is not None:
        from wirecheck.report import as_json

        output.deliver(as_json.text(telling.as_json(answer)), json)
    if json != output.STDOUT:
        output.show(telling.page(answer, output.width()))
    return RECHECKED[answer.outcome]
