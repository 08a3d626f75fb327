"""Pressure switches against the outdoor temperatures that a unit is designed for: always notes.

At rest the pressure is the saturation pressure at the ambient temperature; while the unit runs, head
pressure stands above that (derived). Which side of the unit a switch senses is told by the protections of
the same quantity, never by its name: one that trips above is on the high side, one that trips below on
the low.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.checks.saturation import refrigerant
from wirecheck.quantity import show

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.switches import Switch


def notes_of(s: Switch) -> Iterator[str]:
    """What the stated ambients mean for this switch, in words."""
    known = refrigerant(s.circuit.refrigerant) if s.circuit.refrigerant else None
    if s.kind != "pressure" or known is None:
        return
    for name, kelvin in s.circuit.design.items():
        rest = known.pressure(kelvin)
        says = "" if rest is None else means(s, name == "lowest_ambient", rest)
        if rest is not None and says:
            where = f"at rest at {show(kelvin, s.degrees)} (unit.design.{name}) the pressure is"
            yield f"{where} {show(rest, s.unit, 3)}: {says}"


def means(s: Switch, lowest: bool, rest: float) -> str:
    """What a pressure at rest, at the lowest or the highest ambient, does to this switch."""
    if s.trips == "above":
        return "" if lowest or rest < s.points.high else f"{s.input.name} trips with the unit standing still"
    if s.trips == "below":
        return low_cutout(s, rest) if lowest else ""
    if {p.trips for p in s.protections()} != {"above"}:
        return ""
    return in_the_cold(s, rest) if lowest else in_the_heat(s, rest)


def low_cutout(s: Switch, rest: float) -> str:
    """A protection that trips below, at the lowest ambient."""
    if rest <= s.points.low:
        return f"{s.input.name} trips with the unit standing still, and it cannot start"
    if rest <= s.points.high:
        return f"once tripped, {s.input.name} does not come back by itself"
    return ""


def in_the_cold(s: Switch, rest: float) -> str:
    """A control of head pressure at the lowest ambient."""
    if rest >= s.points.low:
        return f"running it is higher, so {s.input.name} never moves back: what it starts, it never stops"
    return f"{s.input.name} can move back there: what it starts may cycle in such weather"


def in_the_heat(s: Switch, rest: float) -> str:
    """A control of head pressure at the highest ambient."""
    if rest >= s.points.high:
        return f"{s.input.name} has moved before the unit starts"
    return f"{s.input.name} moves once the unit runs and its head pressure has risen"
