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
from wirecheck.circuit.elements import Capacitor, Transformer, Winding

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.marks import Mark
    from wirecheck.circuit.graph import Circuit

PARTS = (contacts, conductors, insulation, drops, transformers, capacitors, starting, terminals)

__all__ = ["NAME", "check"]


# States beyond which the currents of each are not worked out: a minute or so.
MOST = 1 << 13


def check(pair: Pair) -> Iterator[Finding]:
    """One finding for each thing that the change brings or puts more on; one for all where there is none."""
    if pair.count > MOST:
        yield beyond(pair, f"the currents of {pair.count} states are not worked out one by one")
        return
    found = list(findings(pair, marks(Scene(pair))))
    yield from found
    if not found:
        says = f"nothing is brought, and nothing carries more than before, in {pair.count} states"
        yield Finding(NAME, "unit", "pass", says)


def beyond(pair: Pair, many: str) -> Finding:
    """What is said of more states than can be worked out one by one: unknown, but where nothing is rated."""
    free = ", ".join(v.name for v in pair.world.variables if v.held is None)
    if rated(pair.changed.after):
        return Finding(NAME, "unit", "unknown", f"{many}; hold some of {free} with `given`")
    says = f"{many}, and no contact, conductor, transformer or capacitor has a figure to be held against"
    return Finding(NAME, "unit", "note", says)


def rated(circuit: Circuit) -> bool:
    """Has anything a figure that currents or volts are held against?

    A terminal has where its parts are made for less than the circuit's highest volts allow for.
    """
    wires, elements = circuit.conductors.values(), circuit.elements.values()
    if any(w.gauge is not None or w.insulation_volts is not None for w in wires):
        return True
    if any(isinstance(e, Transformer | Capacitor | Winding) or getattr(e, "starts", False) for e in elements):
        return True
    if any(contacts.figures_of(c) for c in circuit.contacts.values()):
        return True
    highest = max((abs(p.phasor) for p in circuit.poles.values()), default=0.0)
    low = any(0 < abs(p.phasor) <= terminals.LOW_VOLTS for p in circuit.poles.values())
    if low and highest > terminals.TIMES * terminals.LOW_VOLTS:
        return True
    limits = (terminals.limit_of(circuit, d, t) for d in circuit.devices.values() for t in d.terminals)
    return any(limit is not None and highest > limit.amount for limit in limits)


def marks(scene: Scene) -> Iterator[Mark]:
    """What every part of the check has to say."""
    for part in PARTS:
        yield from part.marks(scene)
