"""Which changes of a folder go with which units, by what the files say they are and where they stand."""

from __future__ import annotations

import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.design.reader import parse_all, read_text
from wirecheck.problem import BadInput, Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

ENDINGS = (".yaml", ".yml")
HEAD = re.compile(r"""^\{?\s*["']?(unit|change)["']?\s*:""", re.MULTILINE)


class Job(Struct, frozen=True):
    """A unit with a change; without one, the unit as it stands."""

    unit: Path
    change: Path | None = None

    @property
    def name(self) -> tuple[str, str]:
        """The files as text; "" for no change."""
        return str(self.unit), "" if self.change is None else str(self.change)


class Found(Struct, frozen=True):
    """The unit files and the change files of a folder, in order."""

    units: tuple[Path, ...]
    changes: tuple[Path, ...]


def found_in(folder: Path, without: Path | None = None) -> Found:
    """Every unit and change below a folder. Hidden folders, and the one `without`, are left out."""
    kinds: dict[str, list[Path]] = {"unit": [], "change": []}
    aside = None if without is None else without.resolve()
    for path in sorted(p for p in folder.rglob("*") if p.suffix.lower() in ENDINGS and p.is_file()):
        hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
        if hidden or (aside is not None and aside in path.resolve().parents):
            continue
        kinds.get(kind_of(path), []).append(path)
    return Found(tuple(kinds["unit"]), tuple(kinds["change"]))


def kind_of(path: Path) -> str:
    """`unit`, `change`, or "" for another kind of file. Of one that cannot be read, what it seems to be."""
    try:
        text = read_text(path)
    except BadInput:
        return ""
    try:
        tree, _ = parse_all(text, str(path))
    except BadInput:
        seems = HEAD.search(text)
        return "" if seems is None else seems[1]
    return next((kind for kind in ("change", "unit") if kind in tree), "")


def nearest(change: Path, units: Iterable[Path], folder: Path) -> tuple[Path, ...]:
    """The units that a change may be meant for: those of its own folder, else of the next one above."""
    of: dict[Path, list[Path]] = {}
    for unit in units:
        of.setdefault(unit.parent, []).append(unit)
    for at in (change.parent, *change.parent.parents):
        if at in of:
            return tuple(of[at])
        if at == folder:
            break
    return ()


def listed(path: str) -> tuple[Job, ...]:
    """The jobs of a list: a line each, UNIT and CHANGE, names from where the list stands. Raises BadInput."""
    text = read_text(path)
    problems: list[Problem] = []
    jobs = [job for k, line in enumerate(text.splitlines(), 1) for job in _job(line, path, k, problems)]
    if not jobs and not problems:
        problems.append(Problem("pairs-form", "the list names no pair.", Place(path)))
    if problems:
        raise BadInput(problems, {path: text})
    return tuple(dict.fromkeys(jobs))


def _job(line: str, path: str, number: int, problems: list[Problem]) -> Iterator[Job]:
    place = Place(path, number, 1, max(1, len(line)))
    try:
        names = shlex.split(line, comments=True)
    except ValueError:
        problems.append(Problem("pairs-form", "a quotation mark is not closed.", place))
        return
    if len(names) > 2:
        message = f"{len(names)} names stand here; UNIT and CHANGE are expected, in quotes if with blanks."
        problems.append(Problem("pairs-form", message, place))
    elif names:
        unit, *change = (Path(path).parent / name for name in names)
        yield Job(unit, change[0] if change else None)
