"""What stands in a connection diagram: devices, supplies, splices, each with its terminals and slots.

What has many ends is drawn in several parts, or no sheet would hold it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.elements import ByPosition, Capacitor, Contact, Link, Resistor, Transformer

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from wirecheck.circuit.elements import Device
    from wirecheck.circuit.graph import Circuit
    from wirecheck.draw.connections.ends import Slot, Union, View

MOST_ENDS = 24  # of one part; a sheet takes 30 conductors
MOST_FREE = 40  # terminals without a conductor that one part lists

Kind = Literal["device", "supply", "splice", "loose"]


class Field(Struct, frozen=True):
    """A terminal with its slots, from the top; none where no conductor ever comes to it."""

    node: str
    slots: tuple[Slot, ...] = ()


class Part(Struct, frozen=True):
    """A body of the drawing. there: on which views it is; marks: its mark and plate on each view."""

    key: str
    kind: Kind
    number: int
    of: int
    fields: tuple[Field, ...]
    in_panel: bool
    in_order: bool  # a strip: terminals stand as they are numbered
    there: tuple[bool, ...]
    marks: tuple[tuple[str, str], ...]

    @property
    def name(self) -> tuple[str, int]:
        return self.key, self.number

    @property
    def slots(self) -> tuple[Slot, ...]:
        return tuple(slot for field in self.fields for slot in field.slots)

    @property
    def marked(self) -> bool:
        return any(plate for _, plate in self.marks)


def parts_of(union: Union) -> tuple[Part, ...]:
    """Every part: supplies, devices, splices and loose ends, each kind in the order of the files."""
    at: dict[str, list[Slot]] = {}
    for slot in dict.fromkeys(s for route in union.routes for s in (route.a, route.b)):
        at.setdefault(slot.node, []).append(slot)
    found: list[Part] = []
    for key, (kind, nodes) in _owners(union.views, at).items():
        in_order = kind == "device" and all(_is_strip(v.circuit, key) for v in union.views)
        fields = tuple(Field(node, tuple(at.get(node, ()))) for node in nodes)
        there = tuple(_there(view, key, kind) for view in union.views)
        marks = tuple(view.marks.devices.get(key, ("", "")) for view in union.views)
        panel = kind != "supply" and any(_in_panel(v.circuit, key) for v in union.views)
        found.extend(_pieces(Part(key, kind, 1, 1, fields, panel, in_order, there, marks)))
    return tuple(found)


def _owners(views: tuple[View, ...], at: Mapping[str, list[Slot]]) -> dict[str, tuple[Kind, tuple[str, ...]]]:
    """Each owner of terminals, with all that it has on any view."""
    held: dict[str, tuple[Kind, dict[str, None]]] = {}
    circuits = [view.circuit for view in views]
    for circuit in circuits:
        for pole in circuit.poles.values():
            if circuit.device_of(pole.terminal) is not None:  # an earth bar holds itself at earth
                continue
            held.setdefault(pole.supply, ("supply", {}))[1][pole.terminal] = None
    for circuit in circuits:
        for device in circuit.devices.values():
            held.setdefault(device.tag, ("device", {}))[1].update(dict.fromkeys(device.terminals))
    owned = {node for _, nodes in held.values() for node in nodes}
    for node in at:
        if node not in owned:
            loose = any(node in circuit.loose for circuit in circuits)
            held[f"{node} " if node in held else node] = ("loose" if loose else "splice", {node: None})
    return {key: (kind, tuple(nodes)) for key, (kind, nodes) in held.items()}


def _there(view: View, key: str, kind: Kind) -> bool:
    if kind == "device":
        return key in view.circuit.devices
    if kind == "supply":
        return any(
            p.supply == key and p.terminal in view.circuit.terminals for p in view.circuit.poles.values()
        )
    return any(slot.node == key.rstrip(" ") for slot in view.landings)


def _in_panel(circuit: Circuit, key: str) -> bool:
    """Relays, transformers, capacitors, fuses, strips and bars; what hangs on them is outside."""
    device = circuit.devices.get(key)
    return device is not None and _is_of_the_panel(circuit, device)


def _is_strip(circuit: Circuit, key: str) -> bool:
    device = circuit.devices.get(key)
    return device is None or not device.elements


def _is_of_the_panel(circuit: Circuit, device: Device) -> bool:
    elements = [circuit.elements[i] for i in device.elements]
    relay = any(r.device == device.tag for r in circuit.relays.values())
    switch = any(isinstance(e, Contact) and isinstance(e.mover, ByPosition) for e in elements)
    stores = any(isinstance(e, Capacitor | Transformer) for e in elements)
    bar = bool(elements) and all(isinstance(e, Link) for e in elements)
    bleeder = any(isinstance(e, Resistor) and e.volts is None for e in elements)
    return relay or stores or bar or bleeder or device.fuse or device.earth or not (elements or switch)


def _pieces(part: Part) -> Iterable[Part]:
    """The part, or as many as its ends and free terminals need."""
    chunks: list[list[Field]] = [[]]
    ends = free = 0
    for field in part.fields:
        slots = field.slots
        while True:
            room = MOST_ENDS - ends
            full = (slots and not room) or (not slots and free == MOST_FREE)
            if full:
                chunks.append([])
                ends = free = 0
                continue
            chunks[-1].append(replace(field, slots=slots[:room]))
            ends, free = ends + len(slots[:room]), free + (not slots)
            slots = slots[room:]
            if not slots:
                break
    for number, fields in enumerate(chunks, 1):
        yield replace(part, number=number, of=len(chunks), fields=tuple(fields))
