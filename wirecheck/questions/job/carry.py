"""What to take along: computed from the steps, what the file does not give as `measure`.

Rules of what a step needs are the project's (its table of steps); sources stand beside each.
"""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from msgspec import Struct

from wirecheck.circuit.elements import Capacitor
from wirecheck.quantity import unit
from wirecheck.questions.job.parts import ratings
from wirecheck.questions.job.routes import freed, new_ones, openings
from wirecheck.questions.job.wires import MEASURE, new_wires

if TYPE_CHECKING:
    from collections.abc import Iterator

    from wirecheck.circuit.elements import Conductor
    from wirecheck.circuit.graph import Changed, Circuit

# Measurement categories and their steps of volts: IEC 61010-2-030, from memory. III: wiring of a building.
STEPS = (300, 600, 1000)
RANGE = "from memory: NEC 110.14(B)"
LANDING = (
    "female tab and crimp tool where the terminal is a tab; one conductor to a screw unless marked for more"
)
EARTHING = "an earthing conductor and screw for it, should its case be of metal (from memory: NEC 250.110)"


class Item(Struct, frozen=True):
    """One line of the list. what: to take; many: how much; about: for what; measure: what to measure."""

    group: str
    what: str
    many: str
    about: str = ""
    measure: tuple[str, ...] = ()


def carry(changed: Changed) -> tuple[Item, ...]:
    """The whole list, in the order of use."""
    parts = (_devices, _wires, _splices, _ends, _bushings, _labels, _tools, _meter, _person)
    return tuple(item for part in parts for item in part(changed))


def _devices(changed: Changed) -> Iterator[Item]:
    for tag, device in changed.after.devices.items():
        if tag in changed.brought:
            marked = "; ".join(ratings(changed.after, device))
            yield Item("device", f"{device.type}" + (f": {marked}" if marked else ""), "1", tag)
    pressure = [t for t in changed.brought if _on_refrigerant(changed.after, t)]
    if pressure:
        names = ", ".join(sorted(pressure))
        yield Item(
            "device", "fitting with core depressor, thread as the port's; gauge; leak check", "1 each", names
        )


def _on_refrigerant(circuit: Circuit, tag: str) -> bool:
    if tag not in circuit.devices:
        return False
    points = [circuit.inputs[i].set_points for i in circuit.devices[tag].inputs]
    return any(p is not None and unit(circuit.quantities[p.quantity].unit).kind == "pressure" for p in points)


def _wires(changed: Changed) -> Iterator[Item]:
    for new in new_wires(changed):
        wire = new.wire
        route = f", {wire.route}" if wire.route else f", route: {MEASURE}"
        length = f" (way {wire.length})" if wire.length else ""
        yield Item(
            "conductor", new.looks, new.cut_to, f"{wire.id}, {wire.a} to {wire.b}{route}{length}", new.measure
        )


def _splices(changed: Changed) -> Iterator[Item]:
    """A connector for each new joint, and for one that takes more than it did; one spare of each kind."""
    before = ends_at(changed.before)
    for name, wires in ends_at(changed.after).items():
        if name not in changed.after.splices or len(wires) <= len(before.get(name, ())):
            continue
        gauges = Counter(w.gauge or f"gauge: {MEASURE}" for w in wires)
        joined = " and ".join(f"{n} × {gauge}" for gauge, n in gauges.items())
        what = "cap" if len(wires) == 1 else "splice connector"
        measure = tuple(f"gauge of {w.id}" for w in wires if w.gauge is None)
        says = f"{what} whose marked range names {joined} copper ({RANGE}); insulated as the wires"
        yield Item("splice", says, "1 and a spare", f"{name}: {', '.join(w.id for w in wires)}", measure)


def ends_at(circuit: Circuit) -> dict[str, list[Conductor]]:
    """Node -> the conductors that end there."""
    found: dict[str, list[Conductor]] = {}
    for wire in circuit.conductors.values():
        for end in (wire.a, wire.b):
            found.setdefault(end, []).append(wire)
    return found


