"""Where to put a meter: the pairs of points that matter to a change, those nearest to the hands first."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Contact, Link, Motor, Transformer
from wirecheck.circuit.graph import Changed
from wirecheck.engine.judge import load_elements
from wirecheck.engine.levels import ends_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Device
    from wirecheck.circuit.graph import Circuit, PlainStep

MOST_PAIRS = 24


class Pair(Struct, frozen=True):
    """Two terminals. sides: those that have both."""

    a: str
    b: str
    sides: tuple[str, ...]


def pairs(drawn: Changed | Circuit) -> tuple[Pair, ...]:
    """Across what the change brings, from what hands touch to earth, the sources, across loads and coils."""
    if not isinstance(drawn, Changed):
        circuits = {"before": drawn}
        ends = list(_standing(drawn))
    else:
        circuits = {"after": drawn.after, "before": drawn.before}
        ends = [p for tag in drawn.after.devices if tag in drawn.brought for p in _across(drawn.after, tag)]
        ends += _touched(drawn)
        ends += [p for circuit in circuits.values() for p in _standing(circuit)]
    found: dict[frozenset[str], Pair] = {}
    for a, b in ends:
        sides = tuple(s for s, c in circuits.items() if {a, b} <= set(c.terminals))
        if a != b and sides and "(" not in a + b:  # an inner point of a device has no screw
            found.setdefault(frozenset((a, b)), Pair(a, b, sides))
    return tuple(found.values())[:MOST_PAIRS]


def _across(circuit: Circuit, tag: str) -> Iterator[tuple[str, str]]:
    """The elements of a device from end to end."""
    for element in (circuit.elements[i] for i in circuit.devices[tag].elements):
        if isinstance(element, Transformer):
            yield from ((a, b) for a, b, _ in element.windings)
        elif not isinstance(element, Link):
            yield element.a, element.b


def _touched(changed: Changed) -> list[tuple[str, str]]:
    """Each terminal that hands touch, to earth."""
    terminals = dict.fromkeys(t for step in changed.steps for t in _of_step(changed, step))
    earth = changed.after.earth | changed.before.earth
    loose = changed.after.loose | changed.before.loose
    return [(t, pe) for pe in _earth(changed.after) for t in terminals if t not in earth | loose]


def _of_step(changed: Changed, step: PlainStep) -> Iterator[str]:
    """What a step names; of a device that goes or takes another's place, every terminal with a conductor."""
    yield from step.terminals
    if step.kind in ("remove", "replace"):
        for circuit in (changed.before, changed.after):
            landed = {t for w in circuit.conductors.values() for t in (w.a, w.b)}
            tags = (tag for tag in step.devices if tag in circuit.devices)
            yield from (t for tag in tags for t in circuit.devices[tag].terminals if t in landed)


def _earth(circuit: Circuit) -> list[str]:
    """The first pole at earth."""
    return [p for p in circuit.poles if p in circuit.earth][:1]


def _standing(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """What any unit has: supplies behind what isolates, secondaries, loads, coils of relays."""
    for device in circuit.devices.values():
        if device.isolates:
            yield from _behind(circuit, device)
    for element in circuit.elements.values():
        if isinstance(element, Transformer):
            yield element.secondary
    for load in circuit.loads.values():
        if isinstance(load, Motor) and load.terminals:
            yield from pairwise(load.terminals)
        else:
            yield _ends(circuit, load_elements(load)[0], load.device)
    for relay in circuit.relays.values():
        yield circuit.coils[relay.coil].a, circuit.coils[relay.coil].b


def _ends(circuit: Circuit, element: str, device: str) -> tuple[str, str]:
    """The ends of an element; for an inner point the terminal behind the contact or link on it."""
    inside = [circuit.elements[i] for i in circuit.devices[device].elements]
    way = {e.a: e.b for e in inside if isinstance(e, Contact | Link)}
    way |= {e.b: e.a for e in inside if isinstance(e, Contact | Link) and e.b not in way}
    a, b = (way.get(t, t) if "(" in t else t for t in ends_of(circuit.elements[element]))
    return a, b


def _behind(circuit: Circuit, device: Device) -> Iterator[tuple[str, str]]:
    """Pole to pole on the side away from the supply; of one pole, to earth."""
    line = _line(circuit)
    contacts = [e for i in device.elements if isinstance(e := circuit.elements[i], Contact)]
    far = [c.a if c.b in line else c.b for c in contacts]
    yield from pairwise(far) if len(far) > 1 else ((f, pe) for f in far for pe in _earth(circuit))


def _line(circuit: Circuit) -> set[str]:
    """The terminals that only conductors part from a pole."""
    found, more = set(circuit.poles), True
    while more:
        new = {t for w in circuit.conductors.values() if {w.a, w.b} & found for t in (w.a, w.b)} - found
        found |= new
        more = bool(new)
    return found
