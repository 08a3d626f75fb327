"""What a contact or a conductor carries: running and locked-rotor amps, and the volt-amps of coils.

Motors count by their nameplate, not by the standstill currents of the engine: `fla` or `rla` running, `lra`
starting. A lead that carries the auxiliary alone counts by the current through it at standstill; running it
is more, since the voltage of a turning auxiliary is above the line's (common practice, no source).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.checks.ratings.burden import fed_winding
from wirecheck.checks.ratings.moments import NOTHING, Span, exactly
from wirecheck.checks.ratings.rated import (
    inrush_of,
    loads_by_element,
    locked_amps,
    missing_of,
    motor_volts,
    motors,
    running_amps,
    spread,
)
from wirecheck.checks.ratings.ways import Item, Items, Ways
from wirecheck.circuit.elements import Capacitor, Coil, Estimate, Motor, Resistor
from wirecheck.engine import figures
from wirecheck.engine.answers import OFF
from wirecheck.engine.estimates import value

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from wirecheck.checks.ratings.moments import Look
    from wirecheck.checks.ratings.rated import Scenario
    from wirecheck.engine.solver import Solver, View

# Running current of a PSC motor's auxiliary over its standstill current. Common practice, no source.
AUX_RUNNING = 1.5


class Carried(Struct, frozen=True):
    """What flows through one contact or conductor in one network.

    running, making: A; making is with locked rotors and coils at inrush; rest_making: without the coils.
    sealed, inrush: VA of coils. motors: running A of motors; other: A of what is neither motor nor coil.
    volts: across what it feeds. missing: fields of the loads.
    """

    loads: tuple[str, ...] = ()
    running: Span = NOTHING
    making: Span = NOTHING
    rest_making: Span = NOTHING
    motors: Span = NOTHING
    sealed: Span = NOTHING
    inrush: Span = NOTHING
    other: Span = NOTHING
    volts: float = 0.0
    missing: tuple[str, ...] = ()

    @property
    def amps(self) -> bool:
        """Does it carry anything?"""
        return self.running.high > figures.SLACK or self.making.high > figures.SLACK

    @property
    def of(self) -> str:
        """Whose current, in words."""
        return f" of {', '.join(self.loads)}" if self.loads else ""


NONE = Carried()


class Survey:
    """What every contact and conductor of one unit carries, network by network."""

    def __init__(self, plain: Solver) -> None:
        self.plain, self.circuit = plain, plain.circuit
        self.ways = Ways(plain.circuit)
        self.load_of = loads_by_element(plain.circuit)
        self.motor_of = {w: m for m in motors(plain.circuit) for w in (*m.main, m.aux) if w}
        self._kept: dict[int, dict[str, Carried]] = {}
        self._items: dict[int, dict[str, Items]] = {}

    def items(self, look: Look) -> dict[str, Items]:
        """Edge id -> what it feeds."""
        if look.key not in self._items:
            self._items[look.key] = self.ways.through(look)
        return self._items[look.key]

    def carried(self, look: Look) -> dict[str, Carried]:
        """Edge id -> what it carries."""
        if look.key not in self._kept:
            owner, every = self.owners(look.view), self.items(look)
            base = look.plain.scenario
            sums = {i: self._sum(i, look.view, owner, base) for i in dict.fromkeys(every.values())}
            self._kept[look.key] = {i: sums[items] for i, items in every.items()}
        return self._kept[look.key]

    def at(self, look: Look, edge: str, scenario: Scenario) -> Carried:
        """What an edge carries where estimates stand so; the same elements as at the look's own ends."""
        if scenario == look.plain.scenario:
            return self.carried(look).get(edge, NONE)
        view, items = look.view, self.items(look).get(edge, ())
        return self._sum(moved(items, view, scenario), view, self.owners(view), scenario) if items else NONE

    def note(self, look: Look, edge: str, figure: str, of: Callable[[Carried], float], limit: float) -> None:
        """Note the estimates that put a figure of what an edge carries over a limit, or under.

        figure: its name; of: what it is.
        """
        items = self.items(look).get(edge, ())
        parts = moving(look.view, (i.element for i in items))
        if parts:
            known = (figure, tuple(i.element for i in items), tuple(parts), limit)
            key = (*known, round(of(self.carried(look)[edge]), 6))
            look.plain.firm(key, parts, (), lambda s: of(self.at(look, edge, s)) > limit)

    def owners(self, view: View) -> dict[str, Motor]:
        """Winding, and capacitor or start device at a winding's end, -> the motor that it serves."""
        found = dict(self.motor_of)
        for m in motors(self.circuit):
            outer = {n for w in (m.aux, *m.main) if w for n in outer_nodes(view, m, w)}
            for i, z in self.plain.impedances.items():
                ends = set(view.network.ends.get(i, ()))
                serves = isinstance(z, Capacitor) or getattr(z, "starts", False)
                if serves and ends & (outer - set(view.network.fixed)):
                    found.setdefault(i, m)
        return found

    def _sum(self, items: Items, view: View, owner: dict[str, Motor], scenario: Scenario) -> Carried:
        by_motor: dict[str, tuple[Motor, list[Item]]] = {}
        total, solved = NONE, list[Item]()
        for item in items:
            motor, z = owner.get(item.element), self.plain.impedances.get(item.element)
            if motor is not None:
                by_motor.setdefault(motor.name, (motor, []))[1].append(item)
            elif isinstance(z, Coil) and not z.stateless:
                total = joined(total, of_coil(z, abs(item.amps), view, scenario))
            elif isinstance(z, Resistor) and isinstance(z.ohms, Estimate):
                total = joined(total, of_estimated(z, z.ohms, view, scenario))
            else:
                solved.append(item)
                total = joined(total, self.of_other(item.element, view, scenario))
        if solved:
            alone = exactly(abs(sum(i.amps for i in solved)))
            total = joined(total, Carried(running=alone, making=alone, rest_making=alone, other=alone))
        for motor, parts in by_motor.values():
            total = joined(total, self.of_motor(motor, parts, view, scenario))
        return total

    def of_other(self, element: str, view: View, scenario: Scenario) -> Carried:
        """A heater, a lamp, a transformer by name and volts; what is no load adds its current only."""
        core = view.plain.transformers.get(element)
        if core is not None:
            fed = fed_winding(view, core)
            return Carried((core.device,), volts=abs(fed[2]) if fed is not None else 0.0)
        if element in self.load_of:
            return Carried((self.load_of[element],), volts=abs(view.across(element, scenario)))
        return Carried()

    def of_motor(self, m: Motor, parts: list[Item], view: View, scenario: Scenario) -> Carried:
        """A motor by its nameplate where a main winding is fed, else by what flows in its auxiliary."""
        if view.plain.load_word(m, view) == OFF:
            return NONE
        volts = motor_volts(m, view, scenario)
        if not {i.element for i in parts} & set(m.main):
            made = abs(sum(i.amps for i in parts))
            turning = 0.0 if view.starting(m, scenario) else AUX_RUNNING * made
            shown = exactly(min(turning, running_amps(m) or turning))
            return Carried((m.name,), shown, exactly(made), exactly(made), shown, volts=volts)
        run, lock = running_amps(m), locked_amps(m)
        return Carried(
            loads=(m.name,),
            running=NOTHING if run is None else exactly(run),
            making=lock or NOTHING,
            rest_making=lock or NOTHING,
            motors=NOTHING if run is None else exactly(run),
            volts=volts,
            missing=missing_of(m),
        )


