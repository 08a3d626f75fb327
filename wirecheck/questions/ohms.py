"""`meter --ohms`: the DC resistance between two terminals; supplies away, coils out, contacts as said.

Capacitors are open. Where the way leads through a winding whose DC ohms the file does not give (a
transformer, a coil without `dc_ohms`, a motor by its amperes), the reading is unknown and names the field.
A coil's `ohms` is its impedance on AC, of which the copper is a small part: no ohmmeter shows it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Capacitor, Coil, Estimate, Resistor, Winding
from wirecheck.engine.plain.evaluator import Plain
from wirecheck.engine.resistance import joined_to, resistance
from wirecheck.engine.world import World
from wirecheck.questions.meter import at_normal, chosen, free_ended

if TYPE_CHECKING:
    from collections.abc import Mapping

    from wirecheck.circuit.elements import Impedance
    from wirecheck.circuit.graph import Circuit
    from wirecheck.engine.solver import View

Edge = tuple[int, int, float, str]  # node, node, ohms, the field that would give them ("" where known)
# Stand-ins for windings whose DC ohms no field of the file gives: the reading must not depend on them.
UNGIVEN_LOW, UNGIVEN_HIGH = 0.5, 2000.0
SAME_READING = 0.01


class Ohms(Struct, frozen=True):
    """reads: value, open or unknown. ohms: None where open or unknown."""

    reads: str
    ohms: float | None
    remark: str = ""
    fields: tuple[str, ...] = ()
    inputs: tuple[tuple[str, str], ...] = ()


def dc_ohms(z: Impedance) -> tuple[float | None, str]:
    """The DC ohms of an element, None where it is open; and the field that is missing, or ""."""
    match z:
        case Capacitor():
            return None, ""
        case Resistor(ohms=ohms):
            return (ohms.nominal, ohms.field) if isinstance(ohms, Estimate) else (ohms, "")
        case Winding(scale=scale):
            return z.ohms.real, scale.field if isinstance(scale, Estimate) else ""
        case Coil():
            # A potential relay's coil is thousands of ohms, nearly all of them copper (common practice).
            said = z.ohms if z.dc_ohms is None and z.stateless else z.dc_ohms
            return (said, "") if said is not None else (1.0, f"{z.id}.dc_ohms")


def edges(view: View) -> list[Edge]:
    """Every element that conducts direct current."""
    plain, node = view.plain, view.network.node
    found: list[Edge] = []
    for i, (a, b) in view.network.ends.items():
        ohms, field = dc_ohms(plain.impedances[i])
        if ohms is not None:
            found.append((a, b, ohms, field))
    for core in plain.transformers.values():
        ends = [(node[plain.nets.of[t]], node[plain.nets.of[u]]) for t, u, _ in core.windings]
        found += [(a, b, 1.0, f"{core.device} winding ohms") for a, b in ends]
    return found


def ohms(circuit: Circuit, a: str, b: str, held: Mapping[str, bool] | None = None) -> Ohms:
    """What an ohmmeter between terminals a and b reads. Raises Impossible, TooMany."""
    held = held or {}
    world = World(circuit, held={**at_normal(circuit, held), **held}, named=free_ended(circuit))
    setting = chosen(world, held)
    plain = Plain(circuit)
    inputs = tuple(world.words(setting, listed_only=False).items())
    return of_view(plain.look(world.inputs(True, setting), *plain.cold()), a, b, inputs)


def of_view(view: View, a: str, b: str, inputs: tuple[tuple[str, str], ...] = ()) -> Ohms:
    """The reading in one network, its supplies away."""
    start, end = (view.network.node[view.plain.nets.of[t]] for t in (a, b))
    if start == end:
        return Ohms("value", 0.0, "", (), inputs)
    return _read(edges(view), start, end, inputs)


def _read(found: list[Edge], start: int, end: int, inputs: tuple[tuple[str, str], ...]) -> Ohms:
    whole = resistance([(a, b, r) for a, b, r, _ in found], start, end)
    if whole is None:
        return Ohms("open", None, "", (), inputs)
    ends = [
        resistance([(a, b, ungiven if field else r) for a, b, r, field in found], start, end)
        for ungiven in (UNGIVEN_LOW, UNGIVEN_HIGH)
    ]
    low, high = (r for r in ends if r is not None)
    if abs(high - low) > SAME_READING * max(low, high):
        near = joined_to([(a, b, r) for a, b, r, _ in found], start)
        fields = tuple(dict.fromkeys(f for a, _, _, f in found if f and a in near))
        remark = "the way leads through a winding whose DC resistance is not given"
        return Ohms("unknown", None, remark, fields, inputs)
    remark = "every way in parallel counts: lift one end to read a single part"
    return Ohms("value", whole, remark, (), inputs)
