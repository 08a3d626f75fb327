"""Which symbol an element gets: from its kind, what moves it, what its switch senses; never a type's name."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, assert_never

from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Contact,
    Link,
    Motor,
    Resistor,
    Transformer,
    Winding,
)
from wirecheck.quantity import QuantityError, unit

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Element, Input
    from wirecheck.circuit.graph import Circuit

# Kinds of physical quantity that have an actuator of their own to draw.
_SENSES = {"pressure": "pressure", "temperature": "temperature", "length": "level", "flow": "flow"}
_ACTUATORS = ("pressure", "temperature", "level", "flow", "door")
_BODIES = {"valve": "coil", "heater": "heater", "lamp": "lamp", "resistor": "resistor"}


def symbol(circuit: Circuit, element: Element) -> tuple[str, str]:
    """The name of the shape, and the letters inside it."""
    stated = circuit.devices[element.device].symbol
    match element:
        case Contact():
            return _contact(circuit, element, stated), ""
        case Coil() | Resistor() if stated in _BODIES:
            return _BODIES[stated], "SV" if stated == "valve" else ""
        case Coil():
            return "coil", _coil_letters(circuit, element)
        case Resistor():
            return "heater" if element.volts is not None else "resistor", ""
        case Capacitor():
            return "capacitor", ""
        case Winding():
            return ("motor", "M") if single_motor(circuit, element) is not None else ("winding", "")
        case Transformer():
            return "transformer", ""
        case Link():
            return "link", ""
        case _:
            assert_never(element)


def single_motor(circuit: Circuit, winding: Winding) -> Motor | None:
    """The motor that has this one winding."""
    motors = (m for m in circuit.loads.values() if isinstance(m, Motor))
    return next((m for m in motors if m.kind == "1ph" and m.main == (winding.id,)), None)


def _tag_letters(tag: str) -> str:
    """The letters that a tag begins with, as it stands in a circle; none where there are more than three."""
    found = re.match("[A-Za-z]{1,3}(?![A-Za-z])", tag)
    return found[0].upper() if found else ""


def _coil_letters(circuit: Circuit, coil: Coil) -> str:
    if any(load.element == coil.id for load in circuit.loads.values() if hasattr(load, "element")):
        return _tag_letters(coil.device)
    late = any(
        isinstance(c.mover, ByCoil) and c.mover.coil == coil.id and c.mover.late for c in _contacts(circuit)
    )
    return "TR" if late else "K"


def _contacts(circuit: Circuit) -> tuple[Contact, ...]:
    return tuple(circuit.contacts.values())


def _contact(circuit: Circuit, contact: Contact, stated: str | None) -> str:
    closed = "closed" if contact.rests_closed else "open"
    if isinstance(contact.mover, ByCoil):
        late = contact.mover.late
        return f"switch below {closed} late {late}" if late else f"contact {closed}"
    switch = circuit.inputs.get(contact.mover.input)
    if switch is not None and switch.opened_only_by_name:
        return "overload"
    if stated == "fuse":
        return "fuse"
    if stated == "breaker":
        return "breaker" if contact.rests_closed else "breaker open"
    if switch is None or _stands_by_a_coil(circuit, contact):
        return f"contact {closed}"
    side = "below" if closes_on_rise(contact, switch) else "above"
    return f"switch {side} {closed} {_actuator(circuit, switch, stated)}".strip()


def _stands_by_a_coil(circuit: Circuit, contact: Contact) -> bool:
    """A relay's contact that no coil of the model moves: the potential relay's."""
    device = circuit.devices[contact.device]
    return any(isinstance(circuit.elements[i], Coil) for i in device.elements)


def closes_on_rise(contact: Contact, switch: Input) -> bool:
    """Whether the contact is closed above its switch's set points; False without set points."""
    points = switch.set_points
    return points is not None and contact.rests_closed != points.above_moved


def _actuator(circuit: Circuit, switch: Input, stated: str | None) -> str:
    if switch.set_points is not None:
        quantity = circuit.quantities.get(switch.set_points.quantity)
        sensed = _SENSES.get(_kind(quantity.unit)) if quantity is not None else None
        if sensed is not None:
            return sensed
    return stated if stated in _ACTUATORS and stated is not None else ""


def _kind(spelled: str) -> str:
    try:
        return unit(spelled).kind
    except QuantityError:
        return ""


def position(element: Contact) -> str | None:
    """The input that moves a contact, if one does."""
    return element.mover.input if isinstance(element.mover, ByPosition) else None
