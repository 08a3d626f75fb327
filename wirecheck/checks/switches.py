"""Switches with set points, in words and with saturation temperatures; what their contacts start and stop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.checks.saturation import refrigerant
from wirecheck.circuit.elements import ByPosition
from wirecheck.engine.answers import IN, OFF, ON, OUT, WORKING
from wirecheck.quantity import unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.checks.pair import Pair
    from wirecheck.circuit.elements import Input, SetPoints
    from wirecheck.circuit.graph import Circuit

AS_LOAD = {IN: ON, OUT: OFF}


class Switch(Struct, frozen=True):
    """A switch with set points, in the unit after."""

    pair: Pair
    input: Input
    points: SetPoints

    @property
    def circuit(self) -> Circuit:
        return self.pair.changed.after

    @property
    def unit(self) -> str:
        """The unit that its quantity is shown in."""
        return self.circuit.quantities[self.points.quantity].unit

    @property
    def kind(self) -> str:
        """pressure, temperature, length …"""
        return unit(self.unit).kind

    @property
    def degrees(self) -> str:
        """degF beside psi and inches, degC beside bar and pascal."""
        return "degF" if self.unit in ("psig", "psia", "inHg", "inWC") else "degC"

    @property
    def trips(self) -> Literal["above", "below"] | None:
        """The side on which a protection is tripped."""
        if self.input.tripped is None:
            return None
        return "above" if self.input.tripped == self.points.above_moved else "below"

    @property
    def own(self) -> bool:
        """Does the change bring it, or set it otherwise?"""
        return is_own(self.pair, self.input)

    @property
    def words(self) -> str:
        """`closes above 375 psig (111.7 degF saturated), opens below 275 psig (89.9 degF saturated)`."""
        high, _, low = self.points.text.partition(", ")
        return f"{high}{self.saturated(self.points.high)}, {low}{self.saturated(self.points.low)}"

    def saturated(self, si: float) -> str:
        """A pressure's saturation temperature, in brackets; "" where there is none."""
        known = refrigerant(self.circuit.refrigerant) if self.circuit.refrigerant else None
        if known is None or self.kind != "pressure":
            return ""
        found = known.words(si, self.degrees)
        return f" ({found} saturated)" if found else ""

    def protections(self) -> list[Switch]:
        """The protections of the same quantity that are wired."""
        return [
            Switch(self.pair, p, p.set_points)
            for p in self.circuit.inputs.values()
            if p.listed
            and p.tripped is not None
            and p.set_points is not None
            and p.set_points.quantity == self.points.quantity
        ]

    def starts_or_stops(self) -> bool:
        """Does its contact, put the other way in some reachable state, start or stop a load?"""
        return any({a, b} & WORKING and OFF in (a, b) for _, a, b in effects(self.pair, self.input.name))


def is_own(pair: Pair, i: Input) -> bool:
    """Does the change bring this switch, or set it otherwise?"""
    old = pair.changed.before.inputs.get(i.name)
    return i.device in pair.changed.brought or old is None or old.set_points != i.set_points


def acted_before(pair: Pair, name: str) -> bool:
    """Did this switch start or stop a load in the unit before?"""
    unit = pair.before
    contacts = contacts_of(unit.circuit, name)
    for case in pair.distinct() if contacts else ():
        inputs = pair.world.inputs(False, case.setting)
        for outcome, words in zip(case.joint.befores, case.befores, strict=True):
            for start in outcome.onward:
                shut = dict(zip(unit.circuit.contacts, unit.closed(inputs, *start), strict=True))
                turned = frozenset((c, not shut[c]) for c in contacts)
                for end in unit.settle(inputs, start, turned):
                    other = unit.words(inputs, end, turned).loads
                    if any({w, other[n]} & WORKING and OFF in (w, other[n]) for n, w in words.loads.items()):
                        return True
    return False


def contacts_of(circuit: Circuit, name: str) -> tuple[str, ...]:
    """The contacts that an input moves."""
    contacts = circuit.contacts.values()
    return tuple(c.id for c in contacts if isinstance(c.mover, ByPosition) and c.mover.input == name)


def effects(pair: Pair, name: str) -> Iterator[tuple[bool, str, str]]:
    """(does it stand moved?, a load's word so, its word with the switch put the other way), of each state.

    A relay that works something outside the file counts as a load.
    """
    circuit = pair.changed.after
    contacts = contacts_of(circuit, name)
    for case in pair.distinct():
        moved = pair.world.position(circuit, name, case.setting)
        for other in pair.put_other_way(case.joint, contacts):
            for load, word in case.after.loads.items():
                if other.loads[load] != word:
                    yield moved, word, other.loads[load]
            for relay in circuit.relays.values():
                here, there = case.after.relays[relay.name], other.relays[relay.name]
                if relay.external and here != there:
                    yield moved, AS_LOAD.get(here, here), AS_LOAD.get(there, there)