def moving(view: View, elements: Iterable[str]) -> list[int]:
    """The parts that these elements lie in, by their numbers, of those in which some estimate moves volts."""
    places = {view.network.part_of.get(e) for e in elements} - {None}
    return sorted({n for k in places if k is not None and view.plain.estimates_in(n := view.parts[k])})


def moved(items: Items, view: View, scenario: Scenario) -> Items:
    """The same elements with the currents that flow where estimates stand so."""
    return tuple(
        Item(i.element, i.amps / now * view.amps(i.element, scenario))
        if (now := view.amps(i.element, view.plain.scenario))
        else i
        for i in items
    )


def outer_nodes(view: View, m: Motor, winding: str) -> set[int]:
    """The nodes of a winding that no other winding of the motor has an end on."""
    others = {n for w in (*m.main, m.aux) if w and w != winding for n in ends_of(view.plain, w)}
    return {view.network.node[n] for n in set(ends_of(view.plain, winding)) - others}


def ends_of(plain: Solver, element: str) -> tuple[int, int]:
    """The nets of an impedance's two ends."""
    z = plain.impedances[element]
    return plain.nets.of[z.a], plain.nets.of[z.b]


def of_coil(z: Coil, amps: float, view: View, scenario: Scenario) -> Carried:
    """A coil at its volts by its VA; one that has less by the current through it."""
    volts = abs(view.across(z.id, scenario))
    rated = value(z.volts, scenario)
    full = volts >= figures.ON_LOW * rated - figures.SLACK
    sealed = spread(z.va) if full else exactly(volts * amps)
    inrush = inrush_of(z) if full else sealed
    return Carried(
        loads=(loads_by_element(view.plain.circuit).get(z.id, z.device),),
        running=sealed.times(1 / rated) if full else exactly(amps),
        making=inrush.times(1 / rated) if full else exactly(amps),
        sealed=sealed,
        inrush=inrush,
        volts=volts,
    )


def of_estimated(z: Resistor, ohms: Estimate, view: View, scenario: Scenario) -> Carried:
    """A heater or lamp whose watts are not given."""
    volts = abs(view.across(z.id, scenario))
    amps = Span(volts / ohms.high, volts / ohms.nominal, volts / ohms.low)
    return Carried((z.device,), amps, amps, amps, other=amps, volts=volts, missing=(ohms.field,))


def joined(one: Carried, other: Carried) -> Carried:
    """Both together."""
    if one is NONE or other is NONE:
        return other if one is NONE else one
    return Carried(
        loads=tuple(dict.fromkeys((*one.loads, *other.loads))),
        running=one.running.plus(other.running),
        making=one.making.plus(other.making),
        rest_making=one.rest_making.plus(other.rest_making),
        motors=one.motors.plus(other.motors),
        sealed=one.sealed.plus(other.sealed),
        inrush=one.inrush.plus(other.inrush),
        other=one.other.plus(other.other),
        volts=max(one.volts, other.volts),
        missing=tuple(dict.fromkeys((*one.missing, *other.missing))),
    )
