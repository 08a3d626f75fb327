"""What two parts of the files say of one name: conductors, tags and supplies, what a change adds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.design.models import ChangeFile
from wirecheck.problem import Place, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.design.models import UnitFile


def check_file(file: UnitFile | ChangeFile) -> Iterator[Problem]:
    """Names that stand for two things in one file."""
    yield from _tags(file)
    if not isinstance(file, ChangeFile):
        yield from _conductors(file)


def _tags(file: UnitFile | ChangeFile) -> Iterator[Problem]:
    for tag in file.devices:
        if tag in file.supplies:
            others = ((file.key_place("supplies", tag), "the supply"),)
            message = f"{tag} is the name of a device and of a supply."
            yield Problem("name-twice", message, file.key_place("devices", tag), others)


def _conductors(unit: UnitFile) -> Iterator[Problem]:
    """Ids of conductors and rungs, each once; a rung C1 has conductors C1.1, C1.2 and so on."""
    seen: dict[str, Place] = {}
    ids = [("wires", n, wire.id) for n, wire in enumerate(unit.wires)]
    ids += [("rungs", n, rung.id) for n, rung in enumerate(unit.rungs)]
    for section, number, name in ids:
        place = unit.place(section, number, "id")
        if name in seen:
            message = f"two conductors are called {name}."
            yield Problem("conductor-id-twice", message, place, ((seen[name], "the first"),))
        seen.setdefault(name, place)


def check_pair(unit: UnitFile, change: ChangeFile) -> Iterator[Problem]:
    """What a change adds must not stand otherwise in the unit."""
    for section in ("supplies", "conditions", "types"):
        old, new = getattr(unit, section), getattr(change, section)
        for name in new:
            if name in old and old[name].model_dump() != new[name].model_dump():
                others = ((unit.key_place(section, name), "in the unit"),)
                message = (
                    f"{name} stands otherwise in the unit; a change adds to `{section}`, it alters none."
                )
                yield Problem("defined-otherwise", message, change.key_place(section, name), others)
