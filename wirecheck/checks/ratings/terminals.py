"""Terminals: joined to no more than 1.5 times the volts that they are made for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.marks import Limit, Mark, Watch
from wirecheck.checks.ratings.moments import exactly
from wirecheck.circuit.elements import (
    Capacitor,
    Coil,
    Contact,
    Element,
    Estimate,
    Link,
    Motor,
    Resistor,
    Transformer,
    Winding,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.checks.ratings.moments import Moment
    from wirecheck.checks.ratings.volts import Standing
    from wirecheck.circuit.elements import Device
    from wirecheck.circuit.graph import Circuit

# Contract, section 6, `ratings`.
TIMES = 1.5
LOW_VOLTS = 30.0


def marks(pair: Pair, seen: list[Moment], standing: Standing) -> Iterator[Mark]:
    """What is to be said of the terminals of each device after the change; nothing of those that are right."""
    circuit = pair.changed.after
    most_now, most_was = greatest(seen, standing)
    for device in circuit.devices.values():
        if device.earth:
            continue
        for terminal in device.terminals:
            found = limit_of(circuit, device, terminal) or low_volt(pair, device, terminal, most_now, most_was)
            if found is not None:
                yield from of_terminal(pair, terminal, device, found, seen, standing)


def greatest(seen: list[Moment], standing: Standing) -> tuple[dict[str, float], dict[str, float]]:
    """Terminal -> the most volts to earth that it comes to, after and before."""
    now: dict[str, float] = {}
    was: dict[str, float] = {}
    looks = {m.now.key: (m.now, now) for m in seen} | {w.key: (w, was) for m in seen for w in m.was}
    for look, most in looks.values():
        for t in look.plain.circuit.terminals:
            most[t] = max(most.get(t, 0.0), standing.to_earth(look.view, t))
    return now, was


def limit_of(circuit: Circuit, device: Device, terminal: str) -> Limit | None:
    """The volts that the type states, else the highest rated volts of the device's elements.

    Where only contacts and links without volts lie at a terminal, a coil's volts say nothing of it: none.
    """
    if device.volts is not None:
        return Limit(TIMES * device.volts, "V", f"{device.type}.volts", f"{TIMES:g} times {device.volts:g} V")
    elements = [circuit.elements[e] for e in device.elements]
    here = [e for e in elements if terminal in ends(e)]
    if all(isinstance(e, Contact | Link) for e in here):
        elements = [e for e in elements if isinstance(e, Contact | Link)]
    rated = {v: e for e in elements for v in [rated_volts(circuit, e)] if v is not None}
    if not rated:
        return None
    most = max(rated)
    return Limit(TIMES * most, "V", field_of(rated[most]), f"{TIMES:g} times {most:g} V")


def ends(element: Element) -> tuple[str, ...]:
    if isinstance(element, Transformer):
        return tuple(t for a, b, _ in element.windings for t in (a, b))
    return element.a, element.b


def rated_volts(circuit: Circuit, element: Element) -> float | None:
    """Rated volts of an element; None where the file does not state them."""
    match element:
        case Contact(rating=rating):
            return rating.volts
        case Coil(volts=volts):
            return None if isinstance(volts, Estimate) else volts
        case Resistor(volts=volts) | Capacitor(volts=volts):
            return volts
        case Transformer(windings=windings):
            return max(abs(turns) for _, _, turns in windings)
        case Winding(device=tag):
            motor = circuit.loads.get(tag)
            return motor.volts if isinstance(motor, Motor) else None
        case Link():
            return None


def field_of(element: Element) -> str:
    return f"{element.device}.contact.volts" if isinstance(element, Contact) else f"{element.id}.volts"


def low_volt(
    pair: Pair, device: Device, terminal: str, now: dict[str, float], was: dict[str, float]
) -> Limit | None:
    """A device without rated volts on a circuit of 30 V or less counts as 30 V.

    One of the unit: by where it stood before. One that the change brings: by its other terminals.
    """
    group = together(pair.changed.after, device, terminal)
    known = was if device.tag not in pair.changed.brought else now
    volts = [known[t] for t in group if known.get(t, 0.0) > 0.0]
    low = min(volts, default=0.0) if known is now else max(volts, default=0.0)
    if not 0.0 < low <= LOW_VOLTS:
        return None
    return Limit(TIMES * LOW_VOLTS, "V", f"{device.tag}.volts", f"not given; {TIMES:g} times 30 V on a 30 V circuit")


def together(circuit: Circuit, device: Device, terminal: str) -> set[str]:
    """The terminals that the device's contacts and links lead to from this one."""
    found, queue = {terminal}, [terminal]
    for at in queue:
        for e in device.elements:
            pair = ends(circuit.elements[e])
            if at in pair and isinstance(circuit.elements[e], Contact | Link):
                queue.extend(t for t in pair if t not in found)
                found |= set(pair)
    return found


def of_terminal(
    pair: Pair, terminal: str, device: Device, limit: Limit, seen: list[Moment], standing: Standing
) -> Iterator[Mark]:
    """The most volts that it is joined to. Within its limit there is nothing to say."""
    watch = Watch(terminal, "is joined to", limit, device.tag in pair.changed.brought)
    for m in seen:
        before = [standing.to_earth(w.view, terminal) for w in m.was if terminal in w.plain.nets.of]
        watch.see(m.case, exactly(standing.to_earth(m.now.view, terminal)), max(before, default=None))
    if watch.worst[0] > 0:
        yield from watch.mark()
