"""What a change says of a name that the unit defines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.problem import Problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.design.models import ChangeFile, UnitFile


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
