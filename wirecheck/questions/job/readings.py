"""Readings to expect: ohms before power, volts at power-up, and both beside each acceptance step.

All are asked of `meter --ohms`, `meter` and the acceptance list of `mistakes`; nothing is reckoned here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Transformer
from wirecheck.circuit.midway import circuit_at
from wirecheck.engine.answers import TooMany
from wirecheck.questions.lookalikes import apart, isolated, points
from wirecheck.questions.meter import Impossible, meter
from wirecheck.questions.mistakes import meters, places
from wirecheck.questions.ohms import ohms

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.questions.meter import Reading
    from wirecheck.questions.mistakes.answer import Mistakes
    from wirecheck.questions.mistakes.ordering import Step
    from wirecheck.questions.ohms import Ohms

MOST = 12  # readings of one kind; a sheet is for a roof, not a report


class Expected(Struct, frozen=True):
    """A reading to take. found: what the meter shows; where: a switch's position that it is for, or ""."""

    a: str
    b: str
    found: Ohms | Reading
    about: str = ""
    where: str = ""


class AtStep(Struct, frozen=True):
    """An ohm reading that proves the right conductor is off: from its loose end, after a plain step."""

    step: int
    wire: str
    to: str
    found: Ohms


def at_lifts(changed: Changed) -> Iterator[AtStep]:
    """After each lift: from the loose end to the first point with something between, else its far end."""
    for step in changed.steps:
        if step.kind != "lift":
            continue
        circuit, wire, at = circuit_at(changed, step.number), step.wires[0], step.terminals[0]
        loose = next(e for e in _ends(circuit, wire) if e in circuit.loose)
        far = next(e for e in _ends(circuit, wire) if e != loose)
        for to in _points(circuit, at, far):
            found = _ohms(circuit, loose, to)
            if found is not None and found.reads == "value" and apart(found.ohms, 0.0):
                yield AtStep(step.number, wire, to, found)
                break
        else:
            found = _ohms(circuit, loose, far)
            if found is not None:
                yield AtStep(step.number, wire, far, found)


def _ends(circuit: Circuit, wire: str) -> tuple[str, str]:
    return circuit.conductors[wire].a, circuit.conductors[wire].b


def _points(circuit: Circuit, at: str, far: str) -> list[str]:
    """In the panel before on the device itself: where its other conductors land."""
    device = circuit.device_of(far)
    return points(circuit, at, frozenset(device.terminals)) if device is not None else []


def _ohms(circuit: Circuit, a: str, b: str, held: dict[str, bool] | None = None) -> Ohms | None:
    try:
        return ohms(circuit, a, b, {**isolated(circuit), **(held or {})})
    except (Impossible, TooMany):
        return None


def before_power(changed: Changed) -> Iterator[Expected]:
    """Ohms with every disconnect open: along new conductors, through new devices, loads, to earth."""
    after = changed.after
    for wire in places.wires_of(changed):
        yield from _one(after, wire.a, wire.b, f"along {wire.id}")
    for tag in after.devices:
        if tag in changed.brought:
            yield from _through(after, tag)
    earth = next((t for t in after.poles if t in after.earth), None)
    if earth is not None:
        for end in dict.fromkeys(e.node for e in places.touched(changed)):
            if end not in after.earth:
                yield from _one(after, end, earth, "to earth")


def _one(circuit: Circuit, a: str, b: str, about: str) -> Iterator[Expected]:
    found = _ohms(circuit, a, b)
    if found is not None:
        yield Expected(a, b, found, about)


def _through(circuit: Circuit, tag: str) -> Iterator[Expected]:
    """A device that the change brings: a switch in both its positions, where they read otherwise."""
    inputs = [i for n in circuit.devices[tag].inputs if not (i := circuit.inputs[n]).by_motor]
    for a, b in places.ways(circuit, tag):
        found = {}
        for switch in inputs:
            for moved in (False, True):
                reading = _ohms(circuit, a, b, {switch.name: moved})
                if reading is not None:
                    found[f"{switch.name} {switch.word(moved)}"] = reading
        if len({(r.reads, r.ohms) for r in found.values()}) > 1:
            for where, reading in found.items():
                yield Expected(a, b, reading, f"through {tag}", where)
        else:
            yield from _one(circuit, a, b, f"through {tag}")


def at_power_up(changed: Changed) -> tuple[list[Expected], Reading | None]:
    """Volts with power on, every switch as in ordinary operation; and how the unit then stands."""
    after = changed.after
    found = [e for a, b, about in _volt_points(changed) for e in _volts(after, a, b, about)]
    return found[:MOST], found[0].found if found and not _is_ohms(found[0]) else None  # type: ignore[return-value]


def _is_ohms(expected: Expected) -> bool:
    return not hasattr(expected.found, "volts")


def _volts(circuit: Circuit, a: str, b: str, about: str) -> Iterator[Expected]:
    try:
        yield Expected(a, b, meter(circuit, a, b), about)
    except (Impossible, TooMany):
        return


def _volt_points(changed: Changed) -> Iterator[tuple[str, str, str]]:
    """Behind each disconnect, each secondary, new devices, affected loads, ends touched to earth."""
    after = changed.after
    for device in after.devices.values():
        if device.isolates and not device.fuse and len(device.terminals) >= 4:
            yield device.terminals[1], device.terminals[3], f"supply behind {device.tag}"
    for part in after.elements.values():
        if isinstance(part, Transformer):
            yield (*part.secondary, f"secondary of {part.device}")
    for tag in tags(changed):
        for a, b in places.ways(after, tag):
            if {a, b} <= places.used(after):
                yield a, b, f"across {tag}"
    earth = next((t for t in after.poles if t in after.earth), None)
    for end in dict.fromkeys(e.node for e in places.touched(changed)):
        if earth is not None and end not in after.earth:
            yield end, earth, "to earth"


def tags(changed: Changed) -> list[str]:
    """The devices that the change brings, and those of the loads that it affects."""
    after = changed.after
    found = [t for t in after.devices if t in changed.brought]
    found += [after.loads[n].device for n in changed.terms.affects if n in after.loads]
    return list(dict.fromkeys(found))


def beside(answer: Mistakes, step: Step) -> Iterator[tuple[str, str, float]]:
    """Volts to see at the end of an acceptance step: across what is new, and across affected loads."""
    if step.observation.kind == "ohms":
        return
    scene, after = answer.scene, answer.changed.after
    for tag in tags(answer.changed):
        for a, b in places.ways(after, tag):
            if {a, b} <= places.used(after):
                volts = meters.expected_volts(scene, step.observation.probe, a, b)
                if volts is not None and (a, b) != step.observation.points:
                    yield a, b, volts
