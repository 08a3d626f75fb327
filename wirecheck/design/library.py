"""The library of units: kinds to start from, the changes people make to them, and how these are done wrong.

A kind is a folder: `KIND/unit.yaml`, `KIND/changes/NAME.yaml`, and `KIND/changes/NAME.wrong-1.yaml` and on,
whose first line says in a comment what was done wrong. A user's own folder has the same form.
"""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from wirecheck.design.reader import parse_all, read_text
from wirecheck.design.tree import Table
from wirecheck.problem import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.problem import Problem

UNIT, CHANGES, WRONG = "unit.yaml", "changes", ".wrong-"
COMMENT = "# Wrong: "

From = TypeVar("From")
Read = TypeVar("Read")


class UnitKind(Struct, frozen=True):
    """A kind of unit. name: of its folder; path: of the unit file; title, about: as the file has them."""

    name: str
    path: Path
    title: str
    about: str
    ours: bool


class WrongWay(Struct, frozen=True):
    """A change made wrong. done: what was done, from the file's first line."""

    path: Path
    done: str


class Modification(Struct, frozen=True):
    """A change people make to a kind of unit. title, reason: as the file has them."""

    name: str
    path: Path
    title: str
    reason: str
    wrong: tuple[WrongWay, ...]


def our_folder() -> Path:
    """The folder of the kinds that come with wirecheck."""
    return Path(str(files("wirecheck") / "library" / "units"))


def kinds(own: Path | None = None) -> tuple[UnitKind, ...]:
    """Our kinds and those of a folder of the user's, by name; of one name, the user's. Raises BadInput."""
    found = {folder.name: (folder, True) for folder in _folders(our_folder())}
    found |= {folder.name: (folder, False) for folder in _folders(own)} if own else {}
    return _each(_kind, (found[name] for name in sorted(found)))


def kind(name: str, own: Path | None = None) -> UnitKind:
    """One kind. Raises KeyError where there is none, BadInput."""
    for base, ours in ((own, False), (our_folder(), True)):
        found = {folder.name: folder for folder in _folders(base)} if base else {}
        if name in found:
            return _kind((found[name], ours))
    raise KeyError(name)


def names(own: Path | None = None) -> tuple[str, ...]:
    """The names of all kinds, sorted; no file is read."""
    return tuple(sorted({f.name for base in (own, our_folder()) if base for f in _folders(base)}))


def modifications(unit: UnitKind) -> tuple[Modification, ...]:
    """The changes of a kind, by name. Raises BadInput."""
    paths = sorted((unit.path.parent / CHANGES).glob("*.yaml"))
    return _each(_modification, (path for path in paths if WRONG not in path.name))


def _folders(base: Path) -> list[Path]:
    try:
        return [path.parent for path in sorted(base.glob(f"*/{UNIT}"))]
    except OSError:  # a folder that may not be looked into has nothing for us
        return []


def _each(read: Callable[[From], Read], sources: Iterable[From]) -> tuple[Read, ...]:
    """Everything read; or every problem of every file at once."""
    found: list[Read] = []
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    for source in sources:
        try:
            found.append(read(source))
        except BadInput as bad:
            problems += bad.problems
            texts |= bad.texts
    if problems:
        raise BadInput(problems, texts)
    return tuple(found)


def _kind(source: tuple[Path, bool]) -> UnitKind:
    folder, ours = source
    head = _head(folder / UNIT, "unit")
    return UnitKind(folder.name, folder / UNIT, head.get("name", ""), head.get("about", ""), ours)


def _modification(path: Path) -> Modification:
    head = _head(path, "change")
    wrong = sorted(path.parent.glob(f"{path.stem}{WRONG}*.yaml"))
    ways = tuple(WrongWay(w, _first_comment(w)) for w in wrong)
    return Modification(path.stem, path, head.get("name", ""), head.get("reason", ""), ways)


def _head(path: Path, key: str) -> dict[str, str]:
    """The texts under a file's first key; the file is read, not checked."""
    text = read_text(path)
    tree, problems = parse_all(text, str(path))
    if problems:
        raise BadInput(problems, {str(path): text})
    head = tree.get(key)
    return {k: v for k, v in head.items() if isinstance(v, str)} if isinstance(head, Table) else {}


def _first_comment(path: Path) -> str:
    first = read_text(path).split("\n", 1)[0]
    return first.removeprefix(COMMENT).lstrip("# ") if first.startswith("#") else ""
