"""New conductors as they are cut and carried: length with slack, and what the file leaves to be measured.

Rules (project rules): route x 1.1 plus 0.5 ft at each end, up to the whole foot; metres up to the tenth. What
the file does not give stands as `measure`, with what the conductor goes on from as the least that it may be.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.quantity import FOOT

if TYPE_CHECKING:
    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed

MEASURE = "measure"
ROUTE_SHARE, EACH_END_FT = 1.1, 0.5


class NewWire(Struct, frozen=True):
    """A conductor to cut. cut_to: with slack, or `measure`. looks: colour, gauge and insulation to take.

    measure: what has to be measured first.
    """

    wire: Conductor
    cut_to: str
    looks: str
    measure: tuple[str, ...]


def new_wires(changed: Changed) -> tuple[NewWire, ...]:
    """Every conductor that a step runs and that stands when all is done."""
    ran = [w for s in changed.steps if s.kind == "run" for w in s.wires]
    wires = (changed.after.conductors[w] for w in dict.fromkeys(ran) if w in changed.after.conductors)
    return tuple(new_wire(changed, w) for w in wires)


def new_wire(changed: Changed, wire: Conductor) -> NewWire:
    """One conductor as it is cut."""
    old = goes_on_from(changed, wire)
    color = wire.color or (
        f"{old.color}, as {old.id}" if old and old.color else "any colour but those of earth"
    )
    gauge = wire.gauge or f"gauge: {MEASURE}{_least(old.gauge if old else None, old)}"
    marked = insulation_of(wire)
    insulation = marked or f"not given: look{_least(insulation_of(old) if old else None, old)}"
    fields = (("length", wire.length), ("route", wire.route), ("gauge", wire.gauge))
    looks = f"{color}, {gauge}, insulation {insulation}"
    return NewWire(
        wire, with_slack(wire) or f"length: {MEASURE}", looks, tuple(n for n, v in fields if v is None)
    )


def _least(text: str | None, old: Conductor | None) -> str:
    return f", at least {text} as {old.id}" if text and old else ""


def with_slack(wire: Conductor) -> str:
    """The length to cut: the route's and what bends and ends take; "" where no length is given."""
    if wire.length is None or wire.length_m is None:
        return ""
    if not wire.length.rstrip().endswith("m"):  # feet, inches, or a bare number, which is feet
        feet = wire.length_m / FOOT * ROUTE_SHARE + 2 * EACH_END_FT
        return f"{math.ceil(round(feet, 6))} ft"
    metres = wire.length_m * ROUTE_SHARE + 2 * EACH_END_FT * FOOT
    return f"{math.ceil(round(metres * 10, 6)) / 10:g} m"


def insulation_of(wire: Conductor) -> str:
    """Its volts and heat class, as given."""
    volts = f"{wire.insulation_volts:g} V" if wire.insulation_volts is not None else ""
    heat = f"{wire.insulation_degc:g} degC" if wire.insulation_degc is not None else ""
    return ", ".join(t for t in (volts, heat) if t)


def goes_on_from(changed: Changed, wire: Conductor) -> Conductor | None:
    """The conductor of the unit that a new one extends: in a new splice, or where that one was lifted."""
    ends = {wire.a, wire.b}
    for old in changed.before.conductors.values():
        now = changed.after.conductors.get(old.id)
        here = {now.a, now.b} if now is not None else set()
        off = {old.a, old.b} - here
        if ends & off or ends & here & (changed.after.splices - changed.before.splices):
            return old
    return None
