"""A change put on record, and a record checked again later. All raise BadInput."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from wirecheck.api.files import read_pair
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.design.models import ChangeFile, UnitFile
    from wirecheck.questions.verify import Verified
    from wirecheck.report.record.make import People, Seen
    from wirecheck.report.record.telling import Rechecked, Signed


def record(
    unit: str, change: str, people: People, beside: Path, plain: bool = False
) -> tuple[str, str, Verified]:
    """The record of a change as JSON and as a page, and the answer of `verify`. beside: its folder."""
    from wirecheck.report.record import make, page

    def way(path: str) -> str:
        return _way(path, beside)

    answer, text = _made(unit, change, people, way, plain)
    return text, page.html(make.record(text)), answer


def recheck(
    path: str,
    unit: str | None = None,
    change: str | None = None,
    signature: str | None = None,
    signer: str | None = None,
    exact: bool = False,
    plain: bool = False,
) -> Rechecked:
    """A record held against the files and against today's answer. unit, change: where the files are now."""
    from wirecheck.report.record import make, read
    from wirecheck.report.record.compare import differences
    from wirecheck.report.record.telling import Rechecked

    old = read.read(path)
    signed = _signed(path, signature, signer)
    was = old.record
    people = make.People(was.people.date, was.people.made_by, was.people.reviewed_by)
    unit_now, change_now = (
        given or _found(path, said.file, what)
        for given, said, what in ((unit, was.unit, "unit"), (change, was.change, "change"))
    )
    named = dict(zip((unit_now, change_now), (was.unit.file, was.change.file), strict=True))
    _, text = _made(unit_now, change_now, people, lambda p: named[p], plain)
    new = make.record(text)
    return Rechecked(old, new, differences(was, new), signed, exact)


def sign(data: bytes, key: str, ask: Callable[[], str]) -> bytes:
    """The detached signature of a record's bytes. ask: for the key's passphrase."""
    from wirecheck.report.record import signing

    return signing.sign(data, key, ask)


def _made(
    unit: str, change: str, people: People, way: Callable[[str], str], plain: bool
) -> tuple[Verified, str]:
    from wirecheck.checks.every import CHECKS
    from wirecheck.questions import meaning, verify
    from wirecheck.report.record import make

    unit_file, change_file, changed = read_pair(unit, change)
    seen = (
        _seen(unit_file, way(unit), changed.before.name, meaning.unit(changed.before, unit_file)),
        _seen(change_file, way(change), changed.name, meaning.change(changed, change_file)),
    )
    answer = verify.verify(changed, plain=plain)
    return answer, make.text(changed, answer, *seen, people, [name for name, _ in CHECKS])


def _seen(file: UnitFile | ChangeFile, way: str, name: str, means: object) -> Seen:
    """A file as it was read; its bytes are read again and must be those that were understood."""
    from wirecheck.report.record.make import Seen

    source = file.source
    data = Path(source.file).read_bytes()
    if data.decode("utf-8-sig", "replace") != source.text:
        message = "the file was changed while it was read; do it again."
        raise BadInput([Problem("cannot-read", message, Place(source.file))])
    return Seen(way, name, data, means)


def _way(path: str, beside: Path) -> str:
    """How to get from the folder of the record to a file, with slashes; its name alone from another drive."""
    try:
        return Path(os.path.relpath(path, beside)).as_posix()
    except ValueError:
        return Path(path).name


def _found(record: str, way: str, what: str) -> str:
    """Where a file of the record is now: on its way from the record, else beside it. Raises BadInput."""
    folder = Path(record).parent
    for path in (folder / way, folder / Path(way).name):
        if path.is_file():
            return str(path)
    message = f"the {what} file {way} of this record is not there; say where it is: --{what} FILE."
    raise BadInput([Problem("no-such-file", message, Place(record))])


def _signed(path: str, signature: str | None, signer: str | None) -> Signed:
    from wirecheck.report.record import signing

    beside = Path(path + signing.ENDING)
    if signer is None:
        return "not looked at" if signature is not None or beside.is_file() else "none"
    data = signing.file_bytes(signature or str(beside), "--signature", signing.KEY_BYTES)
    return "good" if signing.holds(Path(path).read_bytes(), data, signer) else "bad"
