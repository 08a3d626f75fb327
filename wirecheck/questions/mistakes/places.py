"""What hands touch while a change is made: conductor ends, in which step, and what lies near them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Contact, Link, Motor
from wirecheck.circuit.nets import ends as ends_of
from wirecheck.circuit.nets import nets

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor, Mover
    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.circuit.nets import Joined

SIDES = ("a", "b")


class End(Struct, frozen=True):
    """One end of a conductor of the unit after: where it belongs, the step that puts it there."""

    wire: str
    side: str
    node: str
    step: int

    @property
    def key(self) -> tuple[str, str]:
        return self.wire, self.side


class Lifted(Struct, frozen=True):
    """An end that the change takes off a terminal and puts elsewhere."""

    end: End
    at: str  # the terminal that it was taken off
    step: int


def touched(changed: Changed) -> tuple[End, ...]:
    """Every conductor end that the steps put somewhere, in the order of the conductors after."""
    named = {w for s in changed.steps for w in s.wires}
    wires = [w for w in changed.after.conductors.values() if w.id in named]
    sides = [(w, s) for w in wires for s in SIDES if _is_touched(changed, w, s)]
    return tuple(End(w.id, s, getattr(w, s), _step(changed, w, s)) for w, s in sides)


def _is_touched(changed: Changed, wire: Conductor, side: str) -> bool:
    """A new end, one that moved, or one on a device that came in another's place."""
    node = getattr(wire, side)
    old = changed.before.conductors.get(wire.id) or _whole(changed, wire)
    if old is None or getattr(old, side) != node:
        return True
    device = changed.after.device_of(node)
    return device is not None and device.tag in {r.new for r in changed.replaced}


def _whole(changed: Changed, half: Conductor) -> Conductor | None:
    """The conductor that this is a half of, where a step cut it."""
    cuts = (s.wires[0] for s in changed.steps if s.kind == "cut" and half.id in s.wires[1:])
    return next((w for c in cuts if (w := changed.before.conductors.get(c)) is not None), None)


def _step(changed: Changed, wire: Conductor, side: str) -> int:
    """The last step that names the conductor and this place; else the last that names the conductor."""
    node = getattr(wire, side)
    steps = [s for s in changed.steps if wire.id in s.wires]
    here = [s for s in steps if node in s.terminals or s.kind in ("replace", "cut")]
    return (here or steps)[-1].number


def lifted(changed: Changed) -> tuple[Lifted, ...]:
    """Every end that stood in the unit before and is put elsewhere, not by a device's replacement."""
    found = []
    for end in touched(changed):
        old = changed.before.conductors.get(end.wire)
        was = None if old is None else getattr(old, end.side)
        steps = [s for s in changed.steps if s.kind == "lift" and end.wire in s.wires and was in s.terminals]
        if was is not None and was != end.node and steps and was in changed.after.terminals:
            found.append(Lifted(end, was, steps[-1].number))
    return tuple(found)


def step_of_device(changed: Changed, tag: str) -> int:
    """The step that brings a device: fits it, puts it in another's place, or else the first that names it."""
    steps = [s for s in changed.steps if tag in s.devices]
    near = steps or [s for s in changed.steps if any(t.startswith(f"{tag}.") for t in s.terminals)]
    return near[0].number if near else 0


def wires_of(changed: Changed) -> tuple[Conductor, ...]:
    """The conductors of the unit after that the steps have to do with."""
    named = {w for s in changed.steps for w in s.wires}
    return tuple(w for w in changed.after.conductors.values() if w.id in named)


def beside(circuit: Circuit, node: str) -> Iterator[str]:
    """Every other terminal of the device, and those of strips and devices that share a strip with it."""
    device = circuit.device_of(node)
    if device is None:
        yield from (
            t for t in circuit.poles if _supply(t) == _supply(node) and t != node and node in circuit.poles
        )
        return
    yield from (t for t in device.terminals if t != node)
    bare = {d.tag for d in circuit.devices.values() if not d.elements}
    strips = [device.tag] if device.tag in bare else [t for t in _joined_to(circuit, device.tag) if t in bare]
    for strip in strips:
        yield from (t for t in circuit.devices[strip].terminals if strip != device.tag)
        for tag in _joined_to(circuit, strip):
            if tag != device.tag:
                yield from circuit.devices[tag].terminals


def _supply(pole: str) -> str:
    return pole.partition(".")[0]


def _joined_to(circuit: Circuit, tag: str) -> list[str]:
    """The devices at the far ends of a device's conductors."""
    found: dict[str, None] = {}
    for wire in circuit.conductors.values():
        one, other = circuit.device_of(wire.a), circuit.device_of(wire.b)
        if one is not None and other is not None and one.tag != other.tag and tag in (one.tag, other.tag):
            found[other.tag if one.tag == tag else one.tag] = None
    return list(found)


def across(circuit: Circuit, node: str) -> Iterator[str]:
    """The far side of every contact that ends on this node's net: the other side of a string."""
    joined = circuit_nets(circuit)
    here = joined.root(node)
    for c in circuit.contacts.values():
        for end, far in ((c.a, c.b), (c.b, c.a)):
            inner = far not in circuit.devices[c.device].terminals
            if joined.root(end) == here and joined.root(far) != here and not inner:
                yield far


def circuit_nets(circuit: Circuit) -> Joined:
    """Nodes joined by conductors and links."""
    return nets(circuit.conductors.values(), circuit.elements.values())


def used(circuit: Circuit) -> frozenset[str]:
    """The terminals that a conductor ends on."""
    return frozenset(n for w in circuit.conductors.values() for n in (w.a, w.b))


def ways(circuit: Circuit, tag: str) -> tuple[tuple[str, str], ...]:
    """The pairs of terminals that a device's elements lie between, links apart."""
    pairs: dict[tuple[str, str], None] = {}
    for i in circuit.devices[tag].elements:
        element = circuit.elements[i]
        nodes = ends_of(element)
        if not isinstance(element, Link):
            pairs |= dict.fromkeys(zip(nodes[::2], nodes[1::2], strict=True))
    return tuple(pairs)


def counterpart(circuit: Circuit, one: str, other: str) -> bool:
    """Are these the two contacts of a changeover: open and closed, of one mover, from one common?"""
    found: dict[str, set[tuple[str, Mover, bool]]] = {one: set(), other: set()}
    for c in circuit.contacts.values():
        for end, far in ((c.a, c.b), (c.b, c.a)):
            if end in found:
                found[end].add((far, c.mover, c.rests_closed))
    return any((far, mover, not rests) in found[other] for far, mover, rests in found[one])


def motor_of(circuit: Circuit, terminal: str) -> Motor | None:
    """The motor of several leads that a terminal is of."""
    device = circuit.device_of(terminal)
    loads = (m for m in circuit.loads.values() if isinstance(m, Motor) and m.kind != "1ph")
    return next((m for m in loads if device is not None and m.device == device.tag), None)


def same_contacts(circuit: Circuit, tag: str) -> tuple[Contact, ...]:
    """The contacts of a device, in its order."""
    found = (circuit.elements[i] for i in circuit.devices[tag].elements)
    return tuple(e for e in found if isinstance(e, Contact))
