"""Terminals: joined to no more than 1.5 times the volts that they are made for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.ratings.marks import Limit, Mark, Watch
from wirecheck.checks.ratings.moments import exactly
from wirecheck.checks.ratings.noted import note_to_earth
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

    from wirecheck.checks.ratings.moments import Look
    from wirecheck.checks.ratings.scene import Scene
    from wirecheck.circuit.elements import Device
    from wirecheck.circuit.graph import Circuit

# Contract, section 6, `ratings`.
TIMES = 1.5
LOW_VOLTS = 30.0


def marks(scene: Scene) -> Iterator[Mark]:
    """What is to be said of terminals after the change; of those that are right nothing."""
    now, was = greatest(scene, scene.new), greatest(scene, scene.old)
    for device in scene.after.devices.values():
        if not device.earth:
            for terminal in device.terminals:
                limit = limit_of(scene.after, device, terminal) or low_volt(scene, device, terminal, now, was)
                if limit is None:
                    continue
                for look in scene.new:
                    note_to_earth(look.view, terminal, limit.amount)
                if now[terminal] > limit.amount:
                    yield from of_terminal(scene, terminal, device, limit, was.get(terminal))


def greatest(scene: Scene, looks: list[Look]) -> dict[str, float]:
    """Terminal -> the most volts to earth that it comes to."""
    most: dict[str, float] = {}
    for look in looks:
        for t in look.plain.circuit.terminals:
            most[t] = max(most.get(t, 0.0), scene.standing.to_earth(look.view, t))
    return most


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
    """The terminals of an element."""
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
    """Where its volts are stated."""
    return f"{element.device}.contact.volts" if isinstance(element, Contact) else f"{element.id}.volts"


def low_volt(
    scene: Scene, device: Device, terminal: str, now: dict[str, float], was: dict[str, float]
) -> Limit | None:
    """A device without rated volts on a circuit of 30 V or less counts as 30 V.

    One of the unit: by where it stood before. One that the change brings: by its other terminals.
    """
    group = together(scene.after, device, terminal)
    own = scene.brought(device.tag)
    volts = [v for t in group for v in [(now if own else was).get(t, 0.0)] if v > 0.0]
    low = (min if own else max)(volts, default=0.0)
    if not 0.0 < low <= LOW_VOLTS:
        return None
    source = f"not given: {TIMES:g} times {LOW_VOLTS:g} V, as it is on a circuit of {LOW_VOLTS:g} V or less"
    return Limit(TIMES * LOW_VOLTS, "V", f"{device.tag}.volts", source)


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
    scene: Scene, terminal: str, device: Device, limit: Limit, was: float | None
) -> Iterator[Mark]:
    """The most volts that it is joined to."""
    watch = Watch(terminal, limit, scene.brought(device.tag), was)
    for m in scene.seen:
        volts = scene.standing.to_earth(m.now.view, terminal)
        watch.see(m.case, exactly(volts), "is joined to {}")
    yield from watch.mark()