def landed(changed: Changed) -> list[tuple[Conductor, str]]:
    """Each conductor end that the steps put on a terminal, not in a splice."""
    after, before = changed.after, changed.before
    found = []
    for wire in after.conductors.values():
        old = before.conductors.get(wire.id)
        for end, was in ((wire.a, old.a if old else None), (wire.b, old.b if old else None)):
            if end != was and end not in after.splices and end not in after.loose:
                found.append((wire, end))
    return found


def _ends(changed: Changed) -> Iterator[Item]:
    groups: dict[str, list[str]] = {}
    for wire, end in landed(changed):
        groups.setdefault(wire.gauge or f"gauge: {MEASURE}", []).append(end)
    for gauge, ends in groups.items():
        what = f"{gauge}: {LANDING}"
        measure = ("gauge",) if gauge.endswith(MEASURE) else ()
        yield Item("connector", what, f"{len(ends)}", ", ".join(dict.fromkeys(ends)), measure)


def _bushings(changed: Changed) -> Iterator[Item]:
    for opening in openings(changed):
        about = f"{opening.route}: {', '.join(opening.wires)}"
        yield Item(
            "bushing",
            "bushing or grommet, before the wire goes in (from memory: NEC 300.4(B))",
            "1",
            about,
            ("hole",),
        )
    bare = [w.id for w in new_ones(changed) if not w.route]
    if bare:
        what = "bushing or grommet for each hole on the way"
        yield Item("bushing", what, MEASURE, f"no route is given for {', '.join(bare)}", ("route",))
    for route in freed(changed):
        yield Item("bushing", "plug for a hole left over (from memory: NEC 110.12(A))", "1", route, ("hole",))


def _labels(changed: Changed) -> Iterator[Item]:
    wires = list(dict.fromkeys(w for s in changed.steps for w in s.wires))
    devices = [t for t in changed.after.devices if t in changed.brought]
    if wires:
        yield Item(
            "label",
            "wire labels, before anything is lifted",
            f"{2 * len(wires)}",
            f"both ends of {', '.join(wires)}",
        )
    if devices:
        yield Item("label", "device label with set points", f"{len(devices)}", ", ".join(devices))


def _tools(changed: Changed) -> Iterator[Item]:
    kinds = {s.kind for s in changed.steps}
    yield Item(
        "tool", "the printed diagram, lock and tag, screwdrivers, torque tool where a torque is marked", ""
    )
    if kinds & {"run", "splice", "cut"}:
        yield Item("tool", "stripper, cutter, crimp tool", "")
    circuits = (changed.before, changed.after)
    if any(isinstance(e, Capacitor) for c in circuits for e in c.elements.values()):
        yield Item("tool", "resistor 20 kΩ, 5 W, with insulated probes, to empty capacitors", "1")
    boxed = [t for t in changed.after.devices if t in changed.brought and changed.after.devices[t].inputs]
    if boxed:
        yield Item("tool", EARTHING, "1 each", ", ".join(boxed))


def _meter(changed: Changed) -> Iterator[Item]:
    most = greatest_volts(changed)
    if most > 0:
        step = next((s for s in STEPS if most <= s), None)
        rated = f"category III, {step} V or more" if step else f"rated for more than {STEPS[-1]} V"
        says = (
            f"meter, {rated}, leads too (IEC 61010-2-030, from memory): AC volts, ohms, low-impedance volts"
        )
        yield Item("meter", says, "1", f"{most:.0f} V between lines")
        yield Item("meter", "a live source to prove the tester on, before and after", "1")


def greatest_volts(changed: Changed) -> float:
    """The most volts between two poles of one supply, or from one to earth, before or after."""
    poles = [p for c in (changed.before, changed.after) for p in c.poles.values()]
    pairs = [abs(a.phasor - b.phasor) for a in poles for b in poles if a.supply == b.supply]
    return max((*pairs, *(abs(p.phasor) for p in poles)), default=0.0)


def _person(_: Changed) -> Iterator[Item]:
    yield Item(
        "person",
        "eye protection; gloves rated for the volts where live parts are tested; as the employer's rules say",
        "",
    )
    yield Item("card", "card for the panel door, pen", "1")
