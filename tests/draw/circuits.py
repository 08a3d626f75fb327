"""Circuits made in Python: small ones by hand, and any number of random ones, sensible or not."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from typing import TYPE_CHECKING

from msgspec.structs import replace

from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Conductor,
    Contact,
    Device,
    Element,
    Input,
    Link,
    Load,
    Motor,
    Pole,
    Quantity,
    Relay,
    Resistor,
    SetPoints,
    Transformer,
    VoltLoad,
    Winding,
)
from wirecheck.circuit.graph import Changed, Circuit, PlainStep

if TYPE_CHECKING:
    from collections.abc import Callable

COLOURS = (None, "black", "red", "yellow", "white/brown", "green/yellow")
GAUGES = (None, "18 AWG", "10 AWG", "1.5 mm2")


@dataclass
class Bench:
    """Devices and conductors as they are laid out on a bench; `circuit()` is the whole."""

    poles: dict[str, Pole] = field(default_factory=dict)
    devices: dict[str, Device] = field(default_factory=dict)
    elements: dict[str, Element] = field(default_factory=dict)
    loads: dict[str, Load] = field(default_factory=dict)
    relays: dict[str, Relay] = field(default_factory=dict)
    inputs: dict[str, Input] = field(default_factory=dict)
    conductors: dict[str, Conductor] = field(default_factory=dict)
    inner: list[str] = field(default_factory=list)

    def supply(self, **phasors: complex) -> None:
        for name, phasor in phasors.items():
            terminal = f"MAINS.{name}"
            self.poles[terminal] = Pole(terminal, "MAINS", phasor, "MAINS" if phasor else "")

    def device(self, tag: str, terminals: str, *elements: Element, **more: object) -> None:
        names = tuple(f"{tag}.{t}" for t in terminals.split())
        self.elements |= {e.id: e for e in elements}
        self.devices[tag] = Device(tag, "some-type", names, tuple(e.id for e in elements), **more)  # type: ignore[arg-type]

    def switch(self, tag: str, closed: bool = False, points: SetPoints | None = None, **more: object) -> None:
        words = ("closed", "open") if closed else ("open", "closed")
        self.inputs[tag] = Input(tag, tag, words, points)
        contact = Contact(f"{tag}.contact", tag, f"{tag}.1", f"{tag}.2", closed, ByPosition(tag))
        self.device(tag, "1 2", contact, inputs=(tag,), **more)

    def heater(self, tag: str) -> None:
        self.loads[tag] = VoltLoad(tag, tag, f"{tag}.body", 24)
        self.device(tag, "1 2", Resistor(f"{tag}.body", tag, f"{tag}.1", f"{tag}.2", 10, 24))

    def capacitor(self, tag: str) -> None:
        self.device(tag, "1 2", Capacitor(f"{tag}.body", tag, f"{tag}.1", f"{tag}.2", 1e-5))

    def relay(self, tag: str, *, no: int = 1, nc: int = 0) -> None:
        coil = Coil(f"{tag}.coil", tag, f"{tag}.A1", f"{tag}.A2", 24, 8, 33, 4, 0.85, 0.6)
        contacts = []
        for n in range(no + nc):
            a, b = f"{tag}.{n + 1}3", f"{tag}.{n + 1}4"
            contacts.append(Contact(f"{tag}.c{n}", tag, a, b, n >= no, ByCoil(coil.id)))
        names = [c.rpartition(".")[2] for contact in contacts for c in (contact.a, contact.b)]
        self.device(tag, " ".join(["A1", "A2", *names]), coil, *contacts)
        self.relays[tag] = Relay(tag, tag, coil.id, tuple(c.id for c in contacts))

    def psc(self, tag: str, hermetic: bool = False, terminals: str = "common main aux") -> None:
        common, main, aux = (f"{tag}.{t}" for t in terminals.split())
        elements: list[Element] = []
        inner = common
        if hermetic:
            inner = f"{tag}.(m)"
            self.inner.append(inner)
            name = f"{tag}.overload"
            self.inputs[name] = Input(name, tag, ("closed", "open"), opened_only_by_name=True)
            elements.append(Contact(name, tag, common, inner, True, ByPosition(name)))
        windings = [
            Winding(f"{tag}.main", tag, inner, main, 3 + 4j),
            Winding(f"{tag}.aux", tag, inner, aux, 5 + 5j),
        ]
        self.device(tag, terminals, *elements, *windings)
        self.loads[tag] = Motor(tag, tag, "psc", 240, (f"{tag}.main",), f"{tag}.aux")

    def three_phase(self, tag: str) -> None:
        star = f"{tag}.(star)"
        self.inner.append(star)
        windings = [Winding(f"{tag}.w{n}", tag, f"{tag}.T{n}", star, 3 + 4j) for n in (1, 2, 3)]
        self.device(tag, "T1 T2 T3", *windings)
        mains = tuple(w.id for w in windings)
        self.loads[tag] = Motor(
            tag, tag, "3ph", 208, mains, terminals=(f"{tag}.T1", f"{tag}.T2", f"{tag}.T3")
        )

    def transformer(self, tag: str) -> None:
        windings = ((f"{tag}.H1", f"{tag}.H2", 240.0), (f"{tag}.R", f"{tag}.C", 24.0))
        self.device(tag, "H1 H2 R C", Transformer(f"{tag}.core", tag, windings, 40))

    def disconnect(self, tag: str, ways: int) -> None:
        self.inputs[tag] = Input(tag, tag, ("closed", "open"), lever=True)
        contacts = [
            Contact(f"{tag}.p{n}", tag, f"{tag}.L{n}", f"{tag}.T{n}", True, ByPosition(tag))
            for n in range(1, ways + 1)
        ]
        terminals = " ".join(t.rpartition(".")[2] for c in contacts for t in (c.a, c.b))
        self.device(tag, terminals, *contacts, isolates=True, inputs=(tag,))

    def bar(self, tag: str, size: int, earth: bool = False) -> None:
        links = [Link(f"{tag}.bar.{n}", tag, f"{tag}.{n}", f"{tag}.{n + 1}") for n in range(1, size)]
        self.device(tag, " ".join(str(n) for n in range(1, size + 1)), *links, earth=earth)

    def strip(self, tag: str, size: int) -> None:
        self.device(tag, " ".join(str(n) for n in range(1, size + 1)))

    def wire(self, name: str, a: str, b: str, colour: str | None = None, gauge: str | None = None) -> None:
        self.conductors[name] = Conductor(name, a, b, colour, gauge)

    def line(self, name: str, *terminals: str) -> None:
        """Conductors NAME.1, NAME.2 … between each two that follow one another."""
        for number, (a, b) in enumerate(zip(terminals[::2], terminals[1::2], strict=True), 1):
            self.wire(f"{name}.{number}", a, b)

    def circuit(self, name: str = "bench") -> Circuit:
        ends = [t for wire in self.conductors.values() for t in (wire.a, wire.b)]
        own = [t for device in self.devices.values() for t in device.terminals]
        terminals = tuple(dict.fromkeys([*self.poles, *own, *self.inner, *ends]))
        known = {*self.poles, *own, *self.inner}
        return Circuit(
            name, 60, terminals, dict(self.poles), frozenset(), dict(self.conductors), dict(self.devices),
            dict(self.elements), dict(self.loads), dict(self.relays), dict(self.inputs), {},
            {"pressure": Quantity("pressure", "psig"), "water": Quantity("water", "in")},
            splices=frozenset(t for t in ends if t not in known),
        )  # fmt: skip


def unit() -> Bench:
    """A condensing unit in small: disconnect, contactor, compressor, fan, control transformer."""
    bench = Bench()
    bench.supply(L1=120, L2=-120, N=0, PE=0)
    bench.disconnect("DS", 2)
    bench.relay("K1", no=2)
    bench.psc("COMP", hermetic=True, terminals="C R S")
    bench.psc("FAN")
    bench.capacitor("CR1")
    bench.capacitor("CR2")
    bench.transformer("X1")
    points = SetPoints("pressure", 2.9e6, 4.2e6, True, "opens above 610 psig, closes below 420 psig")
    bench.switch("HP", closed=True, points=points)
    bench.switch("SW")
    bench.line("A", "MAINS.L1", "DS.L1", "MAINS.L2", "DS.L2", "DS.T1", "K1.13", "DS.T2", "K1.23")
    bench.line("B", "K1.14", "COMP.C", "K1.24", "COMP.R", "COMP.S", "CR1.1", "CR1.2", "K1.24")
    bench.line("C", "K1.14", "FAN.common", "FAN.main", "K1.24", "FAN.aux", "CR2.1", "CR2.2", "K1.24")
    bench.line("D", "K1.13", "X1.H1", "K1.23", "X1.H2")
    bench.line("E", "X1.R", "SW.1", "SW.2", "HP.1", "HP.2", "K1.A1", "K1.A2", "X1.C")
    return bench


def random_bench(seed: int) -> Bench:
    """Some devices and random conductors between them: dead ends, rings, bridges, motors miswired."""
    dice, bench = Random(seed), Bench()  # noqa: S311
    if dice.random() < 0.3:
        bench.supply(L1=120, L2=-60 + 104j, L3=-60 - 104j, N=0, PE=0)
    else:
        bench.supply(L1=120, L2=-120, N=0, PE=0)
    kinds: list[Callable[[str], None]] = [
        bench.switch, lambda t: bench.switch(t, closed=True), bench.heater, bench.capacitor, bench.relay,
        lambda t: bench.relay(t, no=1, nc=1), bench.psc, lambda t: bench.psc(t, True, "C R S"),
        bench.three_phase, bench.transformer, lambda t: bench.disconnect(t, 2), lambda t: bench.bar(t, 4),
        lambda t: bench.strip(t, 3),
    ]  # fmt: skip
    for number in range(dice.randint(2, 9)):
        dice.choice(kinds)(f"D{number}" if dice.random() < 0.9 else f"a rather long name {number}")
    if dice.random() < 0.4:
        _wired_motor(bench, dice)
    terminals = [*bench.poles, *(t for d in bench.devices.values() for t in d.terminals), "S1"]
    for number in range(dice.randint(2, max(3, int(1.1 * len(bench.elements))) + 6)):
        a, b = dice.sample(terminals, 2)
        bench.wire(f"W{number}", a, b, dice.choice(COLOURS), dice.choice(GAUGES))
    return bench


def _wired_motor(bench: Bench, dice: Random) -> None:
    """One motor that is wired as it should be, so that circles are drawn too."""
    bench.psc("MOT", dice.random() < 0.5)
    bench.capacitor("MOTCAP")
    left, right = dice.sample(
        ["MAINS.L1", "MAINS.L2", *(t for d in bench.devices.values() for t in d.terminals[:1])], 2
    )
    bench.line("M", left, "MOT.common", "MOT.main", right, "MOT.aux", "MOTCAP.1", "MOTCAP.2", right)


def random_change(seed: int) -> Changed:
    """Some conductors moved, taken out or added, and perhaps a device fitted."""
    dice, bench = Random(seed + 1_000_000), random_bench(seed)  # noqa: S311
    before, steps = bench.circuit("before"), list[PlainStep]()
    brought = frozenset[str]()
    if dice.random() < 0.7:
        bench.switch("NEW")
        brought = frozenset({"NEW"})
        steps.append(PlainStep(1, "add", "Fit NEW", devices=("NEW",)))
    terminals = [*bench.poles, *(t for d in bench.devices.values() for t in d.terminals)]
    for name in dice.sample(sorted(bench.conductors), min(len(bench.conductors), dice.randint(0, 2))):
        wire = bench.conductors[name]
        if dice.random() < 0.5:
            steps.append(PlainStep(len(steps) + 1, "lift", f"Lift {name}", (name,), (), (wire.a,)))
            bench.conductors[name] = replace(wire, a=dice.choice([t for t in terminals if t != wire.b]))
            steps.append(PlainStep(len(steps) + 1, "land", f"Land {name}", (name,)))
        else:
            steps.append(PlainStep(len(steps) + 1, "remove", f"Remove {name}", (name,)))
            del bench.conductors[name]
    for number in range(dice.randint(0, 3)):
        a, b = dice.sample(terminals, 2)
        if number < 2 and brought:
            a = f"NEW.{number + 1}"
            b = dice.choice([t for t in terminals if t != a])
        bench.wire(f"N{number}", a, b, "yellow", "18 AWG")
        steps.append(PlainStep(len(steps) + 1, "run", f"Run N{number}", (f"N{number}",)))
    return Changed("some change", before, bench.circuit("after"), tuple(steps), brought=brought)


def cabinet(conductors: int, seed: int = 0) -> Bench:
    """A panel as panels are: a disconnect, motors behind contactors, their controls, strips, earth.

    Two supplies, three-phase and split-phase motors, a bridge of switches; at least so many conductors.
    """
    dice, bench = Random(seed), Bench()  # noqa: S311
    bench.supply(L1=120, L2=-60 + 104j, L3=-60 - 104j, N=0, PE=0)
    bench.poles |= {f"AUX.{n}": Pole(f"AUX.{n}", "AUX", 120 if n == "L" else 0, "AUX") for n in ("L", "N")}
    bench.disconnect("DS", 3)
    bench.transformer("X1")
    bench.bar("GND", 12, earth=True)
    bench.line("A", *(t for n in (1, 2, 3) for t in (f"MAINS.L{n}", f"DS.L{n}")))
    bench.line("B", "DS.T1", "X1.H1", "DS.T2", "X1.H2", "X1.C", "GND.1", "MAINS.PE", "GND.2")
    number = 0
    while len(bench.conductors) < conductors:
        number += 1
        _drive(bench, number, dice)
    for wire in list(bench.conductors.values()):
        bench.conductors[wire.id] = replace(
            wire, color=dice.choice(COLOURS), gauge=dice.choice(GAUGES), route=dice.choice((None, "panel"))
        )
    return bench


def _drive(bench: Bench, n: int, dice: Random) -> None:
    """One motor or heater, its contactor, and the switches in line with the coil."""
    relay = f"K{n}"
    bench.relay(relay, no=3, nc=1)
    lines = [f"{relay}.{pole}3" for pole in (1, 2, 3)]
    bench.line(f"P{n}", *(t for pole, at in enumerate(lines, 1) for t in (f"DS.T{pole}", at)))
    kind = dice.choice(("three-phase", "psc", "heater"))
    if kind == "three-phase":
        bench.three_phase(f"M{n}")
        bench.line(f"M{n}", *(t for p in (1, 2, 3) for t in (f"{relay}.{p}4", f"M{n}.T{p}")))
    elif kind == "psc":
        bench.psc(f"M{n}")
        bench.capacitor(f"C{n}")
        ends = (f"{relay}.14", f"M{n}.common", f"M{n}.main", f"{relay}.24", f"M{n}.aux", f"C{n}.1")
        bench.line(f"M{n}", *ends, f"C{n}.2", f"{relay}.24")
    else:
        bench.heater(f"H{n}")
        bench.line(f"M{n}", f"{relay}.14", f"H{n}.1", f"H{n}.2", f"{relay}.24")
    chain = ["X1.R"]
    for switch in range(dice.randint(1, 3)):
        bench.switch(f"S{n}-{switch}", closed=dice.random() < 0.5)
        chain += [f"S{n}-{switch}.1", f"S{n}-{switch}.2"]
    if dice.random() < 0.4:
        bench.strip(f"TS{n}", 6)
        chain += [f"TS{n}.1", f"TS{n}.1"]
    bench.line(f"C{n}", *chain, f"{relay}.A1", f"{relay}.A2", "X1.C")
    if dice.random() < 0.3:  # a bridge: from one drive's chain to the other's coil, and the second supply
        bench.heater(f"B{n}")
        bench.line(f"B{n}", f"S{n}-0.2", f"B{n}.1", f"B{n}.2", f"K{max(1, n - 1)}.A1")
        bench.line(f"U{n}", "AUX.L", f"{relay}.43", f"{relay}.44", f"B{n}.1")


def crowded(conductors: int) -> Bench:
    """So many conductors on one terminal, each to a lamp of its own."""
    bench = Bench()
    bench.supply(L=120, N=0, PE=0)
    bench.strip("TS", 3)
    for number in range(conductors):
        bench.heater(f"H{number}")
        bench.wire(f"W{number}", "TS.1", f"H{number}.1", "yellow", "18 AWG")
    return bench


def change_of(bench: Bench, seed: int) -> Changed:
    """A conductor lifted and capped, one spliced, one cut, one left loose, one taken out; a switch fitted."""
    dice, before = Random(seed), bench.circuit("before")  # noqa: S311
    capped, spliced, cut, loose, gone = dice.sample(sorted(bench.conductors), 5)
    steps = [PlainStep(1, "add", "Fit NEW", devices=("NEW",))]

    def step(kind: str, wires: tuple[str, ...], *terminals: str) -> None:
        words = f"{kind} {' '.join(wires)} {' '.join(terminals)}"
        steps.append(PlainStep(len(steps) + 1, kind, words, wires, (), terminals))

    bench.switch("NEW")
    wires = bench.conductors
    was = wires[capped]
    step("lift", (capped,), was.a)
    step("splice", (capped,), "CAP1")
    wires[capped] = replace(was, a="CAP1")
    was = wires[spliced]
    step("lift", (spliced,), was.b)
    step("splice", (spliced,), "S9")
    wires[spliced] = replace(was, b="S9")
    bench.wire("N1", "S9", "NEW.1", "yellow", "18 AWG")
    step("run", ("N1",), "S9", "NEW.1")
    was = wires[cut]
    step("cut", (cut, f"{cut}.a", f"{cut}.b"))
    step("land", (f"{cut}.a",), "NEW.2")
    bench.conductors = wires = {
        i: w
        for name, wire in wires.items()
        for i, w in (
            {
                f"{cut}.a": replace(was, id=f"{cut}.a", b="NEW.2"),
                f"{cut}.b": replace(was, id=f"{cut}.b", a=f"{cut}.b"),
            }
            if name == cut
            else {name: wire}
        ).items()
    }
    was = wires[loose]
    step("lift", (loose,), was.a)
    wires[loose] = replace(was, a=f"{loose}:{was.a}")
    step("remove", (gone,), wires[gone].a, wires[gone].b)
    del wires[gone]
    after = bench.circuit("after")
    ends = frozenset({f"{cut}.b", f"{loose}:{was.a}"})
    after = replace(after, splices=after.splices - ends, loose=ends, capped=frozenset({"CAP1"}))
    return Changed("some change", before, after, tuple(steps), brought=frozenset({"NEW"}))
