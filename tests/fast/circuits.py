"""Random circuits, and random changes of them, for holding the two evaluators against each other."""

from __future__ import annotations

import cmath
import copy
import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from wirecheck.circuit.bound import And, InputIs
from wirecheck.circuit.elements import (
    ByCoil,
    ByPosition,
    Capacitor,
    Coil,
    Conductor,
    Contact,
    Delay,
    Device,
    Estimate,
    Input,
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
from wirecheck.circuit.graph import Circuit

if TYPE_CHECKING:
    import random

Figure = float | Estimate


@dataclass
class Thing:
    """One part: its kind, its tag, the nets of its terminals, its figures."""

    kind: str
    tag: str
    nets: list[int]
    figures: dict[str, object] = field(default_factory=dict)


@dataclass
class Plan:
    """A circuit before it is built: parts between numbered nets, and the inputs."""

    things: list[Thing] = field(default_factory=list)
    inputs: dict[str, Input] = field(default_factory=dict)
    impossible: list[tuple[object, str]] = field(default_factory=list)
    hertz: float = 60.0
    nets: int = 0

    def net(self) -> int:
        self.nets += 1
        return self.nets - 1


SUPPLIES = {
    "single": {"L": 120 + 0j, "N": 0j, "PE": 0j},
    "split": {"L1": 120 + 0j, "L2": -120 + 0j, "N": 0j, "PE": 0j},
    "three": {f"L{k + 1}": cmath.rect(120, math.radians(-120 * k)) for k in range(3)} | {"N": 0j, "PE": 0j},
}


class Maker:
    """Draws one plan. `rich`: motors, transformers, loads in series too."""

    def __init__(
        self, rng: random.Random, rich: bool = True, most_inputs: int = 5, most_relays: int = 4
    ) -> None:
        self.rng, self.rich, self.plan = rng, rich, Plan()
        self.most_inputs, self.most_relays = most_inputs, most_relays
        self.left: list[tuple[int, float]] = []  # net, volts of its rail to the return
        self.right: dict[int, list[int]] = {}
        self.count = 0
        self.coils: list[str] = []

    def tag(self, letter: str) -> str:
        self.count += 1
        return f"{letter}{self.count}"

    def make(self) -> Plan:
        rng = self.rng
        rails = self._supplies()
        self._inputs(rng.randint(1, self.most_inputs))
        self.coils = [self.tag("K") for _ in range(rng.randint(0, self.most_relays))]
        self._delays = {k: rng.choice(["on", "off"]) for k in self.coils if rng.random() < 0.2}
        if self.rich and rng.random() < 0.5:
            rails += [self._transformer(rng.choice(rails)) for _ in range(1 if rng.random() < 0.8 else 2)]
        for k in self.coils:
            self._rung(rng.choice(rails), k)
        for _ in range(rng.randint(1, 5)):
            self._rung(rng.choice(rails), None)
        for _ in range(rng.randint(0, 2)):
            self._bridge()
        self._impossible()
        return self.plan

    def _supplies(self) -> list[tuple[int, int, float]]:
        """(hot net, return net, volts) to choose from."""
        rng, rails = self.rng, []
        for k in range(2 if self.rich and rng.random() < 0.15 else 1):
            kind = rng.choice(["single", "single", "split", "three"] if self.rich else ["single", "split"])
            name = f"S{k}"
            source = "S0" if rng.random() < 0.5 else name
            nets = {p: self.plan.net() for p in SUPPLIES[kind]}
            for p, phasor in SUPPLIES[kind].items():
                src = "" if phasor == 0 else source
                self.plan.things.append(
                    Thing("pole", name, [nets[p]], {"pole": p, "phasor": phasor, "source": src})
                )
            rails += self._pairs(nets, SUPPLIES[kind])
            if kind == "three":
                self.three = [nets["L1"], nets["L2"], nets["L3"]]
        return rails

    def _pairs(self, nets: dict[str, int], phasors: dict[str, complex]) -> list[tuple[int, int, float]]:
        hot = [p for p in phasors if p.startswith("L")]
        found = [(nets[p], nets["N"], 120.0) for p in hot]
        if len(hot) > 1:
            found += [(nets[hot[0]], nets[hot[1]], abs(phasors[hot[0]] - phasors[hot[1]]))] * 2
        return found

    def _inputs(self, count: int) -> None:
        rng = self.rng
        points = [(10.0, 20.0), (15.0, 30.0), (20.0, 30.0), (5.0, 10.0)]
        for _ in range(count):
            tag = self.tag("B")
            senses = rng.random() < 0.25
            low, high = rng.choice(points)
            self.plan.inputs[tag] = Input(
                name=tag,
                device=tag,
                words=("closed", "open") if rng.random() < 0.5 else ("open", "closed"),
                set_points=SetPoints("p", low, high, rng.random() < 0.5) if senses else None,
                hand_reset=senses and rng.random() < 0.3,
                normal=rng.random() < 0.2,
                given=(rng.random() < 0.5) if rng.random() < 0.05 else None,
                tripped=(rng.random() < 0.5) if rng.random() < 0.3 else None,
                lever=rng.random() < 0.3,
            )

    def _impossible(self) -> None:
        names = [n for n, i in self.plan.inputs.items()]
        if len(names) >= 2 and self.rng.random() < 0.1:
            a, b = self.rng.sample(names, 2)
            moved = self.rng.random() < 0.5
            self.plan.impossible.append((And((InputIs(a, True), InputIs(b, moved))), "both"))

    def _transformer(self, rail: tuple[int, int, float]) -> tuple[int, int, float]:
        rng = self.rng
        primary = self._chain(rail[0], rng.choice([0, 0, 1]))
        back = rail[1] if rng.random() < 0.8 else self._chain(rail[1], 1)
        r, c = self.plan.net(), self.plan.net()
        figures = {"volts": [rail[2], 24.0], "reversed": rng.random() < 0.2}
        nets = [primary, back, r, c]
        if rng.random() < 0.1:
            figures["tap"] = True
        self.plan.things.append(Thing("transformer", self.tag("X"), nets, figures))
        if rng.random() < 0.5:
            earth = next(
                t.nets[0] for t in self.plan.things if t.kind == "pole" and t.figures["pole"] == "PE"
            )
            self._link(c, earth)
        return r, c, 24.0

    def _link(self, a: int, b: int) -> None:
        self.plan.things.append(Thing("joint", self.tag("J"), [a, b]))

    def _contact(self, a: int, b: int) -> None:
        rng = self.rng
        rests = rng.random() < 0.5
        if self.coils and rng.random() < 0.4:
            coil = rng.choice(self.coils)
            late = self._delays.get(coil) if rng.random() < 0.6 else None
            figures: dict[str, object] = {"coil": coil, "late": late, "rests": rests}
        else:
            figures = {"input": rng.choice(list(self.plan.inputs)), "rests": rests}
        self.plan.things.append(Thing("contact", self.tag("C"), [a, b], figures))

    def _chain(self, start: int, count: int) -> int:
        for _ in range(count):
            end = self.plan.net()
            self._contact(start, end)
            start = end
        return start

    def _rung(self, rail: tuple[int, int, float], coil: str | None) -> None:
        rng = self.rng
        hot, back, volts = rail
        spots = [n for n, v in self.left if v == volts and rng.random() < 0.3]
        start = rng.choice(spots) if spots else hot
        at = self._chain(start, rng.choice([0, 1, 1, 2, 2, 3]))
        if at not in (hot, back):
            self.left.append((at, volts))
        if rng.random() < 0.15:
            back = self._chain(back, 1)
        if self.rich and rng.random() < 0.12:
            mid = self.plan.net()
            self._load(at, mid, volts / 2)
            at = mid
        if coil is not None:
            self._coil(coil, at, back, volts)
        else:
            self._load(at, back, volts)

    def _coil(self, tag: str, a: int, b: int, volts: float) -> None:
        rng = self.rng
        rated = volts * rng.choice([1, 1, 1, 1, 1, 0.5, 1.3, 1.5, 2])
        figures = {
            "volts": rated,
            "pick": 0.85 if rng.random() < 0.7 else Estimate(f"{tag}.pick_up", 0.85, 0.60, 0.85),
            "drop": 0.60 if rng.random() < 0.7 else Estimate(f"{tag}.drop_out", 0.60, 0.20, 0.75),
            "inrush": rng.choice([20.0, None]),
            "delay": self._delays.get(tag),
        }
        self.plan.things.append(Thing("coil", tag, [a, b], figures))

    def _load(self, a: int, b: int, volts: float) -> None:
        rng = self.rng
        kind = rng.choice(["heater", "heater", "heater", "valve", "1ph", "psc"]) if self.rich else "heater"
        if kind == "psc" and rng.random() < 0.3 and hasattr(self, "three"):
            self._three_phase()
            return
        rated: float | None = volts * rng.choice([1, 1, 1, 1, 0.8, 1.4, 3])
        if rng.random() < 0.03:
            rated = None
        if kind == "psc":
            self._psc(a, b, rated)
        else:
            self.plan.things.append(Thing(kind, self.tag("H"), [a, b], {"volts": rated}))

    def _psc(self, a: int, b: int, volts: float | None) -> None:
        rng, s = self.rng, self.plan.net()
        tag = self.tag("M")
        figures = {
            "volts": volts,
            "needs": 45e-6 if rng.random() < 0.95 else None,
            "compressor": rng.random() < 0.5,
        }
        common, main = (a, b) if rng.random() < 0.5 else (b, a)
        nets = [common, main, s]
        if rng.random() < 0.1:
            figures["tap"] = True
            nets.append(self.plan.net())
            self._contact(main, nets[3])
        self.plan.things.append(Thing("psc", tag, nets, figures))
        far = main if rng.random() < 0.85 else self._chain(main, 1)
        self.plan.things.append(Thing("capacitor", self.tag("Q"), [s, far], {"farads": 45e-6}))
        if rng.random() < 0.1:
            start = self._chain(main, 1)
            self.plan.things.append(
                Thing("capacitor", self.tag("Q"), [start, s], {"farads": 150e-6, "starts": True})
            )

    def _three_phase(self) -> None:
        rng = self.rng
        ends = [self._chain(n, rng.choice([1, 1, 2])) for n in self.three]
        rng.shuffle(ends)
        self.plan.things.append(Thing("3ph", self.tag("M"), ends, {"volts": 208.0}))

    def _bridge(self) -> None:
        spots = [n for n, _ in self.left]
        if len(spots) >= 2:
            a, b = self.rng.sample(spots, 2)
            if a != b:
                self._contact(a, b)


def changed(plan: Plan, rng: random.Random) -> Plan:
    """The plan with one or two things wired otherwise."""
    new = copy.deepcopy(plan)
    for _ in range(rng.randint(1, 2)):
        _change(new, rng)
    return new


def _change(plan: Plan, rng: random.Random) -> None:
    movable = [t for t in plan.things if t.kind in ("contact", "heater", "valve", "coil", "1ph")]
    if not movable:
        return
    thing = rng.choice(movable)
    what = rng.random()
    if what < 0.3:
        thing.nets[rng.randrange(2)] = rng.randrange(plan.nets)
    elif what < 0.6:
        middle = plan.net()
        tag = f"NEW{plan.nets}"
        name = rng.choice(list(plan.inputs))
        if rng.random() < 0.3:
            name = f"IN{plan.nets}"
            plan.inputs[name] = Input(name, name, ("open", "closed"))
        figures = {"input": name, "rests": rng.random() < 0.5}
        plan.things.append(Thing("contact", tag, [thing.nets[0], middle], figures))
        thing.nets[0] = middle
    elif what < 0.7:
        contacts = [t for t in plan.things if t.kind == "contact"]
        if contacts:
            one = rng.choice(contacts)
            one.figures["rests"] = not one.figures["rests"]
    elif what < 0.8:
        _other_points(plan, rng)
    else:
        contacts = [t for t in plan.things if t.kind == "contact"]
        if contacts:
            plan.things.remove(rng.choice(contacts))


def _other_points(plan: Plan, rng: random.Random) -> None:
    from dataclasses import replace

    sensing = [i for i in plan.inputs.values() if i.set_points is not None]
    if sensing:
        i = rng.choice(sensing)
        assert i.set_points is not None
        points = replace(i.set_points, low=i.set_points.low + 3, high=i.set_points.high + 4)
        plan.inputs[i.name] = replace(i, set_points=points)


def build(plan: Plan) -> Circuit:
    """The circuit of a plan: the terminals of each net joined by conductors, one to the next."""
    return _Builder(plan).circuit()


class _Builder:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.on: dict[int, list[str]] = {}
        self.terminals: list[str] = []
        self.poles: dict[str, Pole] = {}
        self.elements: dict[str, object] = {}
        self.loads: dict[str, object] = {}
        self.relays: dict[str, Relay] = {}
        self.delays: dict[str, Delay] = {}

    def circuit(self) -> Circuit:
        for thing in sorted(self.plan.things, key=lambda t: t.kind == "contact"):
            ends = self._terminals(thing)
            getattr(self, "_" + {"1ph": "one", "3ph": "three"}.get(thing.kind, thing.kind))(thing, ends)
        wires = {}
        for row in self.on.values():
            for a, b in pairwise(row):
                wires[f"W{len(wires)}"] = Conductor(f"W{len(wires)}", a, b)
        points = {
            v
            for i in self.plan.inputs.values()
            if i.set_points
            for v in (i.set_points.low, i.set_points.high)
        }
        return Circuit(
            name="random",
            hertz=self.plan.hertz,
            terminals=tuple(self.terminals),
            poles=self.poles,
            earth=frozenset(t for t in self.poles if t.endswith("PE")),
            conductors=wires,
            devices=self._devices(),
            elements=self.elements,  # type: ignore[arg-type]
            loads=self.loads,  # type: ignore[arg-type]
            relays=self.relays,
            inputs=dict(self.plan.inputs),
            delays=self.delays,
            quantities={"p": Quantity("p", "V")} if points else {},
            impossible=tuple(self.plan.impossible),  # type: ignore[arg-type]
            cuts={"p": tuple(sorted(points))} if points else {},
        )

    def _devices(self) -> dict[str, Device]:
        """A device for each tag that an element, input or load names; every fifth isolates."""
        tags: dict[str, list[str]] = {}
        for i, e in self.elements.items():
            tags.setdefault(e.device, []).append(i)  # type: ignore[attr-defined]
        for i in self.plan.inputs.values():
            tags.setdefault(i.device, [])
        return {
            tag: Device(
                tag,
                "random",
                tuple(t for t in self.terminals if t.rpartition(".")[0] == tag),
                tuple(elements),
                isolates=k % 5 == 4,
            )
            for k, (tag, elements) in enumerate(tags.items())
        }

    def _terminals(self, thing: Thing) -> list[str]:
        names = []
        for k, net in enumerate(thing.nets):
            name = f"{thing.tag}.{thing.figures['pole'] if thing.kind == 'pole' else k + 1}"
            self.terminals.append(name)
            self.on.setdefault(net, []).append(name)
            names.append(name)
        return names

    def _pole(self, t: Thing, ends: list[str]) -> None:
        self.poles[ends[0]] = Pole(ends[0], t.tag, t.figures["phasor"], t.figures["source"])  # type: ignore[arg-type]

    def _joint(self, t: Thing, ends: list[str]) -> None:
        self.on.setdefault(-1 - len(self.on), []).extend(ends)

    def _contact(self, t: Thing, ends: list[str]) -> None:
        f = t.figures
        mover = ByPosition(f["input"]) if "input" in f else ByCoil(f"{f['coil']}.coil", f["late"])  # type: ignore[arg-type]
        self.elements[f"{t.tag}.contact"] = Contact(f"{t.tag}.contact", t.tag, *ends, bool(f["rests"]), mover)

    def _coil(self, t: Thing, ends: list[str]) -> None:
        f, i = t.figures, f"{t.tag}.coil"
        self.elements[i] = Coil(i, t.tag, *ends, f["volts"], 8.0, f["inrush"], 4.0, f["pick"], f["drop"])  # type: ignore[arg-type]
        contacts = tuple(
            f"{c.tag}.contact"
            for c in self.plan.things
            if c.kind == "contact" and c.figures.get("coil") == t.tag
        )
        self.relays[t.tag] = Relay(t.tag, t.tag, i, contacts)
        if f["delay"]:
            name = f"{t.tag}.{'elapsed' if f['delay'] == 'on' else 'held'}"
            self.delays[name] = Delay(name, i, f["delay"])  # type: ignore[arg-type]

    def _heater(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.element"
        self.elements[i] = Resistor(i, t.tag, *ends, 100.0, t.figures["volts"])  # type: ignore[arg-type]
        self.loads[t.tag] = VoltLoad(t.tag, t.tag, i, t.figures["volts"])  # type: ignore[arg-type]

    def _valve(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.coil"
        rated = t.figures["volts"]
        self.elements[i] = Coil(i, t.tag, *ends, rated or 24.0, 10.0, 30.0, 1.0, 0.85, 0.6)  # type: ignore[arg-type]
        self.loads[t.tag] = VoltLoad(t.tag, t.tag, i, rated)  # type: ignore[arg-type]

    def _one(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.winding"
        self.elements[i] = Winding(i, t.tag, *ends, 20 + 30j)
        self.loads[t.tag] = Motor(t.tag, t.tag, "1ph", t.figures["volts"], (i,))  # type: ignore[arg-type]

    def _psc(self, t: Thing, ends: list[str]) -> None:
        main, aux = f"{t.tag}.main", f"{t.tag}.aux"
        scale: Figure = 1.0 if len(t.tag) % 2 else Estimate(f"{t.tag}.main", 1.0, 0.75, 1.25)
        self.elements[main] = Winding(main, t.tag, ends[0], ends[1], 1.1 + 3.1j, scale)
        mains, taps = (main,), ()
        if t.figures.get("tap"):
            low = f"{t.tag}.low"
            self.elements[low] = Winding(low, t.tag, ends[0], ends[3], 1.6 + 4.5j)
            mains, taps = (main, low), ("high", "low")
        self.elements[aux] = Winding(aux, t.tag, ends[0], ends[2], 2.4 + 4.6j)
        f = t.figures
        self.loads[t.tag] = Motor(
            t.tag,
            t.tag,
            "psc",
            f["volts"],
            mains,
            aux,
            f["needs"],
            taps,
            compressor=bool(f["compressor"]),  # type: ignore[arg-type]
        )

    def _capacitor(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.element"
        self.elements[i] = Capacitor(
            i, t.tag, *ends, t.figures["farads"], 440.0, bool(t.figures.get("starts"))
        )  # type: ignore[arg-type]

    def _three(self, t: Thing, ends: list[str]) -> None:
        star = f"{t.tag}.(s)"
        self.terminals.append(star)
        names = []
        for k, e in enumerate(ends):
            i = f"{t.tag}.w{k}"
            self.elements[i] = Winding(i, t.tag, e, star, 10 + 14j)
            names.append(i)
        self.loads[t.tag] = Motor(t.tag, t.tag, "3ph", 208.0, tuple(names), terminals=tuple(ends))

    def _transformer(self, t: Thing, ends: list[str]) -> None:
        i = f"{t.tag}.core"
        primary, secondary = t.figures["volts"]  # type: ignore[misc]
        h1, h2, r, c = ends
        turns = -secondary if t.figures["reversed"] else secondary
        windings = [(h1, h2, primary)]
        if t.figures.get("tap"):
            h3 = f"{t.tag}.5"
            self.terminals.append(h3)
            windings.append((h1, h3, primary * 1.2))
        self.elements[i] = Transformer(i, t.tag, (*windings, (r, c, turns)))
