"""The plain steps as hands do them: which end, its looks, what it could be taken for, before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from wirecheck.circuit.midway import circuit_at
from wirecheck.questions.lookalikes import Choice, look_alikes

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed, Circuit, PlainStep


class Hand(Struct, frozen=True):
    """One plain step. wires: the conductors that it handles, as they stand after it.

    stage: the unit before and after this step alone. taken: of a lift, the right conductor and what it could
    be confused with.
    """

    step: PlainStep
    wires: tuple[Conductor, ...]
    stage: Changed
    taken: Choice | None = None


def hands(changed: Changed) -> tuple[Hand, ...]:
    """Every plain step, in order."""
    circuits = [circuit_at(changed, n) for n in range(len(changed.steps) + 1)]
    return tuple(hand(changed, step, circuits[k], circuits[k + 1]) for k, step in enumerate(changed.steps))


def hand(changed: Changed, step: PlainStep, was: Circuit, now: Circuit) -> Hand:
    """One step between two circuits."""
    brought = (
        frozenset(t for t in now.devices if t not in was.devices)
        if step.kind in ("add", "replace")
        else frozenset()
    )
    removed = frozenset(t for t in was.devices if t not in now.devices)
    stage = replace(
        changed, before=was, after=now, steps=(step,), brought=brought, removed=removed, stages=()
    )
    wires = tuple(
        now.conductors.get(w) or was.conductors[w]
        for w in step.wires
        if w in now.conductors or w in was.conductors
    )
    return Hand(step, wires, stage, _taken(was, step) if step.kind == "lift" else None)


def _taken(was: Circuit, step: PlainStep) -> Choice:
    wire, at = was.conductors[step.wires[0]], step.terminals[0]
    far = wire.b if wire.a == at else wire.a
    device = was.device_of(far)
    own = frozenset(device.terminals) if device is not None else frozenset({far})
    return Choice(wire, at, far, tuple(look_alikes(was, wire, at, own)))
