"""What no position of a contact changes: elements with both ends on one net, told below the ladder."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from wirecheck.draw.look import Face


def bridged(face: Face) -> tuple[str, ...]:
    """A sentence for each element that conductors lead past, with the mark of each that has one."""
    found: dict[str, None] = {}
    for edge in face.wiring.bridged:
        tag = face.tag(face.circuit.elements[edge.element])
        wires = [_with_mark(face, w) for w in face.wiring.past(edge)]
        if wires:
            found[
                f"{tag} is bridged: past it {'lead' if len(wires) > 1 else 'leads'} {', '.join(wires)}."
            ] = None
    return tuple(found)


def _with_mark(face: Face, wire: str) -> str:
    mark = face.marks.wires.get(wire)
    return wire if mark is None else f"{wire} ({mark[1]})"
