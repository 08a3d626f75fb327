"""What of a unit is other than in another unit of the same kind: devices, looks, what is told of both."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.graph import PlainStep

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor, SetPoints
    from wirecheck.circuit.graph import Circuit
    from wirecheck.circuit.wiring import Wiring
    from wirecheck.design.models import UnitFile

Read = tuple["UnitFile", "Wiring", "Circuit"]

LOOKS = (
    "color", "gauge", "awg", "insulation_volts", "insulation_degc", "route", "label", "length_m",
)  # fmt: skip
CALLED = {
    "insulation_volts": "insulation, V:",
    "insulation_degc": "insulation, degC:",
    "length_m": "length, m:",
}


def looks(wire: Conductor) -> tuple[object, ...]:
    """What can be seen of a conductor, whatever its ends."""
    return tuple(getattr(wire, name) for name in LOOKS)


def other_devices(before: Circuit, after: Circuit) -> tuple[str, ...]:
    """Tags of both units that are not the same device: another type, other figures, other set points."""
    return tuple(t for t in after.devices if t in before.devices and _meant(before, t) != _meant(after, t))


def _meant(circuit: Circuit, tag: str) -> tuple[object, ...]:
    """What a device is, whatever its wiring and what is said for print."""
    device = replace(circuit.devices[tag], about="", symbol=None, stacks={}, place=None)
    inputs = [circuit.inputs[n] for n in device.inputs]
    plain = tuple(
        replace(i, listed=True, given=None, normal=False, set_points=_rounded(i.set_points)) for i in inputs
    )
    parts = (circuit.loads, circuit.relays)
    named = tuple(thing for things in parts for thing in things.values() if thing.device == tag)
    return (device, tuple(circuit.elements[e] for e in device.elements), plain, named)


def _rounded(points: SetPoints | None) -> SetPoints | None:
    """Set points whatever unit of measure they were written in: it leaves its trace in the last digit."""
    if points is None:
        return None
    low, high = (float(f"{value:.12g}") for value in (points.low, points.high))
    return replace(points, low=low, high=high, text="")


def told_otherwise(old: Read, new: Read) -> Iterator[PlainStep]:
    """Differences that no hand makes: the supply, the refrigerant, how conductors are described."""
    was, now = old[0], new[0]
    for name in {**was.supplies, **now.supplies}:
        a, b = was.supplies.get(name), now.supplies.get(name)
        if a is None or b is None:
            yield _told(f"Supply {name} {'is new' if a is None else 'is gone'}")
        elif a.model_dump() != b.model_dump():
            yield _told(f"Supply {name} is {b.kind} {b.volts:g} V, was {a.kind} {a.volts:g} V")
    heads = ((n, getattr(was.unit, n), getattr(now.unit, n)) for n in ("name", "refrigerant", "design"))
    for name, told, tells in heads:
        if told != tells:
            yield _told(f"{name} of the unit: {tells or 'not given'}, was {told or 'not given'}")
    yield from _described(old[2], new[2])


def _described(before: Circuit, after: Circuit) -> Iterator[PlainStep]:
    for wire in after.conductors.values():
        was = before.conductors.get(wire.id)
        if was is None:
            continue
        seen = ((CALLED.get(n, n), getattr(was, n), getattr(wire, n)) for n in LOOKS if n != "awg")
        words = [f"{n} {b or 'not given'}, was {a or 'not given'}" for n, a, b in seen if a != b]
        if words:
            yield PlainStep(0, "describe", f"{wire.id}: {'; '.join(words)}", (wire.id,), place=wire.place)
    for name, i in after.inputs.items():
        old = before.inputs.get(name)
        if old is not None and old.words == i.words and old.normal != i.normal:
            yield _told(f"{name} is {i.word(i.normal)} in ordinary operation, was {i.word(old.normal)}")
    for tag, device in after.devices.items():
        if tag in before.devices and before.devices[tag].stacks != device.stacks:
            yield _told(f"{tag}: other numbers of conductors fit its terminals")


def _told(words: str) -> PlainStep:
    return PlainStep(0, "describe", words)
