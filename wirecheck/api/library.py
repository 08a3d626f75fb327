"""The library of units. All raise BadInput."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from wirecheck.design.library import Modification, UnitKind

OPTION = "--library"


def unit_kinds(library: str | None = None) -> tuple[UnitKind, ...]:
    """Every kind of unit, ours and those of the user's own folder."""
    from wirecheck.design.library import kinds

    return kinds(_own(library))


def unit_kind(name: str, library: str | None = None) -> tuple[UnitKind, tuple[Modification, ...]]:
    """One kind of unit and the changes people make to it."""
    from wirecheck.design.library import kind, modifications, names

    own = _own(library)
    if name in names(own):
        found = kind(name, own)
        return found, modifications(found)
    message = f"no kind of unit is called {name}.{meant(name, names(own))}"
    place = Place("KIND", 1, 1, len(name))
    raise BadInput([Problem("unknown-kind", message, place, (), "`wirecheck library` lists them.")])


def _own(library: str | None) -> Path | None:
    """The user's folder, with a kind in it at least."""
    from wirecheck.design.library import UNIT

    if library is None:
        return None
    place = Place(OPTION, 1, 1, len(library))
    expected = f"a folder that holds KIND/{UNIT} was expected."
    try:
        own = Path(library)
        found = any(own.glob(f"*/{UNIT}")) if own.is_dir() else None
    except (OSError, ValueError):  # not to be looked into; a NUL in the name
        found = None
    if found:
        return own
    what = "there is no such folder" if found is None else "no kind of unit is in this folder"
    raise BadInput([Problem("not-a-library", f"{what}; {expected}", place)], {OPTION: library})
