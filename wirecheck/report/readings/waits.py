"""What each contact waits for, by its definition in the file: what moves it, at which values."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import ByCoil, ByPosition

if TYPE_CHECKING:
    from collections.abc import Callable

    from wirecheck.circuit.elements import Contact, Input
    from wirecheck.circuit.graph import Circuit


def ends(a: str, b: str) -> str:
    """Two terminals of one device: L1 to T1; in full where they are of two."""
    one, other = a.rpartition("."), b.rpartition(".")
    inner = [t for t in (one[2], other[2]) if t.startswith("(")]
    if inner:
        outer = [t for t in (one[2], other[2]) if t not in inner]
        return f"at {outer[0]}" if outer else "inside"
    return f"{one[2]} to {other[2]}" if one[0] == other[0] else f"{a} to {b}"


def contact_words(circuit: Circuit, contact: Contact) -> str:
    """A contact as one points at it: K1 (L1 to T1), TH.cool (R to Y), COMP's inner overload."""
    mover = contact.mover
    if isinstance(mover, ByCoil):
        name = next((r.name for r in circuit.relays.values() if r.coil == mover.coil), contact.device)
        return f"{name} ({ends(contact.a, contact.b)})"
    if circuit.inputs[mover.input].opened_only_by_name:
        return f"{contact.device}'s inner overload"
    return f"{mover.input} ({ends(contact.a, contact.b)})"


def waits(circuit: Circuit, contact: Contact, line_of: Callable[[str], int | None]) -> str:
    """What has to happen for a contact to move. line_of: the line of the picture that a coil is on."""
    match contact.mover:
        case ByCoil(coil, late):
            name = next((r.name for r in circuit.relays.values() if r.coil == coil), coil)
            line = line_of(coil)
            where = f" (line {line})" if line is not None else ""
            return _by_coil(contact.rests_closed, late, name, where)
        case ByPosition(name):
            return _by_position(circuit, contact, circuit.inputs[name])


def _by_coil(closed: bool, late: str | None, name: str, where: str) -> str:
    moves, back = ("opens", "closes") if closed else ("closes", "opens")
    if late == "on":
        return f"{moves} when {name} is in{where} and its delay has run out; {back} at once when it drops out"
    if late == "off":
        return f"{moves} when {name} pulls in{where}; {back} when {name} is out and its delay has run out"
    return f"{moves} when {name} pulls in{where}"


def _by_position(circuit: Circuit, contact: Contact, switch: Input) -> str:
    device = circuit.devices[contact.device]
    if switch.opened_only_by_name:
        return "closed unless the motor is too hot inside"
    if device.fuse:
        return "a fuse, open once it has blown"
    if device.isolates:
        return "opened by hand, to make dead"
    if switch.by_motor:
        return f"{'opened' if contact.rests_closed else 'closed'} by the motor or its heat, not by a hand"
    return _switch(contact, switch)


def _switch(contact: Contact, switch: Input) -> str:
    """A switch: its set points where it has any, else what closes it; protections say so."""
    points = switch.set_points
    if points is not None and "open" in switch.words:
        words = f"{points.text} of {points.quantity}"
    elif points is not None:
        way = "opens" if contact.rests_closed else "closes"
        words = f"{way} when {switch.name} has moved ({points.text} of {points.quantity})"
    elif switch.words[1] == "closed":
        words = f"open until {switch.name} closes"
    elif switch.words[1] == "open":
        words = f"closed until {switch.name} opens"
    else:
        words = f"{'opens' if contact.rests_closed else 'closes'} when {switch.name} moves from rest"
    more = "; a protection" if switch.tripped is not None else ""
    return words + more + ("; a hand must reset it" if switch.hand_reset else "")
