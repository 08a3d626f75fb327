"""Cautions where they apply, from what the change touches and what the engine finds live.

The sentences and their sources are those of the project's table of cautions; each names what it is about.
Sources: 29 CFR 1910.333(b)(2) (isolate, lock, tag, test; prove the tester), 40 CFR 82.154 and 82.161
(refrigerant), in reprints; NEC 460.6, 424.63, 430.32, 110.3(B), UL 60335-2-40, ASHRAE 15 from memory; the
rest is common practice or follows from the circuit.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from wirecheck.circuit.elements import Capacitor, Motor, Resistor, VoltLoad
from wirecheck.circuit.nets import nets
from wirecheck.engine.answers import OUT, TooMany
from wirecheck.problem import BadInput
from wirecheck.quantity import unit
from wirecheck.questions.lookalikes import isolated
from wirecheck.questions.meter import Impossible, meter

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.graph import Changed, Circuit
    from wirecheck.questions.standing import Standing

Moment = Literal["before", "step", "power", "end"]
MILDLY_FLAMMABLE = ("r32", "r454b", "r454a", "r454c", "r452b", "r455a", "r1234yf", "r1234ze")
FLAMMABLE = ("r290", "r600a", "r1270")
LOCK = "Isolate, lock, tag, test; a thermostat or control switch does not isolate."
PROVE = (
    "Prove the tester on a live source, the circuit dead to earth and between lines, then the tester again."
)
EMPTY = "Discharge through a resistor (20 kΩ, 5 W, insulated probes) and measure; there may be no bleeder."
LISTED = "A listed unit altered in the field: the listing may end; ask the inspector."


class Caution(Struct, frozen=True):
    """What to beware of, and when. step: the number of the plain step, 0 where it is of none alone."""

    moment: Moment
    says: str
    step: int = 0


def cautions(changed: Changed) -> tuple[Caution, ...]:
    """Those that apply, in the order in which they matter."""
    return (*_before(changed), *_at_steps(changed), *_with_power(changed), Caution("end", LISTED))


# --- before hands go in ----------------------------------------------------------------------------------


def _before(changed: Changed) -> Iterator[Caution]:
    circuit = changed.before
    levers = [t for t, d in circuit.devices.items() if d.isolates and not d.fuse]
    where = (
        f"Open {_listed(levers)}. " if levers else "The file has no disconnect: find what isolates the unit. "
    )
    yield Caution("before", where + LOCK)
    yield Caution("before", PROVE)
    live = _live_isolated(circuit)
    if levers and live:
        yield Caution("before", f"With {_listed(levers)} open these stay live: {live}.")
    supplies = dict.fromkeys(p.supply for p in circuit.poles.values() if p.supply and abs(p.phasor) > 0)
    if len(supplies) > 1:
        yield Caution(
            "before", f"Two sources or more ({_listed([*supplies])}): test for back-feed from every one."
        )
    yield from (Caution("before", text) for text in contactors(circuit))
    both = (*circuit.elements.values(), *changed.after.elements.values())
    caps = dict.fromkeys(e.device for e in both if isinstance(e, Capacitor))
    if caps:
        yield Caution("before", f"{_listed([*caps])} may hold a charge. {EMPTY}")


def _live_isolated(circuit: Circuit) -> str:
    """What the engine finds live on devices with every isolating device open, by terminals and volts."""
    stands = standing_with(circuit, isolated(circuit))
    if stands is None:
        return ""
    return _hot({t: v for t, v in stands.volts.items() if t not in circuit.poles})


def standing_with(circuit: Circuit, held: dict[str, bool]) -> Standing | None:
    """How the unit stands, inputs not held at normal; None where it cannot be asked."""
    earth = next(iter((*circuit.poles, *circuit.terminals)))
    try:
        found = meter(circuit, earth, earth, held)
    except (Impossible, TooMany, BadInput):
        return None
    return found.standing if found.reads not in ("short", "chatters") else None


# --- at the steps ------------------------------------------------------------------------------------------


def _at_steps(changed: Changed) -> Iterator[Caution]:
    said: set[str] = set()
    for step in changed.steps:
        for text in _of_step(changed, step.devices, step.kind):
            if text not in said:
                said.add(text)
                yield Caution("step", text, step.number)
        for text in _touched(changed, step.terminals):
            if text not in said:
                said.add(text)
                yield Caution("step", text, step.number)


def _of_step(changed: Changed, devices: tuple[str, ...], kind: str) -> Iterator[str]:
    """Of the devices that a step fits, replaces or takes out."""
    for tag in devices:
        circuit = changed.after if tag in changed.after.devices else changed.before
        if any(_senses_pressure(circuit, i) for i in circuit.devices[tag].inputs):
            yield (
                f"{tag}: refrigerant under pressure. Certified persons only; do not vent. A fitting with a "
                "core depressor, or recovery first; eye protection and gloves; check for leaks after."
            )
            yield from _flammable(circuit.refrigerant)
        if kind in ("replace", "remove") and _is_motor(circuit, tag):
            yield f"{tag}: note the rotation; keep its overload protection."


def _senses_pressure(circuit: Circuit, name: str) -> bool:
    points = circuit.inputs[name].set_points
    return points is not None and unit(circuit.quantities[points.quantity].unit).kind == "pressure"


def _is_motor(circuit: Circuit, tag: str) -> bool:
    return any(isinstance(m, Motor) and m.device == tag for m in circuit.loads.values())


def _flammable(name: str | None) -> Iterator[str]:
    """By the safety class of the refrigerant (ASHRAE 34, from memory)."""
    bare = (name or "").casefold().replace("-", "").replace(" ", "")
    kind = "A2L" if bare in MILDLY_FLAMMABLE else "A3" if bare in FLAMMABLE else ""
    if kind:
        yield f"{name} burns ({kind}): maker's parts only, no ignition source, keep ventilation open."


def _touched(changed: Changed, terminals: tuple[str, ...]) -> Iterator[str]:
    """Of the devices whose terminals a step touches."""
    for terminal in terminals:
        for circuit in (changed.before, changed.after):
            device = circuit.device_of(terminal) if terminal in circuit.terminals else None
            for name in device.inputs if device is not None else ():
                switch = circuit.inputs[name]
                points = switch.set_points
                if switch.tripped is not None and device is not None and device.tag not in changed.brought:
                    high = points is not None and points.above_moved == switch.tripped
                    yield f"{name} is a protection: do not bypass it" + (
                        " or raise it above its mark." if high else "."
                    )


# --- with power on -----------------------------------------------------------------------------------------


def _with_power(changed: Changed) -> Iterator[Caution]:
    circuit = changed.after
    old = set(contactors(changed.before))
    for text in contactors(circuit):
        if text not in old:
            yield Caution("power", text)
    moved = [_moved_by(circuit, load) for load in _near(changed)]
    for text in dict.fromkeys(t for t in moved if t):
        yield Caution("power", text)
    if any(i.set_points is not None and not i.hand_reset for i in circuit.inputs.values()) or circuit.delays:
        yield Caution("power", "It may start by itself when pressure, temperature, timer or power returns.")
    if any(_is_motor(circuit, load.device) for load in circuit.loads.values()):
        yield Caution("power", "A motor that hums: open the disconnect at once; its windings overheat.")
    heats = [n for n in _near(changed) if isinstance(circuit.loads[n], VoltLoad) and _is_heater(circuit, n)]
    if heats:
        yield Caution(
            "power", f"{_listed(heats)}: electric heat keeps its high limit and its airflow interlock."
        )


def contactors(circuit: Circuit) -> Iterator[str]:
    """Relays that are out with power on and no call, and whose load terminals are live all the same."""
    stands = standing_with(circuit, {})
    if stands is None:
        return
    joined = nets(circuit.conductors.values(), ())
    ends = [t for n in stands.off for t in circuit.devices[circuit.loads[n].device].terminals]
    hung = {joined.root(t) for t in ends if t in stands.volts}
    for relay in circuit.relays.values():
        own = [
            t for t in circuit.devices[relay.device].terminals if t in stands.volts and joined.root(t) in hung
        ]
        if stands.relays[relay.name] == OUT and own:
            hot = _hot({t: stands.volts[t] for t in own})
            live = f"{relay.name} out is not dead: {hot} to earth, and what hangs on it."
            yield f"{live} 0 V between two terminals does not mean dead."


def _near(changed: Changed) -> list[str]:
    """The loads that the change affects or brings."""
    after = changed.after
    named = [
        *changed.terms.affects,
        *(n for n, load in after.loads.items() if load.device in changed.brought),
    ]
    return [n for n in dict.fromkeys(named) if n in after.loads]


def _moved_by(circuit: Circuit, name: str) -> str:
    load = circuit.loads[name]
    if isinstance(load, Motor) and not load.compressor:
        return f"{name} turns and may start by itself: keep hands, tools and loose clothing away from it."
    return ""


def _is_heater(circuit: Circuit, name: str) -> bool:
    load = circuit.loads[name]
    part = circuit.elements[load.element] if isinstance(load, VoltLoad) else None
    return isinstance(part, Resistor) and (part.watts or 0.0) >= 500  # not a lamp or a crankcase heater


def _hot(volts: dict[str, float]) -> str:
    groups: dict[str, list[str]] = {}
    for terminal, value in volts.items():
        groups.setdefault(f"{value:.0f} V", []).append(terminal)
    return "; ".join(f"{_listed(names)} {value}" for value, names in groups.items())


def _listed(names: list[str]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}" if most else last
