"""When two circuits are electrically one: the same terminals joined, the same elements between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.nets import nets

if TYPE_CHECKING:
    from collections.abc import Hashable

    from wirecheck.circuit.graph import Circuit


def signature(circuit: Circuit) -> Hashable:
    """Equal for circuits of one file in which the same terminals are joined and every element is the same.

    Which conductor joins them is not in it: what carries the current is, for the figures of conductors only.
    """
    joined = nets(circuit.conductors.values(), circuit.elements.values())
    held = [*circuit.poles, *(t for d in circuit.devices.values() for t in d.terminals)]
    first: dict[str, int] = {}
    place = tuple(first.setdefault(joined.root(t), k) for k, t in enumerate(held))
    elements = tuple(circuit.elements.values())
    inputs = tuple((i.name, i.words, i.set_points) for i in circuit.inputs.values())
    return place, elements, inputs, tuple(circuit.loads.values()), circuit.expects
