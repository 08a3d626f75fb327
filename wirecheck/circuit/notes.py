"""What the build took for granted, in words: every verdict lists it among what it assumes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.circuit.elements import Motor
from wirecheck.circuit.select import listed
from wirecheck.design.typecheck import unsaid_movers

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from wirecheck.circuit.graph import Circuit
    from wirecheck.design.models import DeviceType
    from wirecheck.design.resolved import ResolvedDevice


def notes_of(circuit: Circuit, devices: Iterable[ResolvedDevice]) -> tuple[str, ...]:
    """What was taken for granted of a circuit and its devices."""
    types = {device.type_name: device.type for device in devices if not _senses(device)}
    by_hand = (note for name, kind in types.items() for note in _by_hand(name, kind))
    return (*by_hand, *_latched(circuit), *_estimated(circuit), *_capped(circuit))


def _senses(device: ResolvedDevice) -> bool:
    """Is it said what moves the device's contacts: a quantity?"""
    return any(position.senses is not None for position in device.positions.values())


def _by_hand(name: str, kind: DeviceType) -> Iterator[str]:
    """A type whose coil may have been meant to move its contacts, and does not."""
    contacts, coils = unsaid_movers(kind)
    if not contacts:
        return
    moved = listed([f"`{contact}`" for contact in contacts], "and")
    taken = "they are" if len(contacts) > 1 else "it is"
    named = "coils" if len(coils) > 1 else "coil"
    idle = listed([f"`{coil}`" for coil in coils], "or")
    hand = f"{taken} taken as moved by hand, not by the {named} {idle}"
    yield f"{name}: nothing says what moves {moved}; {hand}."


def _latched(circuit: Circuit) -> Iterator[str]:
    """A switch that a hand resets and that is not said to be a protection: which position it keeps."""
    for i in circuit.inputs.values():
        if i.hand_reset and i.tripped is None:
            keeps = f"taken to stay {i.words[True]}, once it is, until a hand resets it"
            yield f"{i.name} is reset by hand and has no `trips`: {keeps}."


def _estimated(circuit: Circuit) -> Iterator[str]:
    for motor in circuit.loads.values():
        if isinstance(motor, Motor) and motor.lra is not None and not motor.lra_given:
            yield f"{motor.name}.lra is not given: {motor.lra:g} A taken, from its running current."


def _capped(circuit: Circuit) -> Iterator[str]:
    ends = {w.a: w.id for w in circuit.conductors.values()} | {w.b: w.id for w in circuit.conductors.values()}
    for name in sorted(circuit.capped):
        yield f"{name} is a capped end: only {ends[name]} ends in it."
