"""When two circuits are electrically one: the same terminals joined, the same elements between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.nets import ends, nets

if TYPE_CHECKING:
    from collections.abc import Hashable

    from wirecheck.circuit.graph import Circuit


def signature(circuit: Circuit) -> Hashable:
    """Equal for circuits of one file in which the same terminals are joined and every element is the same.

    Which conductor joins them counts at earth alone, where it decides whether the protective earth carries
    any current; elsewhere it counts for the figures of conductors only.
    """
    joined = nets(circuit.conductors.values(), circuit.elements.values())
    held = [*circuit.poles, *(t for d in circuit.devices.values() for t in d.terminals)]
    first: dict[str, int] = {}
    place = tuple(first.setdefault(joined.root(t), k) for k, t in enumerate(held))
    elements = tuple(circuit.elements.values())
    inputs = tuple((i.name, i.words, i.set_points) for i in circuit.inputs.values())
    earth = {joined.root(t) for t in circuit.earth}
    at_earth = frozenset(
        frozenset((w.a, w.b)) for w in circuit.conductors.values() if joined.root(w.a) in earth
    )
    return place, elements, inputs, tuple(circuit.loads.values()), circuit.expects, at_earth


def senses(circuit: Circuit) -> list[str]:
    """Wired terminals of devices that no element ends on: what the device feels there is not in the file."""
    touched = {n for e in circuit.elements.values() for n in ends(e)}
    wired = {n for w in circuit.conductors.values() for n in (w.a, w.b)}
    return [
        t
        for d in circuit.devices.values()
        if d.elements
        for t in d.terminals
        if t in wired and t not in touched
    ]
