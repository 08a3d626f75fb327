"""`ratings`: contacts, conductors, transformers, capacitors, start devices and terminals hold their load.

What fails is physical. Limits of wiring codes are notes: inside listed equipment its own standard governs.
A figure that the file lacks is a note that names the field; a pass states its figures.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.finding import Finding
from wirecheck.checks.ratings import (
    capacitors,
    conductors,
    contacts,
    drops,
    insulation,
    starting,
    terminals,
    transformers,
)
from wirecheck.checks.ratings.marks import NAME, findings
from wirecheck.checks.ratings.scene import Scene

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.marks import Mark

PARTS = (contacts, conductors, insulation, drops, transformers, capacitors, starting, terminals)

__all__ = ["NAME", "check"]


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each thing that the change brings or puts more on; one for all where there is none."""
    found = list(findings(pair, marks(Scene(pair))))
    yield from found
    if not found:
        says = f"nothing is brought, and nothing carries more than before, in {pair.count} states"
        yield Finding(NAME, "unit", "pass", says)


def marks(scene: Scene) -> Iterator[Mark]:
    """What every part of the check has to say."""
    for part in PARTS:
        yield from part.marks(scene)
